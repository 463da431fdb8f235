"""The crew on Telegram: nothing is lost, nothing is logged twice, no stranger is served.

A raw update goes into the inbox and is committed before Telegram is told that it arrived (`poll`); it
is handled in the order of its boat (`queues`, `handle`) by one of a few workers (`lane`); that it is
done and what is to be sent are one transaction (`store`, `commits`); what is to be sent is tried until
it has left (`send`). `run` holds them together. `updates` reads Telegram's JSON, `gate` says who may
talk, `crews` how they are called.
"""

from bot.transports.telegram.board import BoardView
from bot.transports.telegram.gate import Gate
from bot.transports.telegram.lane import Answers
from bot.transports.telegram.pace import Waits
from bot.transports.telegram.run import TelegramConfig, is_running, offer_code, run

__all__ = [
    "Answers",
    "BoardView",
    "Gate",
    "TelegramConfig",
    "Waits",
    "is_running",
    "offer_code",
    "run",
]
