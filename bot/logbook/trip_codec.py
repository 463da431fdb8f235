"""A folded trip to text that is kept beside its figures, and back: lures in the water, fish, riggings, notes.

What readiness, the advice and the count of waves (so the speeds too) look at in earlier trips; the rest
stays in the entries. Times are whole seconds since 1970. Only `logbook.summaries` keeps these, and makes
them anew at need.
"""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import fields, replace
from datetime import UTC, datetime
from itertools import chain, islice
from operator import attrgetter
from typing import Any, Final, TypeVar

from bot.trip.fish import End, Fish
from bot.trip.meant import as_plain, from_plain
from bot.trip.state import DragReading, FouledLine, Reading, Remark, Rigging, Stint, Trip

_Held = TypeVar("_Held")

_TIMES: Final = frozenset(
    {
        "start",
        "end",
        "at",
        "first_at",
        "raised_at",
        "struck_at",
        "hooked_at",
        "leader_at",
        "closed_at",
    }
)
_FISH: Final = tuple(f.name for f in fields(Fish) if f.name not in ("entries", "ends"))
_END: Final = tuple(f.name for f in fields(End))
_STINT: Final = tuple(f.name for f in fields(Stint))
_FOULED: Final = tuple(f.name for f in fields(FouledLine))
_RIGGING: Final = tuple(f.name for f in fields(Rigging))
_REMARK: Final = tuple(f.name for f in fields(Remark))
_DRAG: Final = tuple(f.name for f in fields(DragReading))
_SPEED: Final = ("at", "entry", "speed_kn")
_TRIP: Final = ("started", "ended", "first_at", "last_at")


def encode_trip(trip: Trip) -> str:
    """Return a trip as text; what was in the water at its last word came out then."""
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
        "drags": _rows(trip.drags, _DRAG),
    }  # fmt: skip
    return json.dumps(held, ensure_ascii=False, separators=(",", ":"))


def decode_trip(text: str) -> Trip:
    """Read a trip back; what is not kept of it is empty."""
    held = json.loads(text)
    started, ended, first_at, last_at = _times(held["times"])
    return Trip(
        id=held["id"],
        entries=held["entries"],
        made_first=held["made_first"],
        readings=_made(Reading, held["speeds"], _SPEED),
        started=started,
        ended=ended,
        first_at=first_at,
        last_at=last_at,
        stints=_made(Stint, held["stints"], _STINT),
        fish=_made(Fish, [[(), *row] for row in held["fish"]], ("entries", *_FISH, "ends")),
        fouled=_made(FouledLine, held["fouled"], _FOULED),
        rigging=_made(Rigging, held["rigging"], _RIGGING),
        notes=_made(Remark, held["notes"], _REMARK),
        drags=_made(DragReading, held["drags"], _DRAG),
    )


def _rows(held: Iterable[object], names: tuple[str, ...]) -> list[list[Any]]:
    read = attrgetter(*names)
    plain = [_PLAIN.get(name, _as_second) for name in names]
    return [[make(v) for make, v in zip(plain, read(one), strict=True)] for one in held]


def _made(kind: Callable[..., _Held], rows: list[Any], names: Sequence[str]) -> tuple[_Held, ...]:
    """Make values of rows, column by column: forty trips are ten thousand of them."""
    columns = dict(zip(names, zip(*rows, strict=True), strict=True)) if rows else {}
    read = [
        _READ.get(field.name, _as_it_is)(columns[field.name])
        for field in fields(kind)  # type: ignore[arg-type]
        if field.name in columns
    ]
    return tuple(map(kind, *read)) if rows else ()


def _as_second(value: Any) -> Any:
    return _second(value) if isinstance(value, datetime) else value


def _second(at: datetime | None) -> int | None:
    return None if at is None else int(at.timestamp())


def _times(seconds: Iterable[int | None]) -> list[datetime | None]:
    at = datetime.fromtimestamp
    return [None if second is None else at(second, UTC) for second in seconds]


def _as_it_is(column: Iterable[Any]) -> Iterable[Any]:
    return column


def _tuples(column: Iterable[Any]) -> Iterable[Any]:
    return map(tuple, column)


def _meanings(column: Iterable[Any]) -> Iterable[Any]:
    return map(from_plain, column)


def _ends(column: Sequence[Any]) -> Iterable[Any]:
    made = iter(_made(End, list(chain.from_iterable(column)), _END))
    return [tuple(islice(made, len(rows))) for rows in column]


_PLAIN: Final[Mapping[str, Callable[[Any], Any]]] = {"meant": as_plain}
"""How a value is kept whose column has this name; others are kept as they are, times in seconds."""
_READ: Final[Mapping[str, Callable[[Sequence[Any]], Iterable[Any]]]] = {
    **dict.fromkeys(_TIMES, _times), "colours": _tuples, "ends": _ends, "meant": _meanings,
}  # fmt: skip
"""How a column is read; others are as they are. The columns are a type's first fields, in their order."""
