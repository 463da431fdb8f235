"""What is going on when a line is said, as the network is told it. Pure."""

from collections.abc import Collection
from typing import Final

from bot.calls.reader.labels import LAST

FLAGS: Final = (
    "fish on", "several on", "lines out", "just bitten", "just lost", "just caught", "just cleared",
    "just laid", "just seen", "trouble", "asked", "asked position", "asked lure", "asked fish",
    "just measured", "just called the rod",
)  # fmt: skip
"""One bit each, in this order; new ones go to the end."""


ABOUT_A_LURE: Final = ("just lost", "just caught", "just cleared", "just laid")
"""Flags with which a lure was just spoken of: "needs a new leader" is about that one."""


def bits(on: int, fishing: bool, last: str, asked: str = "") -> int:
    """Return the flags as bits.

    `on`: fish that are on; `last`: the act of the last entry, if it is fresh; `asked`: what the open
    question is about ("position", "lure", "fish", or anything else), empty where none is open.
    """
    names = {
        "fish on" if on else "", "several on" if on > 1 else "", "" if fishing else "lines out",
        LAST.get(last, ""), "asked" if asked else "", f"asked {asked}",
    }  # fmt: skip
    return bits_of(names)


def bits_of(names: Collection[str]) -> int:
    """Return the flags of these names as bits; names that are no flag are passed over."""
    return sum(1 << n for n, name in enumerate(FLAGS) if name in names)
