"""One message in, one reply out: the page to read first is `desk`."""

from bot.desk.desk import Desk

__all__ = ["Desk"]
