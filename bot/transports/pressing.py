"""How long what a button says keeps its meaning, for every transport with buttons. Pure."""

from typing import Final, Literal

QUESTIONS: Final = frozenset({"why", "tally", "what's out", "what next", "help"})
"""What a button may say at any time: it changes nothing."""
BARE: Final = frozenset({"yes", "no", "first", "second"})
"""What means something else once another question is open."""

Lasts = Literal["always", "log", "turn"]


def lasts(say: str) -> Lasts:
    """Return how long a button without a question of its own can be pressed.

    `always`; until the `log` changes, for one that says a whole call; or until the next `turn`: something
    was logged or asked.
    """
    if say in QUESTIONS:
        return "always"
    return "turn" if say in BARE else "log"
