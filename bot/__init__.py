"""deckcall: calls on deck become a log, a tally and the next change.

`from bot import Desk` is the way in for programs (contract, section 4); it is imported only when it is
asked for, so that a command that needs no desk starts fast.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bot.desk import Desk

__all__ = ["Desk"]


def __getattr__(name: str) -> Any:
    if name == "Desk":
        from bot.desk import Desk

        return Desk
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
