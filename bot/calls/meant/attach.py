"""Attach to calls what their words mean; no other module does. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from bot.calls.meant.facts import (
    any_one,
    cares,
    concerns,
    found_lure,
    needs_none,
    nothing_on,
    on_wave,
    out_since,
    sided_kind,
    weedy,
)
from bot.calls.meant.measured import said_units
from bot.calls.meant.questions import (
    MOST_NAMING,
    another_plan,
    asks_in,
    choice,
    drops_plan,
    may_ask_change,
    naming_words,
    tally_question,
)
from bot.calls.meant.reader import Line, Reader
from bot.calls.meant.reminder import cancelled_in, reminder_in
from bot.calls.meant.signs import Sign
from bot.calls.meant.tackle import all_ready, tackle_question
from bot.calls.meant.times_and_units import beside_slots
from bot.calls.meant.times_said import DOTTED_TIME, sets_plan
from bot.calls.meant.trays import asked_of_tray, of_tray
from bot.calls.meant.wishes import changes_plan, spread_wish
from bot.trip.acts import AMEND, ASK_LAST, ASK_READY, PLAN, READY, ROWS, TABLE, TRAY, TRIP_END
from bot.trip.call import Call
from bot.trip.meant import (
    AnyOne,
    AsksAbout,
    FromOtherLine,
    LeavesOut,
    LostLure,
    MaybeOver,
    Meaning,
    NotBiting,
    OfSpare,
    OfSpoken,
    OfThese,
    OfYesterday,
    PutsRight,
    TallyQuestion,
)

MEANS_MORE: Final = frozenset(
    row.act for row in ROWS if row.form in ("text", "seen") or row.kind == "lure" or row.lays
)
"""Entries whose words may say more than their slots."""
_WEED: Final = "weed"
MOST_BESIDE: Final = 3
"""Most words around "will not bite" where a line says nothing else."""
_TYPED: Final = "*"
"""Sign that puts right what was typed: "*blackfin"."""
_LEFT_OUT: Final = "leaves_out"
_WITHIN: Final = 2
"""Words between a lure and those that leave it out."""
_EARLY: Final = 2
"""Words before the "not" of an answer to a proposal: "no, not the hat"."""


def other_meanings(text: str, reader: Reader) -> tuple[Meaning, ...]:
    """Return what a line means besides its calls, or where it is no call."""
    line = reader.line(text)
    with_colon = reader.line(DOTTED_TIME.sub(r"\1:", text))
    care = cares(line)
    asks = line.chained and (care is None or care.topic != "lock")
    tackle = tackle_question(line) if asks else None
    names = naming_words(line) if line.lattice.size <= MOST_NAMING else None
    found = (
        choice(line), names, another_plan(line), tackle, nothing_on(line),
        out_since(line), sets_plan(with_colon), needs_none(line), changes_plan(line), sided_kind(line),
        found_lure(line), drops_plan(line), _leaves_out(line), _unwilling(line), care,
        may_ask_change(line),
    )  # fmt: skip
    return tuple(one for one in found if one is not None)


def _unwilling(line: Line) -> NotBiting | None:
    """Return that a line says nothing but that fish will not bite; else None."""
    sign = line.first("unwilling", "fish")
    rest = 0 if sign is None else line.lattice.size - (sign.end - sign.start)
    asks = line.text.rstrip().endswith("?")
    return NotBiting() if sign is not None and rest <= MOST_BESIDE and not asks else None


def with_meanings(calls: Sequence[Call], text: str, reader: Reader) -> tuple[Call, ...]:
    """Return the calls of one message with what their words mean; `text` is the message as acted on."""
    return tuple(_with_meaning(call, calls, text, reader) for call in calls)


def _with_meaning(call: Call, calls: Sequence[Call], text: str, reader: Reader) -> Call:
    others = {one.position for one in calls if one is not call and one.position is not None}
    named = [one for one in call.meant if isinstance(one, OfThese | OfYesterday)]
    meant = (*_meant(call, text, others, reader), *named)
    if any(one.act == TRIP_END for one in calls):
        meant = tuple(one for one in meant if not isinstance(one, MaybeOver))
    return replace(call, meant=meant) if meant != call.meant else call


def _meant(call: Call, text: str, others: set[str], reader: Reader) -> Iterator[Meaning]:
    units = said_units(call, reader.line(text))
    if units is not None:
        yield units
    yield from beside_slots(call, reader.line(text))
    row = TABLE[call.act]
    if not row.is_entry:
        yield from _of_question(call, reader.line(text))
        cancels = cancelled_in(reader.line(text), reader) if row.kind == "control" else None
        if cancels is not None:
            yield cancels
        if row.act == AMEND and (_TYPED in text or reader.line(text).has("wrong")):
            yield PutsRight()
    elif row.form == "text":
        yield from _of_note(call.text or "", reader)
    elif row.act == TRAY:
        done = of_tray(call, reader.line(text))
        if done is not None:
            yield done
    elif row.kind == "lure":
        if row.act == READY and not call.names_lure and (all_of := all_ready(reader.line(text))):
            yield all_of
        yield from _of_work(call.text or "", reader)
    elif row.form == "seen" and call.what == _WEED:
        found = weedy(reader.line(text), others)
        if found is not None:
            yield found
    elif row.form == "seen" and reader.line(text).has("unwilling", "fish"):
        yield NotBiting()
    elif row.lays and reader.line(text).has("moved"):
        yield FromOtherLine()
    elif row.lays and any_one(call, reader.line(text)):
        yield AnyOne()
    elif row.lays and not call.names_lure and reader.line(text).has("tray_do", "spare"):
        yield OfSpare()


def _of_question(call: Call, line: Line) -> Iterator[Meaning]:
    found = asks_in(line)
    if found is not None:
        yield found
    row = TABLE[call.act]
    if row.act == PLAN:
        wish = spread_wish(call, line)
        if wish is not None:
            yield wish
    if row.act == ASK_READY:
        asked = asked_of_tray(line)
        if asked is not None:
            yield asked
            return
    if row.act == ASK_LAST and line.has("that_fish"):
        yield OfSpoken()
    about = line.first("about") if row.kind == "question" else None
    if about is not None:
        yield AsksAbout(about.name, line.has("ever"))
    if "about" in row.takes and row.kind == "question":
        tally = tally_question(line)
        if tally != TallyQuestion():
            yield tally


def _of_note(text: str, reader: Reader) -> Iterator[Meaning]:
    line = reader.line(text)
    for found in (reminder_in(text, reader), on_wave(line), concerns(line)):
        if found is not None:
            yield found


def _of_work(text: str, reader: Reader) -> Iterator[Meaning]:
    line = reader.line(text)
    found = concerns(line)
    if found is not None:
        yield found
    lost = line.at(0, "lost_lure", "lost")
    size = line.lattice.size
    if lost is not None and (lost.end == size or line.tokens[lost.end].stop):
        yield LostLure()


def _leaves_out(line: Line) -> LeavesOut | None:
    """Return what a line leaves out, or takes in again; None for any other line, and for a question."""
    named = _named(line)
    if not named or line.text.rstrip().endswith("?") or line.has(_LEFT_OUT, "asked"):
        return None
    what = tuple(dict.fromkeys(sign.name for sign in named))
    if line.has(_LEFT_OUT, "again") and line.has(_LEFT_OUT, "advice"):
        return LeavesOut(what, back=True)
    of_it = line.has(_LEFT_OUT, "of_it")
    if _ordered(line, named) and (of_it or not line.has(_LEFT_OUT, "there")):
        return LeavesOut(what, of_it=of_it)
    return LeavesOut(what, of_offer=True) if _refused(line, named) else None


def _named(line: Line) -> list[Sign]:
    """Return the lures of the box and the outfits that are named; without any, colours and heads."""
    lures = [sign for sign in line.of("name") if sign.cost == 0.0]
    return [*lures, *line.of("standing")] or [
        sign for sign in line.of("colour", "head") if sign.cost == 0.0
    ]


def _ordered(line: Line, named: list[Sign]) -> bool:
    """Return whether it is said to leave them out, before them, around them, or of "it"."""
    if line.has(_LEFT_OUT, "it"):
        return True
    first, end = named[0], named[-1].end
    while end < line.lattice.size and line.at(end, "wish", "aside"):
        end += 1
    for sign in line.of(_LEFT_OUT):
        if sign.name == "order" and 0 <= first.start - sign.end <= _WITHIN:
            return True
        if sign.name in ("leave", "keep") and 0 <= first.start - sign.end <= _WITHIN:
            behind = line.at(end, _LEFT_OUT, "of_it") or (
                line.at(end, _LEFT_OUT, "out") if sign.name == "leave" else None
            )
            if behind is not None:
                return True
    return False


def _refused(line: Line, named: list[Sign]) -> bool:
    """Return whether a line begins with "not" and the lure: an answer to what was proposed."""
    refused = (s for s in line.signs if s[:2] == (_LEFT_OUT, "refuse") and s.start <= _EARLY)
    return any(
        all(line.at(n, "wish", "aside") for n in range(sign.end, named[0].start))
        for sign in refused
        if sign.end <= named[0].start
    )
