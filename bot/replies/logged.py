"""What was logged, as one line for each entry: act, place, lure, and how long it was in the water. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final, assert_never

from bot.replies.amounts import clock, count, join_parts, number, sentence, span_words
from bot.trip.acts import TABLE, Form
from bot.trip.call import Call
from bot.trip.lures import full_label, is_known, label
from bot.trip.meant import Bearing, LeavesOut, LostLure, Reminder, Weedy
from bot.trip.said_units import depth, length, measures, units_of, warmth, weight_of
from bot.trip.state import InWater, Trip

LATE: Final = timedelta(seconds=30)
"""An entry that happened longer before it was said shows its time."""


@dataclass(frozen=True, slots=True)
class LoggedAct:
    """One act as it went into the log, with what was true around it."""

    call: Call
    """Complete: with what follows from the log."""
    at: datetime
    said_at: datetime
    tz: tzinfo = UTC
    before: Trip = field(default_factory=Trip)
    after: Trip = field(default_factory=Trip)
    hours: float | None = None
    """Lure-hours of the lure that was there; None where they would mislead."""
    there: InWater | None = None
    """The lure that was on that line before."""
    fought: timedelta | None = None
    """How long the fish was on, where this ended it."""


SIDE_WORDS: Final = ("left", "right", "port", "starboard")
"""Words in the name of a boat's own line that say its side."""


def logged_line(one: LoggedAct) -> str:
    """Return the line that says what was logged."""
    row = TABLE[one.call.act]
    text = _line(one, row.form)
    if one.said_at - one.at > LATE and not row.tells_time:
        first, dot, rest = text.partition(". ")
        text = f"{first.rstrip('.')}, at {clock(one.at, one.tz)}.{' ' if dot else ''}{rest}"
    return text


def _line(one: LoggedAct, form: Form) -> str:
    match form:
        case "began":
            return _trip_start(one)
        case "ended":
            return _trip_end(one)
        case "fishing":
            return _lines_in(one)
        case "stopped":
            return _lines_out(one)
        case "set":
            return _set(one)
        case "clear":
            return _clear(one)
        case "swap":
            return _swap(one)
        case "bite":
            return _bite(one)
        case "leader":
            return _leader(one)
        case "ending":
            return _ending(one)
        case "seen":
            return _sighting(one)
        case "mark":
            return _mark(one)
        case "speed":
            return _speed(one)
        case "water":
            return _water(one)
        case "text":
            return _note(one)
        case "lure":
            return _lure_line(one)
        case "plain" | "trouble":
            return _next_angler(one) or _plain(one.call)
        case _:
            assert_never(form)


def spoken_line(call: Call) -> str:
    """Return one entry aloud, in a breath."""
    row = TABLE[call.act]
    if row.form == "speed" and call.speed_kn is not None:
        return f"Speed {number(call.speed_kn)} knots."
    parts = [row.aloud or row.label]
    if row.stage == "caught" or row.form in ("bite", "leader"):
        parts += [_fish(call)] if call.species or call.count else []
    elif row.form == "seen":
        parts.append(_seen(call))
    elif row.form in ("plain", "trouble"):
        return _plain(call)
    parts.append(_place(call))
    parts += [label(call).removesuffix("-inch")] if row.names_lure and is_known(call) else []
    return sentence(join_parts(parts))


def short(call: Call) -> str:
    """Name an entry in as few words as tell it from others: `strike, long rigger`."""
    row = TABLE[call.act]
    if (kept := call.meaning(Reminder)) is not None:
        return join_parts(("reminder", kept.about))
    about = _place(call) or call.species or call.what or call.angler or call.tray or call.text or ""
    if row.kind == "lure" and is_known(call):
        about = label(call)
    if row.stage == "caught" and call.species:
        about = call.species
    gone = call.meaning(LostLure) is not None
    return join_parts(("lost" if gone else row.label, about))


def with_place(call: Call) -> str:
    """Name an entry as `short` does, and where it happened as well: `boated, wahoo, shotgun`."""
    words, place = short(call), _place(call)
    return words if not place or place in words else join_parts((words, place))


def list_words(calls: Iterable[Call]) -> str:
    """Name several entries, one after the other."""
    return "; ".join(short(call) for call in calls)


def _trip_start(one: LoggedAct) -> str:
    return f"Trip started, {clock(one.at, one.tz)}."


def _trip_end(one: LoggedAct) -> str:
    started = one.after.started or one.after.first_at
    return f"Trip ended, {clock(one.at, one.tz)}{_after(started, one.at)}."


def _lines_in(one: LoggedAct) -> str:
    out = "; ".join(
        f"{lure.line or lure.position} {full_label(lure)}" for lure in one.after.spread.values()
    )
    return f"Lines in, {clock(one.at, one.tz)}. " + (
        sentence(out) if out else "No lure logged yet."
    )


def _lines_out(one: LoggedAct) -> str:
    return f"Lines out, {clock(one.at, one.tz)}{_after(one.before.fishing_since, one.at)}."


def _after(since: datetime | None, at: datetime) -> str:
    return f", after {span_words(at - since)}" if since is not None and since < at else ""


def _set(one: LoggedAct) -> str:
    came = one.there if is_known(one.call) else None
    out = f"; {full_label(came)} came out" if came is not None else ""
    return sentence(f"Set{_where(one.call)}: {_in_full(one.call)}{out}")


def _clear(one: LoggedAct) -> str:
    if one.there is None:
        return f"Cleared{_where(one.call)}."
    fished = f", {_time_of(one)} in the water" if one.hours else ""
    return f"Cleared{_where(one.call)}: {full_label(one.there)}{fished}."


def _swap(one: LoggedAct) -> str:
    out, there = "", one.there
    if there is not None and there.guessed and there.lure == one.call.lure:
        there = replace(there, lure=None)  # the name was guessed, and is that of the other
    if there is not None and is_known(there):
        out = f" for {full_label(there)}"
        out += f", {_time_of(one)} in the water" if one.hours else ""
    return sentence(f"Swap{_where(one.call)}: {_in_full(one.call)}{out}")


def _bite(one: LoggedAct) -> str:
    call = one.call
    fish = _fish(call) if call.species or call.count else ""
    text = sentence(
        join_parts(
            (
                TABLE[call.act].label,
                _place(call),
                label(call) if is_known(call) else "",
                fish,
                call.angler or "",
            )
        )
    )
    if one.hours is not None and one.before.is_fishing:
        text += f" {sentence(_time_of(one))[:-1]} in the water."
    if not call.position:
        text += " Which position?"
    return text + _also_on(one)


def _ending(one: LoggedAct) -> str:
    call, units = one.call, units_of(one.call)
    parts = [TABLE[call.act].label, _fish(call) if call.species or call.count else ""]
    if call.weight_kg is not None:
        parts.append(weight_of(call.weight_kg, units.weight, call.count))
    parts += [length(call.length_cm, units.length)] if call.length_cm is not None else []
    parts += [f"tag {call.tag}" if call.tag else "tagged"] if call.tagged else []
    parts += [_place(call), call.angler or ""]
    took = f" On for {span_words(one.fought)}." if one.fought else ""
    gone = one.after.lost[len(one.before.lost) :] if TABLE[call.act].loses_lure else ()
    lost = "".join(f" Lost: {lure.label}." for lure in gone)
    asks = TABLE[call.act].stage == "caught" and call.position is None and (call.count or 1) == 1
    where = " Which position?" if asks and one.before.is_fishing else ""
    return sentence(join_parts(parts)) + took + lost + where + _also_on(one)


def _sighting(one: LoggedAct) -> str:
    bearing = one.call.meaning(Bearing)
    where = f", at {bearing.hour} o'clock off the bow" if bearing is not None else ""
    return f"Seen: {_seen(one.call)}{where}."


def _mark(one: LoggedAct) -> str:
    text = f": {one.call.text}" if one.call.text else ""
    return f"Marked, {clock(one.at, one.tz)}{text}."


def _speed(one: LoggedAct) -> str:
    speed = one.call.speed_kn
    return "Speed noted." if speed is None else f"Speed {number(speed)} kn."


def _water(one: LoggedAct) -> str:
    call, units = one.call, units_of(one.call)
    parts = [warmth(call.water_c, units.water)] if call.water_c is not None else []
    parts += [depth(call.depth_m, units.depth)] if call.depth_m is not None else []
    return f"Water: {join_parts([*parts, call.what or '']) or 'noted'}."


def _lure_line(one: LoggedAct) -> str:
    call = one.call
    if call.meaning(LostLure) is not None:
        there = next(
            (x for x in one.before.spread.values() if x.lure and x.lure == call.lure), None
        )
        was = f" It was on the {there.line or there.position}." if there else ""
        return sentence(f"Lost: {_lure(call)}") + was
    return sentence(f"{_name(call)}: {join_parts((_lure(call), call.text or ''))}")


def _leader(one: LoggedAct) -> str:
    call = one.call
    fish = _fish(call) if call.species else ""
    held = f" On for {span_words(one.fought)}." if one.fought else ""
    return (
        sentence(join_parts((_name(call), fish, _place(call), call.angler or "")))
        + held
        + _also_on(one)
    )


def plain_words(call: Call) -> str:
    """Write every slot of a call, its measures in the units in which they were said."""
    what = f"{call.count} {call.species or ''}".strip() if call.count else call.species
    parts = [call.angler, call.what, call.tray, what, _place(call)]
    parts += [label(call)] if is_known(call) else []
    parts += [*measures(call), call.text]
    return join_parts(part for part in parts if part)


def _next_angler(one: LoggedAct) -> str:
    """Return who takes the next fish, where no fish is there to be fought; else nothing."""
    call = one.call
    fights = any(fish.is_strike and not fish.is_over for fish in one.after.fish)
    if TABLE[call.act].kind != "line" or not call.angler or call.position or fights:
        return ""
    return sentence(f"Next: {call.angler}")


def _plain(call: Call) -> str:
    words = plain_words(call)
    return sentence(f"{_name(call)}: {words}" if words else _name(call))


def _name(call: Call) -> str:
    label_ = TABLE[call.act].label
    return label_[:1].upper() + label_[1:]


def _note(one: LoggedAct) -> str:
    left = one.call.meaning(LeavesOut)
    if left is not None:
        told = (
            "in again for advice and plans"
            if left.back
            else "left out of advice and plans for the day"
        )
        return sentence(f"{told}: {', '.join(left.what)}")
    return sentence(f"Noted: {one.call.text}") if one.call.text else "Noted."


def _where(call: Call) -> str:
    """Return the line, to go behind a word; nothing where nobody said it: it is asked for."""
    place = _place(call)
    return f", {place}" if place else ""


def _place(call: Call) -> str:
    told = {*(call.position or "").casefold().split()} & {*SIDE_WORDS}  # "right long" has its side
    side = None if told else call.side
    return " ".join(word for word in (side, call.position) if word and call.position)


def _in_full(call: Call) -> str:
    """Return the lure of a call with its looks, or that none was said."""
    return full_label(call) if is_known(call) else _lure(call)


def _lure(call: Call) -> str:
    return label(call) if is_known(call) else "which lure?"


def _fish(call: Call) -> str:
    return f"{call.count} {call.species or 'fish'}" if call.count else call.species or "fish"


def _seen(call: Call) -> str:
    count_ = f"{call.count} " if call.count else ""
    weedy = call.meaning(Weedy)
    lines: tuple[str, ...] = ()
    if weedy is not None:
        kinds = tuple(f"{kind}s" for kind in weedy.kinds)
        lines = ("all lines",) if weedy.everywhere else weedy.positions or kinds
    where = f"to {call.side}" if call.side and not call.position else ""
    return join_parts((call.what or "", f"{count_}{call.species or ''}".strip(), *lines, where))


def _time_of(one: LoggedAct) -> str:
    return span_words(timedelta(hours=one.hours or 0.0))


def _also_on(one: LoggedAct) -> str:
    """Return how many fish are on, where it is more than one: nobody keeps count then."""
    on = sum(fish.count - sum(end.count for end in fish.ends) for fish in one.after.fish_on)
    return f" {count(on, 'fish')} on now." if on > 1 else ""
