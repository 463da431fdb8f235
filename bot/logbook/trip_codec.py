"""A folded trip to text that is kept beside its figures, and back: lures in the water, fish, riggings, notes.

What readiness, the advice and the count of waves (so the speeds too) look at in earlier trips; the rest
stays in the entries. Times are whole seconds since 1970. Only `logbook.summaries` keeps these, and makes
them anew at need.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import fields, replace
from datetime import UTC, datetime
from operator import attrgetter
from typing import Any, Final

from bot.trip.state import End, Fish, Fouled, Reading, Remark, Rigging, Stint, Trip

_TIMES: Final = frozenset(
    {"start", "end", "at", "first_at", "raised_at", "struck_at", "hooked_at", "closed_at"}
)
_FISH: Final = tuple(f.name for f in fields(Fish) if f.name not in ("entries", "ends"))
_END: Final = tuple(f.name for f in fields(End))
_STINT: Final = tuple(f.name for f in fields(Stint))
_FOULED: Final = tuple(f.name for f in fields(Fouled))
_RIGGING: Final = tuple(f.name for f in fields(Rigging))
_REMARK: Final = tuple(f.name for f in fields(Remark))
_TRIP: Final = ("started", "ended", "first_at", "last_at")


def encode_trip(trip: Trip) -> str:
    """Give a trip as text; what was in the water at its last word came out then."""
    over = trip.ended or trip.last_at
    stints = (
        s if s.end or over is None else replace(s, end=max(s.start, over)) for s in trip.stints
    )
    held = {
        "id": trip.id,
        "entries": trip.entries,
        "made_first": trip.made_first,
        "times": [_second(getattr(trip, name)) for name in _TRIP],
        "stints": _rows(stints, _STINT),
        "fish": [[*row, _rows(fish.ends, _END)]
                 for row, fish in zip(_rows(trip.fish, _FISH), trip.fish, strict=True)],
        "fouled": _rows(trip.fouled, _FOULED),
        "rigging": _rows(trip.rigging, _RIGGING),
        "speeds": [[_second(r.at), r.entry, r.speed_kn] for r in trip.readings if r.speed_kn],
        "notes": _rows(trip.notes, _REMARK),
    }  # fmt: skip
    return json.dumps(held, ensure_ascii=False, separators=(",", ":"))


def decode_trip(text: str) -> Trip:
    """Read a trip back; what is not kept of it is empty."""
    held = json.loads(text)
    times = [_time(second) for second in held["times"]]
    return Trip(
        id=held["id"],
        entries=held["entries"],
        made_first=held["made_first"],
        readings=tuple(
            Reading(datetime.fromtimestamp(at, UTC), entry, speed)
            for at, entry, speed in held["speeds"]
        ),
        started=times[0],
        ended=times[1],
        first_at=times[2],
        last_at=times[3],
        stints=tuple(Stint(**values) for values in _values(held["stints"], _STINT)),
        fish=tuple(_fish(row) for row in held["fish"]),
        fouled=tuple(Fouled(**values) for values in _values(held["fouled"], _FOULED)),
        rigging=tuple(Rigging(**values) for values in _values(held["rigging"], _RIGGING)),
        notes=tuple(Remark(**values) for values in _values(held["notes"], _REMARK)),
    )


def _fish(row: Sequence[Any]) -> Fish:
    (values,) = _values([row[:-1]], _FISH)
    ends = tuple(End(**end) for end in _values(row[-1], _END))
    return Fish(entries=(), ends=ends, **values)


def _rows(held: Iterable[object], names: tuple[str, ...]) -> list[list[Any]]:
    read = attrgetter(*names)
    return [[_second(v) if isinstance(v, datetime) else v for v in read(one)] for one in held]


def _values(rows: Iterable[Sequence[Any]], names: tuple[str, ...]) -> Iterable[dict[str, Any]]:
    times = [place for place, name in enumerate(names) if name in _TIMES]
    colours = names.index("colours") if "colours" in names else None
    for row in rows:
        values = list(row)
        for place in times:
            values[place] = _time(values[place])
        if colours is not None:
            values[colours] = tuple(values[colours])
        yield dict(zip(names, values, strict=True))


def _second(at: datetime | None) -> int | None:
    return None if at is None else int(at.timestamp())


def _time(second: int | None) -> datetime | None:
    return None if second is None else datetime.fromtimestamp(second, UTC)
