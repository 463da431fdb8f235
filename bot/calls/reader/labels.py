"""What the network may say of a word: the act that it helps to make, and the slot that it fills.

An act is written with its `what` or `about` where one belongs to it ("sighting:birds"), so that "birds
and bait" is two acts. Pure.
"""

from collections.abc import Mapping
from typing import Final

NO_ACT: Final = "-"
"""A word that belongs to no call."""
NO_ROLE: Final = "-"
ROLES: Final = (
    NO_ROLE, "position", "side", "colours", "size_in", "head", "lure", "species", "count",
    "length_cm", "weight_kg", "tag", "tagged", "speed_kn", "water_c", "depth_m", "about", "tackle",
    "ago_min", "clock", "angler", "drag_kg", "wind_kn", "wind_from", "sea_m", "tray", "text",
    "old_colours", "old_size_in", "old_lure", "what",
)  # fmt: skip
"""What a word may be there for."""
SPEAKER: Final = "me"
"""The angler of a call where the one who speaks is meant: "mine", "I've got it"."""
ACT_QUALIFIERS: Final = {
    "sighting": "what",
    "emergency": "what",
    "ask_tally": "about",
    "ask_last": "about",
}
"""Acts that are written with the value of a slot."""


LAST: Final[Mapping[str, str]] = {
    "strike": "just bitten", "raise": "just seen", "miss": "just lost", "pulled_hook": "just lost",
    "break_off": "just lost", "boat": "just caught", "release": "just caught",
    "clear": "just cleared", "lines_out": "just cleared", "set": "just laid", "swap": "just laid",
    "sighting": "just seen", "emergency": "trouble", "speed": "just measured",
    "water": "just measured", "conditions": "just measured", "drag": "just measured",
    "angler": "just called the rod",
}  # fmt: skip
"""Act of the last entry -> what is going on after it, as the networks are told."""
SEEN: Final = "sighting"
BAIT: Final = "bait"
CLEARED: Final = "clear"
ALL_LINES: Final = frozenset({"lines_in", "lines_out"})
TO_THE_END: Final = frozenset({"note"})
"""Acts whose text goes on to the end of the line, whatever it seems to say."""
ONE_PLACE: Final = frozenset({"amend", "swap"})
"""Acts that are about one position; a second one is what was wrong, or where a lure comes from."""
NEEDS_POSITION: Final = frozenset({"set", "swap", "strike"})
"""Acts of which a position is asked where none was said."""
OF_A_LURE: Final = frozenset({"ready", "rework", "set", "swap"})
"""Acts of which a lure is asked where none was said."""
SHARED_SLOTS: Final[Mapping[str, str]] = {"tray": "tray", "boat": "species", "release": "species"}
"""Act -> what is said once for several of it: "the hat and the nail in tray two", "both mahi, nine kilos
and eight"."""
URGENT: Final = frozenset({"emergency"})
BARE: Final = frozenset({"yes", "no"})
"""Answers, which are the grammar's to decide: no network makes one of another line."""
PLAIN: Final = frozenset({"yes", "no", "undo", "note", "ready", "rework", "emergency"})
"""Acts whose wordings the grammar has nearly all, and that invent no fish."""
NAMED_BY_GRAMMAR: Final = frozenset({"mark", "clear"})
"""Acts whose text or line the grammar reads where the networks read the act: "mark the bank"."""
OF_THE_SEA: Final = frozenset({"speed", "water", "conditions", "sighting"})
"""Acts that count nothing and move nothing: they are logged at a lower probability."""
BITE: Final = "strike"
RAISE: Final = "raise"
SAID_AGAIN: Final[Mapping[str, str]] = {
    "clear": "clear {}", "set": "put it on {}", "strike": "strike on {}", "raise": "raised one on {}",
    "swap": "swap {}", "hookup": "hooked up on {}",
}  # fmt: skip
"""How an act is said again of another line."""


def act_label(act: str, slots: dict[str, object]) -> str:
    """Return how an act with these slots is written."""
    slot = ACT_QUALIFIERS.get(act)
    value = slots.get(slot) if slot else None
    return f"{act}:{value}" if value else act


def act_and_slot(label: str) -> tuple[str, dict[str, str]]:
    """Return the act of a label, and the slot that is written in it."""
    act, _, value = label.partition(":")
    return (act, {ACT_QUALIFIERS[act]: value}) if value else (act, {})
