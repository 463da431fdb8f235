"""What the network may say of a word: the act that it helps to make, and the slot that it fills.

An act is written with its `what` or `about` where one belongs to it ("sighting:birds"), so that "birds
and bait" is two acts. Pure.
"""

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
QUALIFIED: Final = {
    "sighting": "what",
    "emergency": "what",
    "ask_tally": "about",
    "ask_last": "about",
}
"""Acts that are written with the value of a slot."""


def act_label(act: str, slots: dict[str, object]) -> str:
    """Return how an act with these slots is written."""
    slot = QUALIFIED.get(act)
    value = slots.get(slot) if slot else None
    return f"{act}:{value}" if value else act


def act_and_slot(label: str) -> tuple[str, dict[str, str]]:
    """Return the act of a label, and the slot that is written in it."""
    act, _, value = label.partition(":")
    return (act, {QUALIFIED[act]: value}) if value else (act, {})
