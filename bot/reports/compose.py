"""Make the report of a trip, counted with the functions that answer in the chat.

Where it went is known as far as somebody aboard shared it: spots, and the way between them. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta
from itertools import pairwise
from typing import Any, Final

from bot.advice.rates import wilson
from bot.answers.values import row_json, tally_json
from bot.answers.view import View
from bot.replies.logged import plain_words
from bot.reports.followed import outcomes
from bot.reports.placements import placements
from bot.reports.report import (
    Catch,
    Day,
    Encounter,
    LogNote,
    Point,
    RateRow,
    Report,
    Share,
    Span,
    SpeciesCatch,
    Spot,
    TallyTable,
)
from bot.reports.rules import cautions, rules
from bot.reports.story import story
from bot.reports.tray_rows import rigs, tray_rows
from bot.sky.light import Light, light_at
from bot.stamps import Fix
from bot.trip.acts import CAUGHT, FISH_ACTS, MISSED, TABLE
from bot.trip.entry import Entry
from bot.trip.exposure import By, horizon
from bot.trip.fish import End, Fish
from bot.trip.measured import water_c
from bot.trip.state import Trip
from bot.trip.tally import TallyRow, tally
from bot.water.bearing import leg

BYS: Final[tuple[By, ...]] = ("position", "size", "colour", "lure", "hour")
"""What strikes are counted by, in the order of the report."""


def compose(
    view: View, boat: str = "", *, positions: bool = False, track: Sequence[Fix] = ()
) -> Report:
    """Work out the report of the trip of a view; places stand in it only where `positions` says so."""
    trip, now = view.trip, view.now
    total = tally((trip,), "none", now, view.tz).total
    laid = placements(trip, now)
    proposals = outcomes(trip, view.records, laid, now, view.tz)
    day = _day(view)
    catches = tuple(sorted(_catches(trip.fish), key=lambda one: one.at))
    landed = _landed(catches)
    bys: tuple[By, ...] = (*BYS, "angler") if any(one.angler for one in trip.fish) else BYS
    where = spots(view) if positions else ()
    way = points(track) if positions else ()
    return Report(
        trip=trip.id,
        boat=boat,
        day=day,
        story=story(boat, day, total, catches, proposals, view.tz),
        total=RateRow(**row_json(total)),
        raises=total.raises,
        lost=total.lost,
        catches=catches,
        landed=landed,
        bites=tuple(sorted(_bites(view), key=lambda one: one.at)),
        shares=_shares(trip, total),
        tallies=tuple(_counted(view, by) for by in bys),
        placements=laid,
        outcomes=proposals,
        rigs=rigs(view),
        trays=tray_rows(view, laid),
        told=_told(view),
        with_positions=positions,
        spots=where,
        distance_nm=distance_nm(way or where),
        track=way,
        rules=rules(landed, day),
        cautions=cautions(total),
        gaps=_gaps(trip),
    )


def _day(view: View) -> Day:
    trip = view.trip
    until = horizon(trip, view.now) if trip.entries else None
    spans = [(a, b or until or a) for a, b in trip.intervals]
    fishing = sum((b - a for a, b in spans), timedelta())
    readings = trip.readings
    return Day(
        trip.started,
        trip.ended,
        until,
        trip.intervals[0][0] if trip.intervals else None,
        trip.intervals[-1][1] if trip.intervals else None,
        round(fishing / timedelta(hours=1), 3),
        _crew(view),
        trip.entries,
        _span(r.speed_kn for r in readings),
        _span(water_c(view.stood)),
        _span([*(r.depth_m for r in readings), *(e.stamp.depth_m for e in view.stood)]),
        view.units,
    )


def _crew(view: View) -> tuple[str, ...]:
    """Return everybody who called something, each once: an entry that two called has both names."""
    names = (name for entry in view.stood for name in entry.callers)
    return tuple(dict.fromkeys(name for name in names if name))


def _span(values: Iterable[float | None]) -> Span | None:
    known = [value for value in values if value is not None]
    return Span(min(known), max(known)) if known else None


def _counted(view: View, by: By) -> TallyTable:
    return TallyTable(by, tuple(RateRow(**row) for row in tally_json(view, by)["rows"]))


def _shares(trip: Trip, total: TallyRow) -> tuple[Share, ...]:
    """Return what became of what: hooked and landed as the chat counts them, and what else the log tells."""
    counted = row_json(total, conversion=True)
    raised = [fish for fish in trip.fish if fish.raised_at is not None]
    ended_well = sum(fish.is_strike and fish.caught > 0 for fish in trip.fish)
    return (
        _share("raised fish that struck", _of(sum(f.is_strike for f in raised), len(raised))),
        _share("strikes that hooked up", counted["hooked"]),
        _share("fish on, of which the end is known, that were caught", counted["landed"]),
        _share("strikes that ended in a catch", _of(ended_well, total.strikes)),
    )


def _of(some: int, of: int) -> dict[str, Any]:
    interval = wilson(some, of)
    return {"count": some, "of": of, "low": interval and round(interval.low, 3),
            "high": interval and round(interval.high, 3)}  # fmt: skip


def _share(what: str, one: Mapping[str, Any]) -> Share:
    return Share(what, one["count"], one["of"], one["low"], one["high"])


def _catches(all_fish: Sequence[Fish]) -> Iterable[Catch]:
    for fish in all_fish:
        for end in fish.ends:
            if end.act in CAUGHT and fish.is_catch:
                yield Catch(
                    end.at, end.species or fish.species, end.count, TABLE[end.act].keeps,
                    end.length_cm, end.weight_kg, end.tagged, end.tag, fish.line or fish.position,
                    fish.label, end.crew, _fought_min(fish, end), end.angler or fish.angler,
                    end.weight_unit, end.length_unit,
                )  # fmt: skip


def _fought_min(fish: Fish, end: End | None) -> float | None:
    if end is None or fish.hooked_at is None or not fish.was_on or end.at < fish.hooked_at:
        return None
    return round((end.at - fish.hooked_at) / timedelta(minutes=1), 1)


def _landed(catches: Iterable[Catch]) -> tuple[SpeciesCatch, ...]:
    found: dict[str | None, SpeciesCatch] = {}
    for one in catches:
        row = found.get(one.species, SpeciesCatch(one.species, 0, 0, 0))
        found[one.species] = SpeciesCatch(
            one.species,
            row.kept + one.count * one.kept,
            row.released + one.count * (not one.kept),
            row.tagged + one.count * one.tagged,
        )
    return tuple(sorted(found.values(), key=lambda r: (-(r.kept + r.released), r.species or "~")))


def _bites(view: View) -> Iterable[Encounter]:
    return (_bite(fish, view) for fish in view.trip.fish if fish.is_catch)


def _bite(fish: Fish, view: View) -> Encounter:
    end = fish.ends[-1] if fish.ends else None
    fought = _fought_min(fish, end) if end is not None and end.act not in MISSED else None
    return Encounter(
        fish.bite_at or fish.first_at, fish.line or fish.position, fish.label, fish.species,
        fish.count, _fate(fish), fought, light_of(view, fish.id),
    )  # fmt: skip


def _fate(fish: Fish) -> str:
    if fish.end is not None:
        row = TABLE[fish.end]
        return row.label if row.stage != "caught" else "kept" if row.keeps else "let go"
    if not fish.was_struck:
        return "rose only"
    return "on" if fish.is_on else "not told"


def _told(view: View) -> tuple[LogNote, ...]:
    trip = view.trip
    found = [
        LogNote(
            s.at, "seen", ", ".join(w for w in (s.what, _many(s.count, s.species)) if w), s.crew
        )
        for s in trip.sightings
    ]
    found += [LogNote(m.at, "mark", m.text, m.crew) for m in trip.marks]
    found += [LogNote(n.at, "note", n.text, n.crew) for n in trip.notes]
    found += [
        LogNote(e.at, TABLE[e.call.act].label, _in_words(e), e.crew)
        for e in view.stood
        if TABLE[e.call.act].form in ("plain", "trouble") and TABLE[e.call.act].kind == "boat"
    ]
    found += [
        LogNote(
            f.first_at,
            "interaction",
            ", ".join(w for w in (f.species, f.line) if w),
            f.bite_crew or "",
        )
        for f in trip.fish
        if not f.is_catch
    ]
    return tuple(sorted(found, key=lambda one: one.at))


def _in_words(entry: Entry) -> str:
    """Return an entry in words; of trouble also what was said: only that tells who was hurt, and how."""
    words = plain_words(entry.call)
    if TABLE[entry.call.act].form != "trouble" or not entry.text:
        return words
    return ": ".join(part for part in (words, f'"{entry.text}"') if part)


def _many(count: int | None, species: str | None) -> str:
    return " ".join(w for w in (str(count) if count else "", species or "") if w)


def _gaps(trip: Trip) -> tuple[str, ...]:
    found = [finding.text for finding in trip.findings if finding.severity != "note"]
    bitten = [fish for fish in trip.fish if fish.is_strike]
    nowhere = sum(fish.position is None for fish in bitten)
    untold = sum(_fate(fish) in ("not told", "on") for fish in bitten)
    nameless = sum(e.count for f in bitten for e in f.ends if e.act in CAUGHT and not f.species)
    counts = (
        (nowhere, "without a position"),
        (untold, "of which nobody said how they ended"),
        (nameless, "caught and not named"),
    )
    for many, what in counts:
        if many:
            noun = "Fish" if "caught" in what else "Strikes"
            found.append(f"{noun} {what}: {many}.")
    if trip.entries and trip.ended is None:
        found.append("Nobody has said that the trip is over.")
    return tuple(dict.fromkeys(found))


def spots(view: View) -> tuple[Spot, ...]:
    """Return the entries that carry a place, by the time they happened."""
    found: list[Spot] = []
    number = 0
    for entry in view.stood:
        if entry.place is None:
            continue
        fish = entry.call.act in FISH_ACTS
        numbered = fish or TABLE[entry.call.act].form == "mark"
        number += numbered
        found.append(Spot(entry.at, _what(entry), *entry.place, number if numbered else None, fish))
    return tuple(found)


def points(track: Iterable[Fix]) -> tuple[Point, ...]:
    """Return the track as the report has it."""
    return tuple(Point(fix.at, *fix.place) for fix in track if fix.place is not None)


def light_of(view: View, entry: str) -> Light | None:
    """Return the light of an entry: at its own place, else at the boat's usual one."""
    found = next((one for one in view.stood if one.id == entry), None)
    place = None if found is None else found.place or view.place
    return None if found is None or place is None else light_at(*place, found.at)


def distance_nm(way: Sequence[Spot] | Sequence[Point]) -> float | None:
    """Return the length of the way along places in nautical miles; None for fewer than two."""
    if len(way) < 2:
        return None
    here = [(spot.latitude, spot.longitude) for spot in way]
    return round(sum(leg(a, b).distance_nm for a, b in pairwise(here)), 2)


def _what(entry: Entry) -> str:
    call = entry.call
    words = TABLE[call.act].label
    about = call.species or call.what or call.position or call.text
    return f"{words}: {about}" if about else words
