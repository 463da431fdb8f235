"""Calls with what their words mean: the one place where a call gets its meanings. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.calls.meant.facts import concerns, on_wave, weedy
from bot.calls.meant.reader import Reader
from bot.calls.meant.reminder import reminder_in
from bot.trip.call import Call
from bot.trip.meant import LostLure, Meant, Moved


def with_meanings(calls: Sequence[Call], text: str, reader: Reader) -> tuple[Call, ...]:
    """Return the calls of one message with what their words mean; `text` is the message as acted on."""
    return tuple(_with_meaning(call, calls, text, reader) for call in calls)


def _with_meaning(call: Call, calls: Sequence[Call], text: str, reader: Reader) -> Call:
    others = {one.position for one in calls if one is not call and one.position is not None}
    meant = tuple(_meant(call, text, others, reader))
    return replace(call, meant=meant) if meant != call.meant else call


def _meant(call: Call, text: str, others: set[str], reader: Reader) -> Iterator[Meant]:
    match call.act:
        case "note":
            yield from _of_note(call.text or "", reader)
        case "rework":
            yield from _of_rework(call.text or "", reader)
        case "sighting" if call.what == "weed":
            found = weedy(reader.line(text), others)
            if found is not None:
                yield found
        case "set" if reader.line(text).has("moved"):
            yield Moved()


def _of_note(text: str, reader: Reader) -> Iterator[Meant]:
    line = reader.line(text)
    for found in (reminder_in(text, reader), on_wave(line), concerns(line)):
        if found is not None:
            yield found


def _of_rework(text: str, reader: Reader) -> Iterator[Meant]:
    line = reader.line(text)
    found = concerns(line)
    if found is not None:
        yield found
    lost = line.at(0, "lost_lure", "lost")
    if lost is not None and lost.end == line.lattice.size:
        yield LostLure()
