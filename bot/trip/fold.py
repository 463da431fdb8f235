"""Fold the entries of one trip, in order, into what is true after them. Never raises, whatever the order.

What is odd becomes a finding. `Folding` keeps the progress, so that a caller may look at the trip
between two entries; `fold` is all of it at once. The life of a fish is in `fish_log`. Pure.
"""

from collections.abc import Iterable
from copy import copy
from dataclasses import replace
from datetime import datetime
from typing import assert_never, cast

from bot.findings import Finding, Severity
from bot.tackle.box import same_name
from bot.trip.acts import TABLE, BoatAct, LineAct, LureAct
from bot.trip.entry import Entry
from bot.trip.fish import Fish
from bot.trip.fish_log import FishLog
from bot.trip.lines import Fouling, line_for, lines_at, moved_from, weedy_lines
from bot.trip.lures import is_known
from bot.trip.meant import LostLure, TroubleOver, Weedy
from bot.trip.runs import Runs
from bot.trip.state import (
    DragReading,
    InTray,
    InWater,
    Prey,
    Reading,
    Remark,
    Rigging,
    Sighting,
    Trip,
    Trouble,
    Turn,
)
from bot.trip.whereabouts import PlaceFix


class Folding:
    """The progress of a fold; `add` takes the next entry, `trip` gives what is true now."""

    def __init__(self) -> None:
        self._id = ""
        self._started: datetime | None = None
        self._start_said = False
        self._made_first = ""
        self._ended: datetime | None = None
        self._first_at: datetime | None = None
        self._last_at: datetime | None = None
        self._count = 0
        self._fishing_since: datetime | None = None
        self._intervals: list[tuple[datetime, datetime | None]] = []
        self._spread: dict[str, InWater] = {}
        self._previous: dict[str, InWater] = {}
        self._runs = Runs()
        self._fouling = Fouling()
        self._fish = FishLog()
        self._readings: list[Reading] = []
        self._speed_kn: float | None = None
        self._sightings: list[Sighting] = []
        self._marks: list[Remark] = []
        self._notes: list[Remark] = []
        self._rigging: list[Rigging] = []
        self._turns: list[Turn] = []
        self._drags: list[DragReading] = []
        self._prey: list[Prey] = []
        self._trouble: list[Trouble] = []
        self._trays: list[InTray] = []
        self._lost: list[InWater] = []
        self._findings: list[Finding] = []
        self._fixes: list[PlaceFix] = []
        self._thermometer: list[tuple[datetime, float]] = []

    def add(self, entry: Entry) -> None:
        """Take the next entry; entries come in order of the time at which they happened."""
        self._id = self._id or entry.trip
        self._first_at = self._first_at or entry.at
        self._last_at = entry.at
        self._made_first = min(self._made_first or entry.id, entry.id)
        self._count += 1
        if entry.place is not None:
            self._fixes.append(PlaceFix(entry.at, *entry.place))
        if entry.stamp.water_c is not None:
            self._thermometer.append((entry.at, entry.stamp.water_c))
        kind = TABLE[entry.call.act].kind
        match kind:
            case "fish":
                self._on_fish(entry)
            case "line":
                self._on_lines(entry)
            case "boat":
                self._on_boat(entry)
            case "lure":
                self._on_lure(entry)
            case "question" | "control":
                self._find("note", "no-entry", f"{entry.call.act} is no entry of a log; left out.")
            case _:
                assert_never(kind)

    def copy(self) -> "Folding":
        """Return an independent copy."""
        other = copy(self)
        for name, value in vars(self).items():
            if isinstance(value, list | dict):
                setattr(other, name, value.copy())
        other._fish, other._fouling = self._fish.copy(), self._fouling.copy()
        other._runs = self._runs.copy()
        return other

    def trip(self) -> Trip:
        """Return what is true after the entries so far."""
        fish = tuple(self._fish.all)
        return Trip(
            id=self._id,
            started=self._started or self._first_at,
            start_said=self._start_said,
            ended=self._ended,
            first_at=self._first_at,
            last_at=self._last_at,
            made_first=self._made_first,
            entries=self._count,
            fishing_since=self._fishing_since,
            intervals=tuple(self._intervals),
            spread=dict(self._spread),
            previous={k: v for k, v in self._previous.items() if k not in self._spread},
            stints=self._runs.stints(self._fish.off()),
            dips=tuple(self._runs.dips),
            fouled=self._fouling.spans,
            fish=fish,
            readings=tuple(self._readings),
            sightings=tuple(self._sightings),
            marks=tuple(self._marks),
            notes=tuple(self._notes),
            rigging=tuple(self._rigging),
            turns=tuple(self._turns),
            next_angler=self._fish.next_angler,
            rods=dict(self._fish.rods),
            drags=tuple(self._drags),
            prey=tuple(self._prey),
            trouble=tuple(self._trouble),
            trays=tuple(self._trays),
            lost=tuple(self._lost),
            findings=tuple(self._findings),
            fixes=tuple(self._fixes),
            thermometer=tuple(self._thermometer),
        )

    # The trip and the lines

    def _start(self, entry: Entry) -> None:
        said = not entry.inferred
        if self._start_said or (self._intervals and self._started is not None):
            self._find("note", "trip-already-started", "The trip had started before.")
        elif said or self._started is None:
            self._started = entry.at
        self._start_said = self._start_said or said
        self._ended = None

    def _end(self, entry: Entry) -> None:
        if self._ended is not None:
            self._find("note", "trip-already-ended", "The trip had ended before.")
        if self._fishing_since is not None:
            self._lines_out(entry.at)
        for one in self._fish.close_all(entry.at):
            where = one.position or "a line"
            self._find(
                "caution",
                "fish-still-on",
                f"Nobody said how the fish on {where} ended.",
                one.position,
            )
        self._ended = entry.at

    def _on_lines(self, entry: Entry) -> None:
        call, at = entry.call, entry.at
        line = line_for(self._spread, call.position, call.side) if call.position else None
        act = cast(LineAct, call.act)
        match act:
            case "lines_in":
                self._lines_in(at)
            case "lines_out":
                if self._fishing_since is None:
                    self._find(
                        "note", "lines-already-out", "The lines were out of the water already."
                    )
                else:
                    self._lines_out(entry.at)
            case "clear":
                self._clear(entry)
            case "set" | "swap":
                self._lay(entry)
            case "angler":
                self._turns.append(Turn(at, entry.id, call.angler or "", call.position, line))
                self._fish.turn(call.angler or "", line, entry.at)
            case "drag":
                self._drags.append(
                    DragReading(at, entry.id, call.drag_kg or 0.0, call.position, line)
                )
            case _:
                assert_never(act)

    def _lines_in(self, at: datetime) -> None:
        if self._ended is not None:
            self._find("note", "after-trip-end", "Lines in after the end of the trip: it goes on.")
            self._ended = None
        if self._fishing_since is not None:
            self._find("note", "lines-already-in", "The lines were in already.")
            return
        self._fishing_since = at
        self._intervals.append((at, None))
        for line, lure in self._spread.items():
            self._spread[line] = replace(lure, since=at)
            self._run(line, at)
        self._fish.close_partly_ended(at)
        for one in self._fish.on():
            self._find(
                "caution",
                "fish-still-on",
                f"A fish is still on at {one.position or 'an unnamed position'}; say how it ended.",
                one.position,
            )

    def _lines_out(self, at: datetime) -> None:
        self._fishing_since = None
        self._intervals[-1] = (self._intervals[-1][0], at)
        self._runs.stop_all(at)
        self._fouling.stop(None, at)

    def _clear(self, entry: Entry) -> None:
        call = entry.call
        lines = lines_at(self._spread, call.position, call.side)
        if not lines:
            where = call.position or "which position"
            self._find("note", "empty-position", f"Nothing was out: {where}.", call.position)
        for line in lines:
            self._take_up(line, entry.at)

    def _lay(self, entry: Entry) -> None:
        call = entry.call
        if call.position is None:
            self._find(
                "caution", "which-position", f"No position was said: {entry.text or call.act}."
            )
            return
        line = line_for(self._spread, call.position, call.side, new=call.act == "set")
        before = self._spread.get(line) or self._previous.get(line)
        lure = InWater(
            call.position, call.lure, call.size_in, call.colours, call.head, entry.at,
            side=call.side or (before.side if before else None),
            line=line, set_at=entry.at, entry=entry.id, guessed=_is_guessed(entry, before),
        )  # fmt: skip
        if call.act == "set" and not is_known(lure) and before is not None:
            lure = replace(
                lure,
                lure=before.lure,
                size_in=before.size_in,
                colours=before.colours,
                head=before.head,
            )
        if call.act == "set":
            self._moved_from(entry, lure)
        if call.lure and not lure.guessed:
            self._take_name(call.lure)
        self._take_up(line, entry.at)
        self._spread[line] = lure
        if self._fishing_since is not None:
            self._run(line, entry.at)

    def _moved_from(self, entry: Entry, lure: InWater) -> None:
        line = moved_from(entry.call, entry.inferred, self._spread, lure.line)
        if line is not None:
            self._take_up(line, entry.at)

    def _take_name(self, name: str) -> None:
        """Remove a guessed name from a lure, where another lure turns out to bear it."""
        for line, there in self._spread.items():
            if there.guessed and same_name(there.lure or "", name):
                self._spread[line] = replace(there, lure=None, head=None, guessed=False)

    def _take_up(self, line: str, at: datetime) -> None:
        self._runs.stop(line, at)
        self._fouling.stop(line, at)
        if lure := self._spread.pop(line, None):
            self._previous[line] = lure

    def _run(self, line: str, at: datetime) -> None:
        self._runs.start(self._spread[line], at, self._speed_kn)

    # Fish

    def _on_fish(self, entry: Entry) -> None:
        call = entry.call
        line = None
        if call.position is not None:
            line = line_for(self._spread, call.position, call.side)
        row = TABLE[call.act]
        if row.needs_lines and self._fishing_since is None:
            self._find("note", "lines-not-in", f"A {call.act} while lines were out.", call.position)
        fish = self._fish.add(entry, line, self._spread)
        if row.loses_lure:
            self._lose(fish, entry)

    def _lose(self, fish: Fish, entry: Entry) -> None:
        lure = self._spread.get(fish.line or "")
        bite = fish.bite_at
        if lure is None or (lure.set_at is not None and bite is not None and bite < lure.set_at):
            return  # the present lure went out after the fish took the one before
        self._gone(entry.at, line=lure.line)

    def _gone(self, at: datetime, name: str = "", line: str = "") -> None:
        """Take a lure that is lost off its line."""
        for lure in tuple(self._spread.values()):
            if lure.line == line or (name and same_name(lure.lure or "", name)):
                self._take_up(lure.line, at)
                self._previous.pop(lure.line, None)
                self._lost.append(lure)

    # What is said and stays

    def _on_boat(self, entry: Entry) -> None:
        call, at, one = entry.call, entry.at, entry.id
        text = call.text or ""
        act = cast(BoatAct, call.act)
        match act:
            case "trip_start":
                self._start(entry)
            case "trip_end":
                self._end(entry)
            case "sighting":
                if call.what == "weed" and self._fishing_since is not None:
                    self._fouling.start(weedy_lines(call.meaning(Weedy), self._spread), at)
                self._sightings.append(
                    Sighting(at, entry.id, call.what, call.species, call.count, entry.crew)
                )
            case "mark":
                self._marks.append(Remark(at, entry.id, text, entry.crew))
            case "note":
                self._notes.append(Remark(at, entry.id, text, entry.crew, call.meant))
            case "speed" | "water":
                self._readings.append(
                    Reading(at, entry.id, call.speed_kn, call.water_c, call.depth_m, call.what)
                )
                self._speed_kn = call.speed_kn or self._speed_kn
            case "bait":
                self._prey.append(Prey(at, one, call.species, call.size_in, call.count, call.text))
            case "conditions":
                pass  # wind, sea and sky stand in the log and change nothing of the trip
            case "emergency":
                over = call.meaning(TroubleOver) is not None
                self._trouble.append(Trouble(at, one, call.what, entry.crew, entry.place, over))
            case _:
                assert_never(act)

    def _on_lure(self, entry: Entry) -> None:
        call, at = entry.call, entry.at
        act = cast(LureAct, call.act)
        match act:
            case "ready" | "rework":
                self._rigging.append(
                    Rigging(
                        at, entry.id, act == "ready", call.lure, call.size_in, call.colours,
                        call.head, call.text, entry.crew, call.meaning(LostLure) is not None,
                    )
                )  # fmt: skip
                if call.lure and call.meaning(LostLure) is not None:
                    self._gone(at, call.lure)
            case "tray":
                self._trays.append(
                    InTray(
                        at, entry.id, call.tray or "", call.lure, call.size_in, call.colours,
                        call.head, call.position, call.text,
                    )
                )  # fmt: skip
            case _:
                assert_never(act)

    def _find(self, severity: Severity, code: str, text: str, position: str | None = None) -> None:
        self._findings.append(Finding(severity, text, "the log", position, code))


def fold(entries: Iterable[Entry], until: datetime | None = None) -> Trip:
    """Return what is true after the entries of one trip, or after those up to a time.

    Entries come in order of the time at which they happened (`history.standing_entries`).
    """
    folding = Folding()
    for entry in entries:
        if until is None or entry.at <= until:
            folding.add(entry)
    return folding.trip()


def _is_guessed(entry: Entry, before: InWater | None) -> bool:
    """Return whether nobody said the name of the lure that goes out, now or when it was there before."""
    if "lure" not in entry.inferred:
        return False
    return before is None or before.guessed or before.lure != entry.call.lure
