"""The bot itself, with its Desk, that waits a moment where the program waits for long.

`python -m tests.transports.quick_bot`; everything else comes from the environment.
"""

from dataclasses import replace

from bot.cli.talk import serve_crew, telegram_config
from bot.settings import load
from bot.transports.telegram import TelegramConfig
from tests.transports.waits import BOARD_EVERY_S, PATIENCE_S, QUICK


def quick(config: TelegramConfig) -> TelegramConfig:
    """Shorten every wait of a bot."""
    return replace(config, waits=QUICK, board_every_s=BOARD_EVERY_S, patience_s=PATIENCE_S)


def main() -> None:
    """Serve until told to stop."""
    found = load()
    serve_crew(found, quick(telegram_config(found)))


if __name__ == "__main__":
    main()
