"""What can be said, and the usual cautions, as `help` gives them. Pure."""

from collections.abc import Mapping, Sequence
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
_LINES: Final = ("short corner", "long corner", "long rigger", "shotgun")
"""The positions of the examples, from the nearest to the farthest."""
_IMPERIAL: Final[Mapping[str, str]] = {
    "12 kilos": "26 pounds", "twenty four two": "seventy five", "fourteen metres": "forty five feet",
}  # fmt: skip


def examples(
    positions: Sequence[str] = (), imperial: bool = False
) -> Mapping[str, tuple[str, ...]]:
    """Return what can be said by topic, in a boat's own positions and units."""
    told = dict(_IMPERIAL) if imperial else {}
    if positions and not {*_LINES} <= {*positions}:
        last = len(positions) - 1
        there = (0, min(1, last), max(last - 1, 0), last)
        told |= {line: positions[at] for line, at in zip(_LINES, there, strict=True)}
    return {topic: tuple(_with(one, told) for one in said) for topic, said in EXAMPLES.items()}


def _with(said: str, told: Mapping[str, str]) -> str:
    line = next((word for word in told if word in _LINES and word in said), "")
    for word in (*(word for word in told if word not in _LINES), *((line,) if line else ())):
        said = said.replace(word, told[word])
    return said


def _listed(by_topic: Mapping[str, tuple[str, ...]]) -> str:
    lines = (f"{topic}: {' · '.join(said)}" for topic, said in by_topic.items())
    return "\n".join(("Say it as you would on deck, typed or spoken:", *lines))


HELP: Final = _listed(EXAMPLES)
SHORT_CAUTION: Final = (
    "Skipper first: gloves on the leader, no wraps, knife in reach, clear of the line;"
    " a harness can pull you in."
)
"""Shown once a trip, on the first fish that is on."""


def help_text(private: bool, positions: Sequence[str] = (), imperial: bool = False) -> str:
    """Return what can be said; with the cautions in full where only one person reads it."""
    told = _listed(examples(positions, imperial))
    return f"{told}\n\n{all_cautions() if private else DEFER}"
