"""Take one message and return one reply; read `desk` first.

`Desk` is imported only when it is used, so that a command that only reads the log starts fast.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bot.desk.desk import Desk

__all__ = ["Desk"]


def __getattr__(name: str) -> Any:
    if name == "Desk":
        from bot.desk.desk import Desk

        return Desk
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
