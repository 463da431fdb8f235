"""Keys of the terminal without waiting for them: space or enter opens the ear, q ends.

On a system without termios, or where nobody sits at the terminal, there are no keys.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Final

TALK: Final = frozenset({" ", "\r", "\n"})
END: Final = frozenset({"q", "Q", "\x04"})


@dataclass(slots=True)
class Keys:
    """The keys that were pressed and not yet taken."""

    descriptor: int | None = None
    waiting: list[str] = field(default_factory=list)

    def take(self) -> str:
        """Return one key that was pressed, or nothing."""
        self._look()
        return self.waiting.pop(0) if self.waiting else ""

    def are_waiting(self) -> bool:
        """Return whether a key was pressed; it stays to be taken."""
        self._look()
        return bool(self.waiting)

    def _look(self) -> None:
        if self.descriptor is None:
            return
        import select

        while select.select([self.descriptor], [], [], 0)[0]:
            pressed = os.read(self.descriptor, 64)
            if not pressed:
                self.descriptor = None
                return
            self.waiting += pressed.decode("utf-8", errors="ignore")


@contextmanager
def terminal_keys() -> Iterator[Keys]:
    """Read single keys while this lasts; the terminal is put back as it was."""
    if not sys.stdin.isatty():
        yield Keys()
        return
    try:
        import termios
        import tty
    except ImportError:  # Windows
        yield Keys()
        return
    descriptor = sys.stdin.fileno()
    before = termios.tcgetattr(descriptor)
    try:
        tty.setcbreak(descriptor)
        yield Keys(descriptor)
    finally:
        termios.tcsetattr(descriptor, termios.TCSADRAIN, before)
