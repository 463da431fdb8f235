"""The words of the reply to what a message did to the log: entries, tally, next change.

Lures that are called one after another stand in one line; what an instrument reads where the crew calls
something else is said beside. Pure.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import groupby
from typing import Final

from bot.answers.answer import NO, YES, Answer, Change, Offer
from bot.answers.any_of_them import which_of_them
from bot.answers.corrected import corrected_line, lower
from bot.answers.day_end import day_lines
from bot.answers.emergency import emergency_answer, still_open_lines, way_back_lines
from bot.answers.fish_care import bitten_lines
from bot.answers.fit import tackle_lines
from bot.answers.of_fish import fish_entry, of_fish
from bot.answers.prey_talk import bait_lines
from bot.answers.put_out import PutOut
from bot.answers.questions import answers
from bot.answers.spacing import spacing_lines
from bot.answers.standby import standby_lines
from bot.answers.tallies import tally_line
from bot.answers.tray_told import told_of_trays, undone_words
from bot.answers.view import View
from bot.messages import Advice, Button
from bot.reminders.due import Surroundings, promise, reminders_of
from bot.replies.amounts import count, first_few, number, sentence
from bot.replies.logged import LoggedAct, list_words, logged_line, short, spoken_line
from bot.tackle.trays import Tray
from bot.trip.acts import BAIT, CAUGHT, FISH_ACTS, LOST, MISSED, PLACING, READY, SET, TABLE, TRAY
from bot.trip.call import Call
from bot.trip.decision import ResolvedAct
from bot.trip.entry import Entry, Record, Restored, Voided
from bot.trip.exposure import line_hours
from bot.trip.lines import line_for
from bot.trip.lures import full_label, is_known, label
from bot.trip.meant import OnWave, SpreadWish, TroubleOver
from bot.trip.measured import news
from bot.trip.oddities import Oddity
from bot.trip.state import InWater

MOST_LINES: Final = 4
"""Most lines for the entries of one message; more are named in a row."""
MOST_NAMED: Final = 12
"""Most lures that are named; more are counted."""
_OTHERWISE: Final = {
    "water_c": ("thermometer", "°C", 1), "speed_kn": ("speed log", "kn", 1), "depth_m": ("sounder", "m", 0),
}  # fmt: skip
"""Slot -> the instrument, its unit, and the decimals that are worth reading."""


def read_back(change: Change, private: bool = False, put_out: PutOut | None = None) -> Answer:
    """Return the answer for all that a message did; trouble comes first.

    `put_out` is the tray that went out with it.
    """
    made = [
        r for r in change.records if isinstance(r, Entry) and TABLE[r.call.act].form == "trouble"
    ]
    trouble = [entry for entry in made if entry.call.meaning(TroubleOver) is None]
    answer = _read_back(change, private, put_out)
    if not trouble:
        return answer
    first = emergency_answer(change.after, trouble[-1])
    besides = [one for one in change.decision.entries if TABLE[one.call.act].form != "trouble"]
    text = f"{first.text}\n{answer.text}" if any(not one.implied for one in besides) else first.text
    return replace(first, text=text)


def _read_back(change: Change, private: bool, put_out: PutOut | None) -> Answer:
    if put_out is None:
        lines, spoken = _logged(change)
    else:
        lines, spoken = [*put_out.lines, *_beside(put_out, change)], put_out.spoken
    advice: Advice | None = None
    offer: Offer | None = None
    buttons: tuple[Button, ...] = ()
    mend = _mend(change.decision.oddities)
    lines += _findings(change.decision.oddities)
    if mend is not None:
        offer = Offer(f"Shall I log {_mend_words(mend)}?", ((mend,),), said="mend")
        lines.append(offer.question)
        spoken = f"{spoken} {offer.question}"
        buttons = (YES, NO)
    elif (which := which_of_them(change)) is not None:
        offer, buttons = which
        lines.append(offer.question)
        spoken = f"{spoken} {offer.question}"
    calls = [one.call for one in change.decision.entries if not one.implied]
    lines += [
        *measured_otherwise(change.records, change.before, change.after),
        *_promises(change, calls),
        *_nowhere(change),
    ]
    lines += _on_calls(change.before, change.after, calls)
    if fish_entry(change) is not None:
        told = of_fish(change, offer)
        lines, advice, buttons = [*lines, *told.lines], told.advice, told.buttons or buttons
        spoken = f"{spoken} {told.spoken}".strip()
    elif any(isinstance(record, Voided | Restored) for record in change.records):
        lines += [] if any(one.first for one in change.decision.entries) else _after_void(change)
    made = [record for record in change.records if isinstance(record, Entry)]
    lines += [*still_open_lines(change.before, change.after), *way_back_lines(change.after, made)]
    lines += (day := _day(change))
    asked = change.decision.asides
    asides = answers(change.after, asked, private) if asked else []
    for one in asides:
        lines.append(one.text)
        spoken = f"{spoken} {one.spoken}".strip()
        advice, offer = one.advice or advice, one.offer or offer
        buttons = one.buttons or buttons
    text = "\n".join(line for line in lines if line)
    pictures = tuple(picture for one in asides for picture in one.pictures)
    paper = change.after.files and (bool(day) or any(one.report for one in asides))
    return Answer(text, spoken.strip(), advice, offer, buttons, pictures, paper)


def _on_calls(before: View, after: View, calls: Sequence[Call]) -> list[str]:
    """Return what calls make worth saying: of tackle, of what was seen, of bites, of where lures run."""
    lines = tackle_lines(before, after, calls)
    if any(call.what for call in calls):
        lines += standby_lines(after, calls)
    if any(call.act == BAIT for call in calls):
        lines += bait_lines(calls)
    lines += bitten_lines(before, after, calls)
    if any(call.speed_kn is not None or call.meaning(OnWave) for call in calls):
        lines += spacing_lines(before, after, calls)
    return lines


def _beside(put_out: PutOut, change: Change) -> list[str]:
    """Return the lines of what was called in the breath in which a tray went out."""
    of_it = {(call.act, call.position) for call in put_out.calls}
    told = [one for one in change.decision.entries if not one.implied and one.first is None]
    return [
        logged_line(_about(one, change))
        for one in told
        if (one.call.act, one.call.position) not in of_it and one.call.act != TRAY
    ]


def _day(change: Change) -> list[str]:
    """Return the day in a few lines, where this ends it."""
    ended = (one for one in change.decision.entries if TABLE[one.call.act].form == "ended")
    return day_lines(change.after) if any(not one.first for one in ended) else []


def _of_trays(told: Iterable[ResolvedAct], change: Change) -> list[str]:
    calls = [one.call for one in told if one.call.act == TRAY]
    return told_of_trays(change.after, calls, change.before) if calls else []


def _logged(change: Change) -> tuple[list[str], str]:
    decision = change.decision
    lines = [sentence(refused.reason) for refused in decision.refused]
    spoken = list(lines)
    undone = _undone(change)
    if undone:
        lines.append(f"Undone: {undone}.")
        spoken.append(f"Undone: {undone}.")
    if never := _taken_back(change):
        lines.append(never)
        spoken.append(never)
    back = _back(change)
    if back:
        lines.append(f"Back in the log: {back}.")
        spoken.append(f"Back in the log: {back}.")
    told = [one for one in decision.entries if not one.implied]
    if len(told) > 1 and all(TABLE[one.call.act].form == "set" for one in told):
        lines += [row_words(told), *_all_out(told, change)]
        spoken.append(f"{len(told)} lures set.")
        return lines, " ".join(spoken)
    again = [one for one in told if one.first is not None]
    lines += (of_trays := _of_trays(told, change))
    spoken += of_trays[:1]
    told = [one for one in told if one.first is None and one.call.act != TRAY]
    known = [sentence(f"Already logged: {short(one.call)}") for one in decision.known]
    known += [_already(one, change) for one in again]
    lines, spoken = [*lines, *known], [*spoken, *known]
    in_rows = rows(told)
    for row in in_rows[:MOST_LINES]:
        one = row[0]
        words = logged_line(_about(one, change)) if len(row) == 1 else row_words(row)
        lines.append(corrected_line(words, one, change) if one.replaces and not one.adds else words)
        lines += _all_out(row, change) if len(row) > 1 else []
    if more := [one.call for row in in_rows[MOST_LINES:] for one in row]:
        lines.append(f"Also: {list_words(more)}.")
    if told:
        first = spoken_line(told[0].call)
        corrects = told[0].replaces and not told[0].adds
        spoken.append(f"Corrected: {lower(first)}" if corrects else first)
        if len(told) > 1:
            spoken.append(f"And {len(told) - 1} more.")
    if decision.new_trip and all(TABLE[one.call.act].form != "began" for one in told):
        lines.append("A new trip begins with it.")
    return lines, " ".join(spoken)


def _already(one: ResolvedAct, change: Change) -> str:
    """Return the line that somebody else has called the same before, all of it where more was said."""
    known = next((e.call for e in change.before.stood if e.id == one.replaces), one.call)
    new = one.call.said().items() - known.said().items() if one.call.act in CAUGHT else ()
    if {name for name, _ in new} - {"position", "side"}:
        return f"Added to that of {one.first}: {lower(logged_line(_about(one, change)))}"
    return sentence(f"Already logged by {one.first}: {short(one.call)}")


def _taken_back(change: Change) -> str:
    """Return the sentence about hook-ups that never stuck; empty where there are none."""
    calls = [entry.call for entry in _never_stuck(change)]
    return f"Taken back: {list_words(calls)}, it never stuck." if calls else ""


def _undone(change: Change) -> str:
    replaced = {one.replaces for one in change.decision.entries if one.replaces}
    never = {entry.id for entry in _never_stuck(change)}
    gone = set(change.decision.voids) - replaced - never
    return _named([e.call for e in change.before.stood if e.id in gone])


def _never_stuck(change: Change) -> list[Entry]:
    """Return the hook-ups that were taken back, which are told apart; a miss that was is simply undone."""
    gone = set(change.decision.taken_back)
    return [e for e in change.before.stood if e.id in gone and e.call.act not in MISSED]


def _back(change: Change) -> str:
    back = set(change.decision.restores)
    return _named([e.call for e in change.after.stood if e.id in back])


def _named(calls: Sequence[Call]) -> str:
    """Name entries; all that put a tray out are one: `the slow tray put out, 4 lines`."""
    lines: dict[str, int] = {}
    others = []
    into = [call for call in calls if call.act == TRAY and call.tray]
    for call in calls:
        if call in into:
            continue
        if (wish := call.meaning(SpreadWish)) is None or not wish.from_tray:
            others.append(call)
        else:
            lines[wish.from_tray] = lines.get(wish.from_tray, 0) + 1
    trays = [f"{Tray(name).words} put out, {count(many, 'line')}" for name, many in lines.items()]
    undone = undone_words(into) if into else []
    return "; ".join([*trays, *undone, *([list_words(others)] if others else [])])


def _about(one: ResolvedAct, change: Change) -> LoggedAct:
    call = one.call
    line = line_for(change.before.trip.spread, call.position, call.side) if call.position else None
    there = change.before.trip.spread.get(line) if line else None
    if there is not None and one.replaces == there.entry and TABLE[call.act].lays:
        there = None  # what is put right is what hangs there now
    hours = None
    row = TABLE[call.act]
    if there is not None and row.form != "set":
        then = replace(change.before, now=one.at)
        hours = line_hours(change.before.trip, there, then.now)
        if not row.places and there.label != label(call):
            hours = None
    if row.form == "set" and not _came_out(one, change):
        there = None
    return LoggedAct(
        call, one.at, change.said_at, change.after.tz, change.before.trip, change.after.trip,
        hours, there, _fought(one, change),
    )  # fmt: skip


def _came_out(one: ResolvedAct, change: Change) -> InWater | None:
    """Return the lure that came out where another is set on its line; None where that was said."""
    others = [x for x in change.decision.entries if x is not one]
    said = any(x.call.position == one.call.position and x.call.act in PLACING for x in others)
    if said or one.replaces or change.late or one.call.position is None:
        return None
    spread = change.before.trip.spread
    there = spread.get(line_for(spread, one.call.position, one.call.side))
    moved = {label(x.call) for x in change.decision.entries if x.call.act in PLACING}
    return None if there is None or not is_known(there) or there.label in moved else there


def _fought(one: ResolvedAct, change: Change) -> timedelta | None:
    if one.call.act not in CAUGHT | LOST:
        return None
    made = {r.id for r in change.records if isinstance(r, Entry) and r.call == one.call}
    for fish in reversed(change.after.trip.fish):
        start = fish.hooked_at or fish.struck_at
        ended = any(end.entry in made and end.at == one.at for end in fish.ends)
        if ended and start is not None and one.at > start:
            return one.at - start
    return None


def _mend(oddities: tuple[Oddity, ...]) -> Call | None:
    return next((oddity.mend for oddity in oddities if oddity.mend is not None), None)


def _mend_words(mend: Call) -> str:
    return ", ".join([short(mend), label(mend)] if is_known(mend) else [short(mend)])


def _findings(oddities: tuple[Oddity, ...]) -> list[str]:
    return list(dict.fromkeys(oddity.finding.text for oddity in oddities))


def _nowhere(change: Change) -> list[str]:
    """Return that a mark has no place, where nothing told it: it is of no use to go back to."""
    marks = (r for r in change.records if isinstance(r, Entry) and TABLE[r.call.act].form == "mark")
    return (
        ["No place was kept with it: nothing told where the boat is."]
        if any(one.place is None for one in marks)
        else []
    )


def _promises(change: Change, calls: Sequence[Call]) -> list[str]:
    """Return when the reminders will come that were just asked for."""
    if all(TABLE[call.act].form != "text" for call in calls):
        return []
    view = change.after
    place = view.here or next((e.place for e in reversed(view.stood) if e.place), view.place)
    surroundings = Surroundings(view.tz, place)
    new = {record.id for record in change.records}
    return [
        promise(asked, note.at, surroundings)
        for note, asked in reminders_of(view.trip)
        if note.entry in new
    ]


def _after_void(change: Change) -> list[str]:
    """Return the tally where an undo, or its undo, has changed it."""
    turned = {i for r in change.records if isinstance(r, Voided | Restored) for i in r.entries}
    known = (*change.before.stood, *change.after.stood)
    fish = [e for e in known if e.id in turned and e.call.act in FISH_ACTS]
    return [tally_line(change.after, None, "strike")] if fish else []


def rows(told: Sequence[ResolvedAct]) -> list[tuple[ResolvedAct, ...]]:
    """Return what is told in the rows in which it is written: lures of one act together, all else alone."""
    found: list[tuple[ResolvedAct, ...]] = []
    for key, group in groupby(told, key=_kind):
        row = tuple(group)
        found += [row] if key else [(one,) for one in row]
    return found


def _kind(one: ResolvedAct) -> str:
    if one.replaces:
        return ""
    if one.call.act == READY:
        return READY if is_known(one.call) else ""
    return SET if one.call.act == SET else ""


def row_words(row: Sequence[ResolvedAct]) -> str:
    """Write several lures of one act in a line: `Set: short corner Church Hat; shotgun Rusty Nail.`"""
    if row[0].call.act == READY:
        return sentence(f"Ready: {first_few([label(one.call) for one in row], MOST_NAMED)}")
    words = (f"{one.call.position or ''} {full_label(one.call)}".strip() for one in row)
    return sentence(f"Set: {'; '.join(words)}")


def _all_out(row: Sequence[ResolvedAct], change: Change) -> list[str]:
    """Return the line of what came out where several lures are set on lines that had others, or none."""
    came = [there for one in row if one.call.act == SET and (there := _came_out(one, change))]
    told = "; ".join(f"{there.line or there.position} {full_label(there)}" for there in came)
    return [f"Came out: {told}."] if told else []


def measured_otherwise(records: Iterable[Record], before: View, after: View) -> list[str]:
    """Return what an instrument reads where the crew calls something else, once a trip."""
    lines = []
    for entry in records:
        if isinstance(entry, Entry):
            for name, (_, measured) in news(entry, before.stood).items():
                instrument, unit, decimals = _OTHERWISE[name]
                reads = f"{number(measured, decimals)} {unit}"
                if name == "water_c":
                    reads = after.units.warmths(measured, measured)
                elif name == "depth_m":
                    reads = after.units.distance(measured)
                lines.append(f"The {instrument} reads {reads}; your call stands.")
    return lines
