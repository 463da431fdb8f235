"""One message in, one reply out: the page to read first is `desk`.

`Desk` is imported only when it is asked for: who only looks at the log does without all that answers.
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
