"""The answers to the crew's questions: one function for each, from View and Call to Answer."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby
from typing import Final, assert_never, cast

from bot.advice.data import Hold
from bot.answers.aboard import answer_last_logged
from bot.answers.aboard_lures import asked_another, asked_for_fish, asked_kind
from bot.answers.advise import swap_call, verdict
from bot.answers.answer import NO, WHY, Answer, Offer
from bot.answers.best_fish import asked_of_fish
from bot.answers.drags import asked_drag
from bot.answers.drawing import (
    advice_pictures,
    asks_picture,
    spread_pictures,
    wants_picture,
)
from bot.answers.emergency import HOW_FAR, WAY_BACK_FOR, open_trouble, way_back
from bot.answers.fish_talk import spoken_of
from bot.answers.open_questions import SAID_AGAIN, left_open_lines
from bot.answers.places import from_here, last_mark
from bot.answers.planning import asked_plan, shown_again
from bot.answers.proposal import next_words
from bot.answers.reminder_talk import kept_reminders
from bot.answers.spacing import runs_line
from bot.answers.standby import asked_standby
from bot.answers.tray_talk import answer_packing, asked_loose, asked_trays, lies_in
from bot.answers.view import View
from bot.messages import Advice, Button
from bot.replies.amounts import clock, count, first_few, hours_words, percent, sentence, span_words
from bot.replies.helping import help_text
from bot.replies.logged import short
from bot.sky.moon import moon
from bot.sky.sun import sun_times
from bot.spread.readiness import Readiness, lures_to_rework
from bot.tackle.trays import STANDBY
from bot.trip.acts import CONTROL, TABLE, QuestionAct
from bot.trip.call import Call
from bot.trip.exposure import line_hours
from bot.trip.fish import Fish
from bot.trip.lures import agrees, is_known, label
from bot.trip.meant import AsksAbout
from bot.trip.state import InWater

MOST_NAMED: Final = 8


def answer(view: View, call: Call, private: bool = False) -> Answer:
    """Answer one question."""
    act = cast(QuestionAct, call.act)
    match act:
        case "ask_tally":
            return _tally(view, call)
        case "ask_spread":
            return _spread(view, call)
        case "ask_next":
            return _next(view, call)
        case "ask_why":
            return _why(view, call)
        case "ask_last":
            return _last(view, call)
        case "ask_ready":
            return _ready(view, call)
        case "ask_sun":
            return _sun(view, call)
        case "ask_drag":
            return asked_drag(view, call)
        case "ask_fish":
            return asked_of_fish(view, call)
        case "plan":
            return asked_plan(view, call)
        case "help":
            aloud = "Say a call as you would on deck. Help is on the screen."
            return Answer(help_text(private, view.boat.positions, view.units.imperial), aloud)
        case _:
            assert_never(act)


def answers(view: View, calls: Sequence[Call], private: bool = False) -> list[Answer]:
    """Answer the questions of one message; several drags have one caution, behind the last.

    A tally of several positions is one question; a yes or no beside other calls says nothing more.
    """
    found: list[Answer] = []
    drags, told = [c for c in calls if c.act == "ask_drag"], replace(view, said=lambda _: True)
    for _, group in groupby((c for c in calls if c.act not in CONTROL), key=_question):
        same = tuple(group)
        each = [answer(told if c in drags[:-1] else view, c, private) for c in same]
        found += [_tally(view, *same)] if len(same) > 1 and same[0].act == "ask_tally" else each
    return found


def _question(call: Call) -> Call:
    """Return a question without its position."""
    return replace(call, position=None) if call.position and call.act == "ask_tally" else call


def _tally(view: View, *calls: Call) -> Answer:
    from bot.answers.what_works import asked_what_works  # late: other questions do without it

    return asked_what_works(view, calls)


def _next(view: View, call: Call) -> Answer:
    found = verdict(view)
    line, spoken = next_words(view, found, call.position)
    if isinstance(found, Hold):
        return Answer(line, spoken, buttons=(WHY,))
    offer = Offer("Log that change?", ((swap_call(found, view),),))
    text = f'{line}\nSay "do it" when it is done.'
    done = Button("Done", "yes")
    pictures = advice_pictures(view, found) if asks_picture(call) else ()
    return Answer(text, spoken, found, offer, (done, NO, WHY), pictures)


def _why(view: View, call: Call) -> Answer:
    from bot.answers.evidence import asked_why  # late, as above

    found = asked_why(view, call)
    proposed = verdict(view) if asks_picture(call) else None
    if isinstance(proposed, Advice):
        return replace(found, pictures=advice_pictures(view, proposed))
    return found


def _spread(view: View, call: Call) -> Answer:
    trip = view.trip
    if call.asks("of_it") and (planned := shown_again(view, call)) is not None:
        return planned
    if call.names_lure:
        return _where_is(view, call)
    lures = [
        lure
        for lure in trip.spread.values()
        if call.position in (None, lure.position) and call.side in (None, lure.side)
    ]
    if not lures:
        text = f"Nothing is out on the {call.position}." if call.position else "Nothing is out."
        return Answer(text, text)
    state = "" if trip.is_fishing else "Lines are out of the water. Laid out:\n"
    lines = [_lure_line(view, lure) for lure in in_order(view, lures)]
    if call.position is None:
        lines.append(_empty_line(view))
        lines.append(runs_line(view))
        lines += [f"{line}." for line in left_open_lines(view, SAID_AGAIN)]
    text = state + "\n".join(line for line in lines if line)
    spoken = "; ".join(
        f"{lure.line or lure.position}, {lure.label.removesuffix('-inch')}"
        for lure in in_order(view, lures)
    )
    drawn = call.position is None and wants_picture(view, call)
    pictures = spread_pictures(view) if drawn else ()
    return Answer(text, spoken[:1].upper() + spoken[1:] + ".", pictures=pictures)


def _empty_line(view: View) -> str:
    """Return which lines of the boat have no lure; nothing where all have one."""
    laid = {lure.position for lure in view.trip.spread.values()}
    empty = [position for position in view.boat.positions if position not in laid]
    return sentence(f"empty: {', '.join(empty)}") if empty else ""


def in_order(view: View, lures: Iterable[InWater]) -> list[InWater]:
    """Return lures in the order of the boat's positions, from the nearest to the farthest."""
    order = {position: number for number, position in enumerate(view.boat.positions)}
    return sorted(lures, key=lambda lure: (order.get(lure.position, 99), lure.line))


def _lure_line(view: View, lure: InWater) -> str:
    where = lure.line or lure.position
    hours = line_hours(view.trip, lure, view.now)
    fish = [f for f in view.trip.fish if f.line == lure.line and f.is_strike]
    since = [f for f in fish if lure.set_at is None or (f.bite_at or f.first_at) >= lure.set_at]
    words = [hours_words(hours)] if hours * 60 >= 0.5 else []
    words += [count(len(since), "strike")] if since else []
    if any(f.is_on for f in fish):
        words.append("fish on")
    tail = f" ({', '.join(words)})" if words else ""
    return sentence(f"{where}: {lure.label}{tail}").rstrip(".")


def _where_is(view: View, call: Call) -> Answer:
    found = [one for one in view.trip.spread.values() if is_known(one) and agrees(call, one)]
    if found:
        text = "\n".join(_lure_line(view, lure) for lure in found)
        return Answer(text, sentence(text.splitlines()[0]))
    stands = view.readiness.get(call.lure or "")
    state = "" if stands is None else f" It is {_state(stands)}."
    text = f"No {label(call)} is out.{state}"
    return Answer(text, text)


def _last(view: View, call: Call) -> Answer:
    trouble = open_trouble(view)
    if (asks := call.meaning(AsksAbout)) is not None and asks.what in ("reminders", "logged"):
        return _last_logged(view, call)
    if trouble is None or call.position or call.species or call.names_lure or call.about:
        return _last_logged(view, call)
    if view.now - trouble.at <= WAY_BACK_FOR:
        return Answer(way_back(view, trouble), buttons=(HOW_FAR,))
    logged = _last_logged(view, call)
    if trouble.place is None:
        return logged
    back = way_back(view, trouble)
    return Answer(f"{back}\n{logged.text}", back, buttons=(HOW_FAR,))


def _last_logged(view: View, call: Call) -> Answer:
    asks = call.meaning(AsksAbout)
    if asks is not None and asks.what == "reminders":
        return kept_reminders(view)
    if asks is not None and asks.what == "logged":
        return answer_last_logged(view)
    if asks is not None and asks.what in ("lines_in", "start"):
        return _began(view)
    if call.asks("mark"):
        return Answer(last_mark(view, call))
    if (spoken := spoken_of(view, call)) is not None:
        return spoken
    if call.position or call.species or call.names_lure or call.about:
        return _last_fish(view, call)
    if not view.stood:
        return Answer("The log holds no entry of this trip yet.", "Nothing is logged yet.")
    strikes = [f for f in view.trip.fish if f.is_strike]
    entry = _last_entry(view)
    if not strikes or call.asks("entry"):
        return Answer(entry, entry)
    words = _fish_words(view, call, max(strikes, key=_bitten))
    return Answer(words, words)


def _bitten(fish: Fish) -> datetime:
    return fish.bite_at or fish.first_at


def _began(view: View) -> Answer:
    """Answer when the trip began, when lines went in first, and how long they have been in."""
    trip = view.trip
    parts = [f"trip {clock(trip.started, view.tz)}"] if trip.started else []
    if trip.intervals:
        parts.append(f"lines in {clock(trip.intervals[0][0], view.tz)}")
        spans = (((end or view.now) - start) for start, end in trip.intervals)
        parts.append(f"{span_words(sum(spans, timedelta()))} fished")
    text = sentence(", ".join(parts)) if parts else "No trip has begun."
    return Answer(text, text)


def _last_entry(view: View) -> str:
    last = max(view.stood, key=lambda entry: entry.id)
    ago = span_words(view.now - last.at)
    who = f", by {last.crew}" if last.crew else ""
    return f"Last entry: {short(last.call)}, {clock(last.at, view.tz)}, {ago} ago{who}."


def _last_fish(view: View, call: Call) -> Answer:
    found = [
        f
        for f in view.trip.fish
        if f.is_strike
        and call.position in (None, f.position)
        and (call.species is None or call.species in (f.species or ""))
        and (not call.names_lure or agrees(call, f))
    ]
    if not found:
        where = f" on the {call.position}" if call.position else ""
        text = f"No such strike{where} on this trip."
        return Answer(text, text)
    words = _fish_words(view, call, max(found, key=_bitten))
    return Answer(words, words)


def _fish_words(view: View, call: Call, fish: Fish) -> str:
    at = fish.bite_at or fish.first_at
    parts = [f"Last strike {clock(at, view.tz)}, {span_words(view.now - at)} ago"]
    parts += [w for w in (fish.position, fish.label if is_known(fish) else None, fish.species) if w]
    ends = [f"{end.count} {TABLE[end.act].label}" for end in fish.ends]
    single = TABLE[fish.end].label if fish.end else ""
    parts.append(" and ".join(ends) if len(ends) > 1 else single)
    parts.append("on now" if fish.is_on else "")
    words = ", ".join(p for p in parts if p) + "."
    return f"{words} {from_here(view, call, fish.entries)}".strip()


def _ready(view: View, call: Call) -> Answer:
    if call.lure is not None and call.lure in STANDBY:
        return asked_standby(view, call.lure)
    asks = call.meaning(AsksAbout)
    match asks.what if asks else "":
        case "packing":
            return answer_packing(view)
        case "loose" if view.box:
            return asked_loose(view)
        case "trays" | "card" if not call.names_lure:
            return asked_trays(view, call)
        case "another" if view.box:
            return asked_another(view, call)
        case "kind" if view.box and call.names_lure and not call.lure:
            return asked_kind(view, call)
        case "for_fish" if view.box:
            return asked_for_fish(view, call)
    if not view.box:
        text = "The tackle box is empty; import it once, or call lures ready by name."
        return Answer(text, "The tackle box is empty.")
    if call.names_lure:
        return _is_ready(view, call)
    ready = sorted(view.ready, key=lambda lure: (-lure.size_in, lure.name))
    names = [f"{lure.name}, {lure.size_in:g}-inch" for lure in ready]
    lines = [
        f"Ready ({len(ready)}): {'; '.join(names[:MOST_NAMED])}" if names else "None is ready."
    ]
    if len(names) > MOST_NAMED:
        lines[0] += f" and {len(names) - MOST_NAMED} more"
    due = []
    ranked = lures_to_rework(view.readiness)
    for state, words in (("rework", "To rework"), ("to check", "To check"), ("lost", "Lost")):
        others = [name for name in ranked if view.readiness[name].state == state]
        if others:
            most = len(others) if call.asks("due") else MOST_NAMED
            rest = "" if len(others) <= most + 1 else '; "what needs work" names all'
            due.append(f"{words} ({len(others)}): {first_few(others, most)}{rest}")
    spoken = f"{count(len(ready), 'lure')} ready."
    if call.asks("lost"):
        gone = [line for line in due if line.startswith("Lost")] or ["No lure is lost."]
        return Answer("\n".join(gone), gone[0])
    if call.asks("due"):
        return Answer(
            "\n".join([*(due or ["Nothing needs a check."]), *lines]), due[0] if due else spoken
        )
    return Answer("\n".join([*lines, *due]), spoken)


def _is_ready(view: View, call: Call) -> Answer:
    from bot.tackle.box import find

    found = find(
        view.box, lure=call.lure, colours=call.colours, size_in=call.size_in, head=call.head
    )
    if not found:
        text = f"No {label(call)} is in the box."
        return Answer(text, text)
    lines = []
    for lure in found[:MOST_NAMED]:
        stands = view.readiness[lure.name]
        sure = ("Yes. " if stands.state == "lost" else "No. ") if call.asks("lost") else ""
        lines.append(f"{sure}{lure.name}: {_state(stands)}{lies_in(view, lure)}")
    return Answer("\n".join(lines), sentence(lines[0]))


def _state(stands: Readiness) -> str:
    """Return how a lure stands, in words."""
    if stands.state == "in water":
        return f"in the water, {stands.reason}"
    told = stands.reason and stands.reason != stands.state
    return f"{stands.state} ({stands.reason})" if told else stands.state


def _sun(view: View, call: Call) -> Answer:
    del call
    place = view.here or _last_place(view) or view.place
    if place is None:
        text = (
            "Sun times need the boat's position: share one, connect the instruments, or set latitude"
            " and longitude under [boat] in deckcall.toml."
        )
        return Answer(text, "I do not know where the boat is.")
    today = view.now.astimezone(view.tz).date()
    times = sun_times(*place, today, view.tz)
    lit = moon(view.now)
    moonlight = f"Moon {percent(lit.lit)} lit, {lit.name}."
    if times.sunrise is None or times.sunset is None:
        text = "The sun does not rise or does not set here today."
        return Answer(f"{text}\n{moonlight}", text)
    if view.now > times.sunset:
        times = sun_times(*place, today + timedelta(days=1), view.tz)
    parts = [
        f"{words} {clock(at, view.tz)}"
        for words, at in (
            ("first light", times.first_light),
            ("sunrise", times.sunrise),
            ("sunset", times.sunset),
            ("last light", times.last_light),
        )
        if at is not None
    ]
    text = sentence(", ".join(parts))
    spoken = text
    if times.sunrise and times.sunset and times.sunrise <= view.now <= times.sunset:
        left = span_words(times.sunset - view.now)
        text += f"\n{left} of sun left."
        spoken = f"Sunset {clock(times.sunset, view.tz)}, {left} left."
    return Answer(f"{text}\n{moonlight}", spoken)


def _last_place(view: View) -> tuple[float, float] | None:
    """Return the place of the last entry of the trip that has one."""
    return next((entry.place for entry in reversed(view.stood) if entry.place), None)
