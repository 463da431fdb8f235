"""Commands that hold a conversation: chat, telegram, serve, listen."""

from bot.cli.options import Arguments
from bot.errors import SettingsError
from bot.settings import Settings


def chat(args: Arguments, found: Settings) -> int:
    """Talk on the terminal or through a pipe."""
    from bot.build import open_desk
    from bot.transports.chat import talk

    with open_desk(found) as desk:
        talk(desk.answer, crew=args.crew, history=found.home / "chat.history")
    return 0


def telegram(args: Arguments, found: Settings) -> int:
    """Serve the crew on Telegram until told to stop."""
    from contextlib import contextmanager

    from bot.build import open_desk
    from bot.transports.telegram import Gate, TelegramConfig, run

    said = found.telegram
    if not said.token:
        raise SettingsError(
            "no token for the bot: set DECKCALL_TELEGRAM_TOKEN, or write the token from BotFather"
            f" into {found.home / 'telegram.token'} and chmod 600 that file"
        )
    gate = Gate(frozenset(said.crew), frozenset(said.skippers), frozenset(said.guests))
    config = TelegramConfig(
        token=said.token,
        api=said.api,
        file=found.home / "telegram.db",
        gate=gate,
        zone=found.boat.zone,
        max_bytes=int(said.max_file_mb * 1e6),
        acknowledge=said.acknowledge,
    )

    @contextmanager
    def answering():  # type: ignore[no-untyped-def]
        with open_desk(found) as desk:
            yield desk.answer

    found.home.mkdir(parents=True, exist_ok=True)
    run(config, answering)
    return 0
