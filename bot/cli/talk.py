"""Commands that hold a conversation: chat, telegram, serve."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from bot.cli.options import Arguments
from bot.errors import SettingsError, TransportMissing
from bot.messages import Message
from bot.settings import Settings

if TYPE_CHECKING:
    from concurrent.futures import Future

    from bot.speech.workers import Workers
    from bot.transcript import Heard
    from bot.transports.isolated import Isolated
    from bot.transports.telegram import Answers, BoardView, TelegramConfig
    from bot.transports.web import WebAnswers


def chat(args: Arguments, found: Settings) -> int:
    """Talk on the terminal or through a pipe."""
    from bot.build import open_desk, open_feed
    from bot.fittings import ear_workers
    from bot.transports.chat import talk

    with ear_workers(found) as ears, open_feed(found), open_desk(found, workers=ears) as desk:
        talk(
            desk.answer, crew=args.crew, history=found.home / "chat.history",
            unasked=lambda: desk.unasked("chat"),
        )  # fmt: skip
    return 0


def telegram(args: Arguments, found: Settings) -> int:
    """Serve the crew on Telegram until told to stop; with --pair, show a code first."""
    config = telegram_config(found)  # what is wrong with the settings is said before anything opens
    from bot.build import open_feed
    from bot.fittings import ear_workers
    from bot.transports.telegram import is_running, offer_code, run

    found.home.mkdir(parents=True, exist_ok=True)
    if args.pair:
        code = offer_code(config.file)
        print(
            f"Write /pair {code} within ten minutes in the chat that is to be let in.",
            file=sys.stderr,
        )
        if is_running(config.file):
            return 0
    with open_feed(found), ear_workers(found) as ears:
        run(config, lambda _lane: crew_answers(found, ears))
    return 0


def serve(args: Arguments, found: Settings) -> int:
    """Serve the web chat on the boat's own network until told to stop."""
    from importlib.util import find_spec

    if any(find_spec(name) is None for name in ("aiohttp", "segno")):
        raise TransportMissing("the web chat is not installed; run: pip install 'deckcall[serve]'")
    from bot.build import open_feed
    from bot.fittings import ear_workers
    from bot.transports.web import WebConfig, run
    from bot.transports.web.announce import own_names, show_code

    found.home.mkdir(parents=True, exist_ok=True)
    host, cert = args.host or found.serve.host, found.serve.cert
    if cert is None and found.serve.secure:
        from bot.transports.web.certificate import own_certificate

        cert = found.home / "serve.pem"
        own_certificate(cert, own_names(host), datetime.now(UTC))
    config = WebConfig(
        host=host,
        port=args.port or found.serve.port,
        file=found.home / "serve.db",
        cert=cert,
        key=found.serve.key,
        announce=show_code,
    )
    with open_feed(found), ear_workers(found) as ears:
        run(config, lambda: _web_answers(found, ears))
    return 0


def telegram_config(found: Settings) -> "TelegramConfig":
    """Give what the transport has to be told; raises SettingsError where there is no token."""
    said = found.telegram
    if not said.token:
        raise SettingsError(
            "no token for the bot: set DECKCALL_TELEGRAM_TOKEN, or write the token from BotFather"
            f" into {found.home / 'telegram.token'} and chmod 600 that file"
        )
    from bot.transports.telegram import Gate, TelegramConfig

    boats = {chat: str(folder) for chat, folder in said.boats.items()}
    return TelegramConfig(
        token=said.token,
        api=said.api,
        file=found.home / "telegram.db",
        gate=Gate(
            frozenset(said.crew) | frozenset(boats),
            frozenset(said.skippers),
            frozenset(said.guests),
        ),
        zone=found.boat.zone,
        max_bytes=int(said.max_file_mb * 1e6),
        max_sound_s=found.speech.max_s,
        acknowledge=said.acknowledge,
        boats=boats,
        lanes=min(said.workers, len(boats) + 1),
    )


@contextmanager
def crew_answers(found: Settings, ears: "Workers") -> "Iterator[Answers]":
    """Answer in a process of its own, and hear in others: what breaks there breaks only that."""
    from bot.cli.crew_desk import open_crew_desk
    from bot.transports.isolated import Isolated
    from bot.transports.telegram import Answers, BoardView

    with Isolated(open_crew_desk, found) as desk:

        def board(chat: int) -> "BoardView | None":
            view = desk.call("board", chat)
            return None if view is None else BoardView(*view)

        desk.call("board", 0)  # a log that cannot be opened shows now, not at the first call

        def only_asks(text: str) -> bool:
            return bool(desk.call("only_asks", text))

        yield Answers(
            lambda said: desk.call("answer_all", said),
            board if found.telegram.board else None,
            only_asks,
            lambda message: _begun(desk, ears, message),
            lambda: desk.call("tidy"),
            lambda chat: desk.call("unasked", chat, "telegram"),
        )


@contextmanager
def _web_answers(found: Settings, ears: "Workers") -> "Iterator[WebAnswers]":
    from bot.cli.crew_desk import open_crew_desk
    from bot.transports.isolated import Isolated
    from bot.transports.web import WebAnswers

    with Isolated(open_crew_desk, found) as desk:

        def board() -> str:
            view = desk.call("board", 0)
            return view[1] if view else "No trip yet. Say: trip start."

        desk.call("board", 0)
        yield WebAnswers(
            desk.answer,
            board,
            lambda: desk.call("spread_png"),
            lambda message: _begun(desk, ears, message),
            lambda text: bool(desk.call("only_asks", text)),
            lambda: desk.call("tidy"),
            unasked=lambda: desk.call("unasked", 0, "web"),
        )


def _begun(desk: "Isolated", ears: "Workers", message: Message) -> "Future[Heard] | None":
    """Begin to hear a recording; None where it was answered before."""
    grammar = desk.call("grammar", message)
    if grammar is None:
        return None
    return ears.listen(message.sound or b"", message.name, grammar)
