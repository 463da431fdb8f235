"""Answers about fish: "what did we catch", "is he still on", "biggest fish", "best day"."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.answers.answer import Answer
from bot.answers.asked import THIS_TRIP, Span, named_span, trips_of
from bot.answers.places import UNKNOWN_THERE, place_of
from bot.answers.view import View
from bot.replies.amounts import (
    clock,
    count,
    join_parts,
    place_words,
    sentence,
    span_words,
)  # fmt: skip
from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.encounters import same_person, species_match
from bot.trip.fish import End, Fish
from bot.trip.lures import agrees, is_known
from bot.trip.meant import AsksAbout, OfFish, OfSpoken, TallyQuestion
from bot.trip.said_units import length, weight, weight_of
from bot.trip.state import Trip
from bot.trip.tally import is_a

REPORT: Final = "The report: deckcall report --out day.html."
REPORT_HERE: Final = "The report of the trip is with this answer."
MOST_NAMED: Final = 6
"""Most fish that are named one by one; more are counted."""
JUST_BITTEN: Final = timedelta(minutes=5)
"""How long a bite is told beside the fish that are on; common practice, no source."""


def asked_fish(view: View, call: Call) -> Answer:
    """Answer with the fish that are on, then those caught, by species and one by one."""
    asks = call.meaning(AsksAbout)
    if asks is not None and asks.what == "fight":
        return fight(view, call)
    if asks is not None and asks.what == "lost":
        return answer_losses(view, call)
    if asks is not None and asks.what == "lost_then":
        then = call.meaning(TallyQuestion)
        return answer_losses(
            view, call, named_span(view, then.span if then is not None else "last")
        )
    if asks is not None and asks.what in ("still_on", "any_on"):
        return still_on(view, call)
    if asks is not None and asks.what == "fought":
        return answer_who_fought(view, call)
    named = call.meaning(TallyQuestion)
    span = named_span(view, named.span) if named is not None else None
    if span is not None and span != THIS_TRIP:
        return _of_trips(view, call, span)
    fish = [one for one in view.trip.fish if fits(one, call)]
    lines = [on_words(view, one, call.about == "angler") for one in _on(view, call)]
    lines += [_bitten_words(view, one) for one in _just_bitten(view, call)]
    ends = sorted(caught_fish(fish), key=_ended_at)
    if ends:
        lines.append(_summed(ends))
        lines += [
            sentence(f"{clock(e.at, view.tz)} {fish_words(f, e)}{_where(view, call, f)}")
            for f, e in ends[-MOST_NAMED:]
        ]
        lines += _unplaced(view, call, ends)
        lines += _earlier(ends)
        lines += [*_largest(ends), *_by_angler(ends)]
    elif not lines:
        by = f" by {call.angler}" if call.angler else ""
        lines.append(f"No {call.species or 'fish'} caught{by} yet, and nothing is on.")
        lines += [line for line in (last_bite(view),) if line]
    else:
        lines.append("Nothing caught yet.")
    return Answer("\n".join(lines), " ".join(lines[:2]))


def _earlier(ends: Sequence[tuple[Fish, End]]) -> list[str]:
    """Return how many fish before those that are named stand in the report; empty where there are none."""
    over = len(ends) - MOST_NAMED
    return [f'And {over} before these: "send me the report" has all.'] if over > 0 else []


def report_line(view: View) -> str:
    """Return where the report is to be had."""
    return REPORT_HERE if view.files else REPORT


def _just_bitten(view: View, call: Call) -> list[Fish]:
    """Return the fish that bit just now, of which nobody has said yet what became."""
    struck = (f for f in view.trip.fish if f.was_struck and not (f.was_on or f.is_over))
    return [f for f in struck if _is_meant(f, call) and view.now - f.first_at <= JUST_BITTEN]


def _bitten_words(view: View, fish: Fish) -> str:
    where = fish.line or fish.position or ""
    return sentence(join_parts(w for w in ("Struck", where, clock(fish.first_at, view.tz)) if w))


def _summed(ends: Sequence[tuple[Fish, End]]) -> str:
    """Write how many were caught, and of which kinds those kept and those let go were."""
    kept = [pair for pair in ends if TABLE[pair[1].act].keeps]
    freed = [pair for pair in ends if not TABLE[pair[1].act].keeps]
    parts = [f"{sum(end.count for _, end in ends)} caught"]
    parts += [f"kept {species_words(kept)}"] if kept else []
    parts += [f"let go {species_words(freed)}"] if freed else []
    return sentence("; ".join(parts))


def _of_trips(view: View, call: Call, span: Span) -> Answer:
    """Answer with what was caught on other trips than this one: yesterday, this week."""
    trips = trips_of(view, span)
    if not trips:
        text = f"{span.label}: no trip in the log."
        return Answer(text, text)
    fish = (one for trip in trips for one in trip.fish if fits(one, call))
    ends = sorted(caught_fish(fish), key=_ended_at)
    if not ends:
        by = f" by {call.angler}" if call.angler else ""
        text = f"{span.label}: no {call.species or 'fish'} caught{by}."
        return Answer(text, text)
    lines = [f"{span.label}: {_summed(ends)}"]
    lines += [
        sentence(f"{clock(e.at, view.tz)} {fish_words(f, e)}{_where(view, call, f)}")
        for f, e in (ends[-MOST_NAMED:] if len(trips) == 1 else [])
    ]
    lines += _earlier(ends) if len(trips) == 1 else []
    return Answer("\n".join([*lines, *_largest(ends), *_by_angler(ends)]), lines[0])


def _on(view: View, call: Call) -> list[Fish]:
    """Return the fish that are on, animals that are no catch among them."""
    return [one for one in view.trip.fish if one.is_on and _is_meant(one, call)]


def still_on(view: View, call: Call) -> Answer:
    """Answer whether a fish is still on: which, or how the last one ended."""
    on = _on(view, call)
    if on:
        text = "\n".join([f"Yes: {on_words(view, on[0])}", *(on_words(view, f) for f in on[1:])])
        return Answer(text, text)
    over = [one for one in view.trip.fish if _is_meant(one, call) and one.ends]
    last = max(over, key=lambda one: one.ends[-1].at, default=None)
    others = [one for one in view.trip.fish if one.is_on]
    lines = ["No: no fish is on in the log."]
    if others:
        lines = [f"No. {on_words(view, one, is_angler_asked=True)}" for one in others]
    if last is not None:
        end = last.ends[-1]
        lines.append(sentence(f"Last: {clock(end.at, view.tz)} {_lost_words(last, end)}"))
    untold = [one for one in view.trip.fish if one.was_struck and not (one.was_on or one.is_over)]
    if untold:
        where = untold[-1].line or untold[-1].position or ""
        bite = join_parts(
            ("a bite", where, clock(untold[-1].bite_at or untold[-1].first_at, view.tz))
        )
        lines.append(sentence(f"{bite}: nobody said what became of it"))
    return Answer("\n".join(lines), " ".join(lines[:2]))


def answer_who_fought(view: View, call: Call) -> Answer:
    """Answer who is, or was last, on the rod of a fish."""
    fish = _last_hooked(view, call)
    if fish is None:
        text = "No fish was hooked up on this trip."
        return Answer(text, text)
    end = fish.ends[-1] if fish.ends and not fish.is_on else None
    who = (end.angler if end else None) or fish.angler or "Nobody was named on the rod"
    at = end.at if end else fish.hooked_at or fish.first_at
    parts = (
        (end.species if end else None) or fish.species or "fish", fish.line or fish.position or "",
        TABLE[end.act].label if end else "on now", clock(at, view.tz),
    )  # fmt: skip
    text = sentence(f"{who}: {join_parts(part for part in parts if part)}")
    return Answer(text, text)


def _last_hooked(view: View, call: Call) -> Fish | None:
    """Return the fish that is on, hooked last, or else the one that ended last; None without any."""
    hooked = [one for one in view.trip.fish if one.was_on and _is_meant(one, call)]
    on = [one for one in hooked if one.is_on]
    if on:
        return max(on, key=lambda one: one.hooked_at or one.first_at)
    return max(hooked, key=lambda one: one.ended_at or one.first_at, default=None)


def _where(view: View, call: Call, fish: Fish) -> str:
    """Return where a fish was caught, where that is asked and known."""
    there = place_of(view, fish.entries) if call.asks("way") else None
    return f", at {place_words(*there)}" if there else ""


def _unplaced(view: View, call: Call, ends: list[tuple[Fish, End]]) -> list[str]:
    """Return that no place is known, where it is asked for and there is none for any of the fish."""
    if not call.asks("way") or any(place_of(view, fish.entries) for fish, _ in ends):
        return []
    return [UNKNOWN_THERE]


def fight(view: View, call: Call) -> Answer:
    """Answer with how long the fish that is on has been on, or else the last one was."""
    fish = _last_hooked(view, call)
    if fish is None:
        text = "No fish was hooked up on this trip."
    elif fish.is_on:
        text = "\n".join(on_words(view, one) for one in _on(view, call))
    else:
        began, ended = fish.hooked_at or fish.struck_at or fish.first_at, fish.ended_at
        known = ended is not None and bool(fish.ends)
        span = f"On for {span_words((ended or began) - began)}" if known else "Nobody said its end"
        parts = (fish.species or "fish", fish.line or fish.position or "", clock(began, view.tz))
        text = sentence(f"{span}: {join_parts(part for part in parts if part)}")
    return Answer(text, text)


def spoken_of(view: View, call: Call) -> Answer | None:
    """Answer what the fish took that was called, put right or asked about last; None for another question."""
    if call.meaning(OfSpoken) is None or call.position or call.names_lure:
        return None
    asked = call.meaning(OfFish) or OfFish(call.species)
    fits = [
        one
        for one in view.trip.fish
        if one.was_struck
        and (asked.species is None or species_match(one.species, asked.species) > 1)
        and asked.position in (None, one.position)
        and (asked.angler is None or same_person(asked.angler, one.angler or "") == 2)
    ]
    made = {entry.id: n for n, entry in enumerate(sorted(view.stood, key=lambda e: e.id))}
    fish = max(fits, key=lambda one: max(made[one] for one in one.entries), default=None)
    if fish is None:
        return None
    end = f"{TABLE[fish.end].label} {clock(fish.ends[-1].at, view.tz)}" if fish.end else ""
    parts = (
        fish.species or "fish", fish.line or fish.position or "",
        clock(fish.bite_at or fish.first_at, view.tz),
        end or ("on now" if fish.is_on else ""),
    )  # fmt: skip
    lure = fish.label if is_known(fish) else "No lure is known"
    text = sentence(f"{lure}: {join_parts(part for part in parts if part)}")
    return Answer(text, text)


def answer_losses(view: View, call: Call, span: Span | None = None) -> Answer:
    """Answer with the fish that were hooked and lost, the bites that were missed and the lures lost.

    `span` are other trips than this one.
    """
    trips = (view.trip,) if span is None else trips_of(view, span)
    if not trips:
        text = f"{span.label if span else ''}: no trip in the log."
        return Answer(text, text)
    fish = [one for trip in trips for one in trip.fish if fits(one, call)]
    ends = [(one, end) for one in fish for end in one.ends if TABLE[end.act].stage == "lost"]
    missed = sum(one.is_strike and not one.was_on for one in fish if one.is_over)
    gone = _lures_gone(trips) if call == replace(call, position=None, species=None) else []
    then = f"{span.label}: " if span is not None else ""
    if not ends and not missed:
        none = "No fish lost" if gone else "None lost"
        head = f"{then}{none.lower()}." if then else f"{none} on this trip."
        text = "\n".join([head, *gone])
        return Answer(text, text)
    head = sentence(
        f"{then}{sum(end.count for _, end in ends)} lost, {count(missed, 'bite')} missed"
    )
    lines = [sentence(f"{clock(e.at, view.tz)} {_lost_words(f, e)}") for f, e in ends[-MOST_NAMED:]]
    return Answer("\n".join([head, *lines, *gone]), head)


def _lures_gone(trips: Iterable[Trip]) -> list[str]:
    """Return the sentence that names the lures which were lost; empty where there are none."""
    rigged = (one for trip in trips for one in trip.rigging)
    names = dict.fromkeys(one.lure for one in rigged if one.lost and one.lure)
    return [sentence(f"{count(len(names), 'lure')} lost: {', '.join(names)}")] if names else []


def _lost_words(fish: Fish, end: End) -> str:
    who = end.angler or fish.angler or ""
    parts = (
        TABLE[end.act].label, end.species or fish.species or "", fish.line or fish.position or "",
        fish.label if is_known(fish) else "", who,
    )  # fmt: skip
    return join_parts(part for part in parts if part)


def caught_fish(fish: Iterable[Fish]) -> Iterator[tuple[Fish, End]]:
    """Yield the fish that were caught, each with its end."""
    for one in fish:
        if one.is_catch:
            yield from ((one, end) for end in one.ends if TABLE[end.act].stage == "caught")


def _ended_at(pair: tuple[Fish, End]) -> datetime:
    return pair[1].at


def fish_words(fish: Fish, end: End) -> str:
    """Write one fish that was caught: what, how large, its fate, where and on which lure, who had the rod."""
    name = end.species or fish.species or "fish"
    parts = [f"{end.count} {name}" if end.count > 1 else name]
    if end.weight_kg is not None:
        parts.append(weight_of(end.weight_kg, end.weight_unit, end.count))
    parts += [length(end.length_cm, end.length_unit)] if end.length_cm is not None else []
    parts += ["kept" if TABLE[end.act].keeps else "tagged and let go" if end.tagged else "let go"]
    parts += [
        fish.line or fish.position or "",
        fish.label if is_known(fish) else "",
        end.angler or "",
    ]
    return join_parts(part for part in parts if part)


def _by_angler(ends: Iterable[tuple[Fish, End]]) -> list[str]:
    """Return the catches of each angler, where anybody named one."""
    held: dict[str, Counter[str]] = {}
    for fish, end in ends:
        if name := end.angler or fish.angler:
            held.setdefault(name, Counter())[end.species or fish.species or "fish"] += end.count
    return [
        sentence(f"{name}: {', '.join(f'{n} {species}' for species, n in many.most_common())}")
        for name, many in (held.items() if len(held) > 1 else ())
    ]


def fits(fish: Fish, call: Call) -> bool:
    """Return whether a fish is a catch that a question is about."""
    return fish.is_catch and _is_meant(fish, call)


def _is_meant(fish: Fish, call: Call) -> bool:
    species = call.species is None or (
        fish.species is not None and is_a(fish.species, call.species)
    )
    where = call.position in (None, fish.position)
    lure = not call.names_lure or agrees(call, fish)
    who = call.angler is None or same_person(call.angler, fish.angler or "") == 2
    return species and where and lure and who


def on_words(view: View, fish: Fish, is_angler_asked: bool = False) -> str:
    """Write a fish that is on: what, where, who has the rod, since when."""
    since = fish.hooked_at or fish.struck_at or fish.first_at
    held = f"on for {span_words(view.now - since)}"
    where = fish.line or fish.position or ""
    nobody = "nobody named on the rod" if is_angler_asked else ""
    rod = f"{fish.angler} on the rod" if fish.angler else nobody
    return sentence(join_parts((fish.species or "a fish", where, rod, held)))


def species_words(pairs: Iterable[tuple[Fish, End]]) -> str:
    """Count fish by their kinds: `2 wahoo, 1 yellowfin tuna`."""
    many = Counter[str]()
    for fish, end in pairs:
        many[end.species or fish.species or "fish, not named"] += end.count
    return ", ".join(f"{count} {name}" for name, count in many.most_common())


def _largest(ends: Iterable[tuple[Fish, End]]) -> list[str]:
    weighed = [(end.weight_kg, fish, end) for fish, end in ends if end.weight_kg is not None]
    if not weighed:
        return []
    heaviest_kg, fish, end = max(weighed, key=lambda one: one[0])
    name = end.species or fish.species or "fish"
    told = sentence(f"Heaviest: {name}, {weight(heaviest_kg, end.weight_unit)}")
    return [told] if len(weighed) > 1 else []


def last_bite(view: View) -> str:
    """Return when the last bite was, in words; empty where there was none."""
    bites = [one.bite_at for one in view.trip.fish if one.bite_at is not None]
    if not bites:
        return ""
    return f"Last bite {clock(max(bites), view.tz)}, {span_words(view.now - max(bites))} ago."
