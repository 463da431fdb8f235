"""The Desk in a process of its own: what goes wrong in it does not take the bot down.

Only messages, replies and plain values cross.
"""

from typing import Any

from bot.messages import Message, Reply
from bot.own_process import Limits, Opener, OwnProcess, ProcessBroken
from bot.transcript import HearingResult

__all__ = ["IsolatedDesk", "Limits", "ProcessBroken"]


class IsolatedDesk:
    """A Desk that lives in another process; started when it is first needed. One thread only."""

    def __init__(self, opener: Opener, *args: object, limits: Limits | None = None) -> None:
        self._apart = OwnProcess(opener, *args, limits=limits, name="desk")

    def __enter__(self) -> "IsolatedDesk":
        return self

    def __exit__(self, *_exc: object) -> None:
        self.close()

    def answer(self, message: Message, heard: HearingResult | None = None) -> Reply:
        """Answer a message over there; `heard` is what was made of its recording.

        Raises what was raised there, or Broken.
        """
        reply: Reply = self.call("answer", message, heard)
        return reply

    def call(self, method: str, *args: object, seconds: float | None = None) -> Any:
        """Call a method over there with values that can be pickled; `seconds` is a limit of its own."""
        return self._apart.call(method, *args, seconds=seconds)

    def close(self) -> None:
        """End the process; an answer under way there is finished first."""
        self._apart.close()
