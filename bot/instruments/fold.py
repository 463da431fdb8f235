"""Sentences, one after the other, to what is measured now: each value with its age, nothing stale. Pure."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Final

from bot.instruments.sentences import DropReason, Sentence, read
from bot.stamps import Fix, Stamp

STALE_AFTER: Final = timedelta(seconds=10)
"""Nothing older is used: at 8 kn the boat is 40 m on."""
METRES_A_HDOP: Final = 5.0
"""What a receiver is off by, for each unit of its horizontal dilution of precision (from memory; a rule of
thumb for receivers without correction)."""
_DEPTHS: Final = ("DPT", "DBS", "DBT")
"""Depth sentences, best first: from the surface before from the transducer."""
_HEADINGS: Final = ("HDT", "HDG", "VHW")

_Value = tuple[float, datetime]


@dataclass(frozen=True, slots=True)
class Instruments:
    """What the sentences so far have said, and when."""

    place: tuple[float, float, datetime] | None = None
    values: Mapping[str, _Value] = field(default_factory=dict)
    """By name; of depths and headings with the sentence: `depth_m DPT`."""
    used: int = 0
    dropped: Mapping[DropReason, int] = field(default_factory=dict)

    def take(self, line: str, at: datetime) -> "Instruments":
        """Take a line that came at a time (aware)."""
        return self.with_sentence(read(line), at)

    def with_sentence(self, said: Sentence | DropReason, at: datetime) -> "Instruments":
        """Take a sentence that was read already."""
        if isinstance(said, str):
            return self.without(said)
        place = (*said.place, at) if said.place is not None else self.place
        values = {**self.values} | {_key(k, said.kind): (v, at) for k, v in said.values.items()}
        return Instruments(place, values, self.used + 1, self.dropped)

    def without(self, why: DropReason) -> "Instruments":
        """Count a line that is not used."""
        counted = {**self.dropped, why: self.dropped.get(why, 0) + 1}
        return Instruments(self.place, self.values, self.used, counted)

    def fix(self, now: datetime) -> Fix:
        """Return what is measured at a time; what is older or newer than `STALE_AFTER` is left out."""
        latitude, longitude, age_s = None, None, 0.0
        if self.place is not None and _fresh(self.place[2], now):
            latitude, longitude = self.place[:2]
            age_s = abs((now - self.place[2]).total_seconds())
        hdop = self._fresh("hdop", now)
        within_m = hdop * METRES_A_HDOP if hdop is not None and latitude is not None else None
        return Fix(now, latitude, longitude, age_s, within_m, self._stamp(now, latitude))

    def _stamp(self, now: datetime, latitude: float | None) -> Stamp:
        return Stamp(
            "instruments" if latitude is not None else None,
            self._fresh("cog_deg", now),
            self._fresh("sog_kn", now),
            self._fresh("stw_kn", now),
            self._heading(now),
            self._fresh("water_c", now),
            self._best("depth_m", _DEPTHS, now),
        )

    def _heading(self, now: datetime) -> float | None:
        """Return the true heading: as sent, else the compass with the variation that another sentence has."""
        true = self._best("heading_deg", _HEADINGS, now)
        if true is not None:
            return true
        compass, variation = self._fresh("magnetic_deg", now), self._fresh("variation_deg", now)
        if compass is None or variation is None:
            return None
        return round((compass + variation) % 360, 2)

    def _best(self, name: str, kinds: Iterable[str], now: datetime) -> float | None:
        found = (self._fresh(f"{name} {kind}", now) for kind in kinds)
        return next((value for value in found if value is not None), None)

    def _fresh(self, name: str, now: datetime) -> float | None:
        value = self.values.get(name)
        return round(value[0], 2) if value is not None and _fresh(value[1], now) else None


def replay(lines: Iterable[str]) -> Iterator[tuple[datetime, Instruments]]:
    """Yield the time and what was known then, for each sentence of a record; the time is that of ZDA and RMC.

    What comes before the first time counts as not used; a time that goes back is not followed.
    """
    so_far, now = Instruments(), None
    for line in lines:
        if not line.strip():
            continue
        said = read(line)
        if isinstance(said, Sentence) and said.time is not None:
            now = said.time if now is None else max(now, said.time)
        if now is None:
            so_far = so_far.without(said if isinstance(said, str) else "not used")
            continue
        so_far = so_far.with_sentence(said, now)
        yield now, so_far


def to_json(instruments: Instruments) -> dict[str, Any]:
    """Return all of it as plain values."""
    place = instruments.place
    return {
        "place": None if place is None else [place[0], place[1], place[2].isoformat()],
        "values": {k: [v, at.isoformat()] for k, (v, at) in instruments.values.items()},
        "used": instruments.used,
        "dropped": dict(instruments.dropped),
    }


def from_json(data: Mapping[str, Any]) -> Instruments:
    """Read what `to_json` gave; raises ValueError, KeyError or TypeError where it is not that."""
    place = data["place"]
    return Instruments(
        None if place is None else (float(place[0]), float(place[1]), _time(place[2])),
        {str(k): (float(v), _time(at)) for k, (v, at) in data["values"].items()},
        int(data["used"]),
        dict(Counter(data["dropped"])),
    )


def _time(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _key(name: str, kind: str) -> str:
    return f"{name} {kind}" if name in ("depth_m", "heading_deg") else name


def _fresh(at: datetime, now: datetime) -> bool:
    return abs(now - at) <= STALE_AFTER
