"""What can be said: one value for every call, with the slots of the contract (section 2).

One dataclass with optional slots instead of one class for each act: the acts share their slots, the
JSON form is the same for all, and a grammar file can name any of them. Which act may carry
which slot stands in the table of `acts`. Pure; knows no words, no trip.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from operator import attrgetter
from typing import Any, Final

from bot.trip.acts import LOGGED, Act
from bot.trip.meant import Asks, M, Meaning, as_plain, from_plain, meaning

POSITIONS: Final = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")
SIDES: Final = ("port", "starboard")
COLOURS: Final = (
    "black", "blue", "brown", "chartreuse", "clear", "glow", "gold", "green", "grey",
    "orange", "pink", "purple", "rainbow", "red", "silver", "white", "yellow",
)  # fmt: skip
HEADS: Final = ("blunt", "cupped", "slanted", "slim", "jet", "plug")
WHATS: Final = (
    "bait", "birds", "weed", "debris", "current line", "temperature break", "tailing fish",
    "jumping fish", "fish deep", "whales", "dolphins", "boat",
    "turtle", "seabird", "seal", "protected shark",
)  # fmt: skip
"""What may be seen; the last four are animals that are no catch."""
NO_CATCH: Final = frozenset(
    [*"turtle seabird seal dolphin dolphins whale whales".split(), "protected shark", "sea lion"]
)
"""Animals on a line that are never a catch but an interaction."""
TROUBLES: Final = ("man overboard", "injury", "fire", "flooding", "collision", "distress")
"""What an emergency may be."""


@dataclass(frozen=True, slots=True)
class Call:
    """One thing that was said, with only the slots that were said."""

    act: Act
    position: str | None = None
    side: str | None = None
    colours: tuple[str, ...] = ()
    size_in: float | None = None
    lure: str | None = None
    head: str | None = None
    old_colours: tuple[str, ...] = ()
    old_size_in: float | None = None
    old_lure: str | None = None
    species: str | None = None
    count: int | None = None
    length_cm: float | None = None
    weight_kg: float | None = None
    tagged: bool = False
    tag: str | None = None
    speed_kn: float | None = None
    water_c: float | None = None
    depth_m: float | None = None
    what: str | None = None
    about: str | None = None
    tackle: str | float | None = None
    """`light`, `medium`, `heavy`, or a line class in kg."""
    text: str | None = None
    ago_min: float | None = None
    clock: str | None = None
    """`HH:MM` of the boat's own time."""
    angler: str | None = None
    """Who is on the rod, as said."""
    drag_kg: float | None = None
    wind_kn: float | None = None
    wind_from: str | None = None
    """One of n, ne, e, se, s, sw, w, nw."""
    sea_m: float | None = None
    """Height of the waves in metres."""
    tray: str | None = None
    of_act: str | None = None
    """Amend and undo only: the act of the entry that is meant, unless it is the last; not in the JSON."""
    of_clock: str | None = None
    """Amend and undo only: the time of the entry that is meant; not in the JSON."""
    of_position: str | None = None
    """Amend and undo only: the position of the entry that is meant; not in the JSON."""
    of_species: str | None = None
    """Undo only: the fish whose entry is meant; not in the JSON."""
    meant: tuple[Meaning, ...] = field(default=(), compare=False)
    """What the words mean beyond the slots; only in the log's JSON, and ignored when calls are compared."""

    def meaning(self, kind: type[M]) -> M | None:
        """Return the meaning of a kind, or None where the words had none."""
        return meaning(self.meant, kind)

    def asks(self, what: str) -> bool:
        """Return whether the words also ask for this, a name of the table `asks` of the grammar."""
        found = self.meaning(Asks)
        return found is not None and what in found.what

    @property
    def names_lure(self) -> bool:
        """Return whether anything about a lure was said."""
        return bool(self.colours or self.lure or self.head) or self.size_in is not None

    @property
    def is_entry(self) -> bool:
        """Return whether this becomes an entry of the log."""
        return self.act in LOGGED

    def said(self) -> dict[str, Any]:
        """Return the slots that were said, without the act, as Python values."""
        found = zip(_SLOTS, _values(self), strict=True)
        return {k: v for k, v in found if v is not None and v is not False and v != ()}

    def to_json(self) -> dict[str, Any]:
        """Return the JSON form of the contract, section 2."""
        slots = {k: v for k, v in self.said().items() if not k.startswith("of_")}
        return {"act": self.act} | {k: _plain(k, v) for k, v in slots.items()}

    def to_log(self) -> dict[str, Any]:
        """Return all that the log keeps of a call: every slot, and what the words mean."""
        more = {k: v for k, v in self.said().items() if k.startswith("of_")}
        meant = {"meant": as_plain(self.meant)} if self.meant else {}
        return self.to_json() | more | meant

    def with_slots(self, **slots: Any) -> "Call":
        """Return a copy with these slots changed."""
        return replace(self, **slots)


_SLOTS: Final = tuple(f.name for f in fields(Call) if f.name not in ("act", "meant"))
_values: Final = attrgetter(*_SLOTS)


def from_json(data: Mapping[str, Any]) -> Call:
    """Return the call of a JSON form, with its meanings; raises TypeError for an unknown slot."""
    slots = dict(data)
    slots["meant"] = from_plain(slots.pop("meant", ()))
    for name in ("colours", "old_colours"):
        if name in slots:
            slots[name] = tuple(slots[name])
    if isinstance(slots.get("tackle"), Mapping):
        slots["tackle"] = float(slots["tackle"]["line_class_kg"])
    return Call(**slots)


def _plain(name: str, value: Any) -> Any:
    if name in ("colours", "old_colours"):
        return list(value)
    if name == "tackle" and not isinstance(value, str):
        return {"line_class_kg": _number(value)}
    return _number(value) if isinstance(value, float) else value


def _number(value: float) -> float | int:
    return int(value) if value == int(value) else value
