"""What can be said, and the usual cautions, as `help` gives them. Pure."""

from collections.abc import Mapping
from typing import Final

from bot.tackle.cautions import DEFER, all_cautions

EXAMPLES: Final[Mapping[str, tuple[str, ...]]] = {
    "trip": ("trip start", "lines in", "lines out", "trip over"),
    "spread": ("set long rigger purple eight", "swap short corner to black ten", "clear the shotgun",
               "what's out", "show me the spread"),
    "fish": ("strike long rigger", "hooked up", "missed it", "pulled the hook", "boated a wahoo, 12 kilos",
             "released a striped marlin, tagged"),
    "sea": ("birds to port", "speed seven and a half", "water twenty four two", "mark this spot", "sunset"),
    "lures": ("purple eight is ready", "pink six needs a new leader", "what's ready"),
    "mend": ("undo", "no, long corner", "make that a ten", "ten minutes ago, strike shotgun"),
    "ask": ("tally", "by colour", "what next", "why", "last strike"),
    "plan": ("plan a spread for heavy tackle", "another plan", "set it",
             "short corner is fourteen metres back on the second wave"),
    "notes": ("note: new leader on two", "remind me to check for weed in twenty minutes"),
}  # fmt: skip
"""What is shown as help: a topic, and what can be said about it."""
HELP: Final = "\n".join(
    ("Say it as you would on deck, typed or spoken:",
     *(f"{topic}: {' · '.join(said)}" for topic, said in EXAMPLES.items()))
)  # fmt: skip
SHORT_CAUTION: Final = (
    "Skipper first: gloves on the leader, no wraps, knife in reach, clear of the line;"
    " a harness can pull you in."
)
"""Shown once a trip, on the first fish that is on."""


def help_text(private: bool) -> str:
    """Return what can be said; with the cautions in full where only one person reads it."""
    return f"{HELP}\n\n{all_cautions() if private else DEFER}"
