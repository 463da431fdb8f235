"""The Bot API server and the bot of the transports' tests, for attacks on them."""

from tests.transports.conftest import api, base, bot

__all__ = ["api", "base", "bot"]
