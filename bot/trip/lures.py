"""A lure as the crew describes it: name, colours, size and head, each known or not.

Calls, lures in the water, stints and fish all carry these four slots, so what is said here about
"the same lure" holds for all of them. Pure; knows the tackle box only as values.
"""

from collections.abc import Sequence
from typing import Final, Protocol

from bot.tackle.box import SIZE_STEP_IN, find, same_name
from bot.tackle.items import Lure
from bot.trip.call import Call

LURE_SLOTS: Final = ("lure", "size_in", "colours", "head")


class LureSlots(Protocol):
    """Anything that says which lure: a call, a lure in the water, a stint, a fish."""

    @property
    def lure(self) -> str | None:
        """Return its name in the tackle box."""

    @property
    def size_in(self) -> float | None:
        """Return its length in inches."""

    @property
    def colours(self) -> tuple[str, ...]:
        """Return its colours in the order said."""

    @property
    def head(self) -> str | None:
        """Return the shape of its head."""


def is_known(lure: LureSlots) -> bool:
    """Return whether anything at all is known about the lure."""
    return bool(lure.lure or lure.colours or lure.head) or lure.size_in is not None


def label(lure: LureSlots) -> str:
    """Return the name, or the words for it such as `purple 8-inch`; `unknown lure` where nothing is known."""
    if lure.lure:
        return lure.lure
    words = [*lure.colours]
    if lure.head and not lure.colours:
        words.append(lure.head)
    if lure.size_in is not None:
        words.append(f"{lure.size_in:g}-inch")
    return " ".join(words) or "unknown lure"


def full_label(lure: LureSlots) -> str:
    """Return the name with what it looks like, e.g. `Church Hat (purple and black 8-inch)`; else `label`."""
    size = "" if lure.size_in is None else f"{lure.size_in:g}-inch"
    looks = " ".join(word for word in (" and ".join(lure.colours), size) if word)
    return f"{lure.lure} ({looks})" if lure.lure and looks else label(lure)


def same_size(one: float | None, other: float | None) -> bool:
    """Return whether two sizes are the same, allowing for rounding in what was said."""
    if one is None or other is None:
        return one is other
    return abs(one - other) < SIZE_STEP_IN


def agrees(said: LureSlots, there: LureSlots) -> bool:
    """Return whether a description can be of the lure that is there: nothing known of both differs.

    Of a lure in two colours one may have been said, in either of the two.
    """
    if said.lure and there.lure:
        return same_name(said.lure, there.lure)
    sized = said.size_in is not None and there.size_in is not None
    if sized and not same_size(said.size_in, there.size_in):
        return False
    if said.head and there.head and said.head != there.head:
        return False
    mine, theirs = set(said.colours), set(there.colours)
    return not mine or not theirs or mine <= theirs or theirs <= mine


def same_lure(one: LureSlots, other: LureSlots) -> bool:
    """Return whether both are described alike, in whatever order of colours."""
    if one.lure or other.lure:
        return bool(one.lure and other.lure) and same_name(one.lure or "", other.lure or "")
    return (
        same_size(one.size_in, other.size_in)
        and set(one.colours) == set(other.colours)
        and one.head == other.head
    )


def from_water(call: Call, there: LureSlots) -> Call:
    """Return a call with the lure slots that were not said taken from the lure that is there."""
    return call.with_slots(
        lure=call.lure or there.lure,
        size_in=there.size_in if call.size_in is None else call.size_in,
        colours=call.colours or there.colours,
        head=call.head or there.head,
    )


def from_box(call: Call, box: Sequence[Lure]) -> Call:
    """Return a call with its lure slots taken from the box, where exactly one lure of it fits."""
    if not call.names_lure:
        return call
    fits = find(
        box, lure=call.lure, colours=call.colours, size_in=call.size_in, head=call.head
    ) or (find(box, lure=call.lure) if call.lure else ())
    return from_water(call, _Named(fits[0])) if len(fits) == 1 else call


def lure_slots(item: Lure) -> LureSlots:
    """Return the lure slots of a lure of the box."""
    return _Named(item)


class _Named:
    """A lure of the box in the form of `LureSlots`."""

    def __init__(self, item: Lure) -> None:
        self.lure: str | None = item.name
        self.size_in: float | None = item.size_in
        self.colours = item.colours
        self.head: str | None = item.head
