"""What a recording means: every line that the ears wrote goes through the parser, and one model decides.

It says how likely it is that the words behind a call were said, over all the lines that mean the same call,
against other calls and talk. Logged is what the parser would log of a typed line, if that is likely enough.
The weights are fitted by `python -m bot.bench ear --fit` on writers, voices and noises that its test has
not. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp
from typing import Final

from bot.calls.confidence import probability
from bot.calls.familiar import raise_usual, with_wordings
from bot.calls.language import Language
from bot.calls.likely_words import LEAST, in_likely_order, line_likelihood
from bot.calls.meant.measured import with_units
from bot.calls.phrasing import question
from bot.calls.reader.labels import URGENT
from bot.calls.trouble import cries
from bot.calls.understand import NO_CALL_CONFIDENCE, Option, Understanding, understand
from bot.calls.usual import NOTHING_USUAL
from bot.calls.weigh import Hints
from bot.calls.weighed import WeighedReading
from bot.transcript import Transcript, typed_transcript
from bot.trip.acts import QUESTIONS
from bot.trip.call import Call

OPEN: Final = "whisper"
"""The engine that writes down any words, not only those of the grammar."""
SPREAD: Final = 0.12
"""Mean log probability a token by which a line is e times less likely; smaller favours the best line."""
UNREAD: Final = 0.03
"""Share of a line's weight that its calls keep even where the parser is not sure of them at all."""
LOG_FROM: Final = 0.88
"""Probability of the words from which a call is logged, unless the parser asks; larger asks more."""
ANSWER_FROM: Final = 0.6
"""Probability of the words from which a question is answered."""
ASK_FROM: Final = 0.2
"""Probability from which a call is asked about; below it nothing was understood."""
NAMES: Final = (
    "one",
    "sure",
    "doubt",
    "behind",
    "first",
    "calls",
    "noise",
    "alike",
    "words",
    "acoustic",
    "unknown",
)
WEIGHTS: Final = (2.33, 2.61, 1.92, 1.73, 1.28, -0.67, -1.14, 3.43, -1.03, 2.91, -2.48)
"""One weight for each of `NAMES`, of the model of how likely the calls are those that were said."""
TROUBLE_FROM: Final = 0.3
"""Probability from which a cry for help is acted on; smaller gives more false alarms."""
MAY_CRY: Final = 0.2
"""Weight from which a line that may be a cry is answered with what to say in trouble."""
MADE_OUT: Final = -1.3
"""How sure the sound of such a line must be; smaller gives more false alarms at 0 dB."""
UNCLEAR: Final = -0.5
"""A best line that is less sure may be a call that was not made out; the crew is told so."""
MAYBE: Final = 0.6
FEW: Final = 4
"""Lines that the ears write at least, as a rule: fewer that mean the same speak for it less."""
_QUIET_DB: Final = 15.0


@dataclass(frozen=True, slots=True)
class LineReading:
    """One line with what it means."""

    sure: float
    """How sure the line is, by its sound and its words: about a mean log probability of its tokens."""
    weight: float
    """How likely it is beside the other lines; they come to 1."""
    meant: Understanding
    place: int
    """0 for the likeliest line."""
    sound: float = 0.0
    """How sure the line is by its sound alone."""
    unknown: int = 0
    """Number of its words that no deck says."""


def understand_heard(
    transcript: Transcript, words: Language, hints: Hints | None = None
) -> Understanding:
    """Return what a recording means, as sure as ears and parser together are."""
    usual = hints.usual if hints is not None else NOTHING_USUAL
    transcript = raise_usual(in_likely_order(transcript, words), usual, words)
    lines = read_transcript(transcript, words, hints)
    if lines and not any(line.meant.calls for line in lines):
        lines = read_transcript(with_wordings(transcript, usual, words), words, hints)
    if not lines:
        return Understanding("", (), NO_CALL_CONFIDENCE)
    if crying := _cry_for_help(lines, words):
        return crying.meant
    lines = tuple(_without_cry(line) for line in lines)
    if not any(line.meant.calls for line in lines):
        asked = _asked_as_typed(lines[0], words, hints)
        return asked or _as_talk(lines, _talk(lines))
    groups = shares(lines)
    best = max(groups, key=groups.__getitem__)
    rivals = [calls for calls in groups if calls and calls != best]
    if not best and rivals:
        return _talk_or(max(rivals, key=groups.__getitem__), lines, transcript, words)
    if not best:
        return _as_talk(lines, _talk(lines))
    likely = _likely(best, rivals, lines, transcript.signals)
    return _settled(best, likely, rivals, lines, words)


def _likely(
    calls: tuple[Call, ...],
    rivals: Sequence[tuple[Call, ...]],
    lines: Sequence[LineReading],
    signals: dict[str, float],
) -> float:
    """Return how likely calls are those that were said: no likelier than their strongest rival leaves."""
    held = (sum(line.weight for line in lines if line.meant.calls == one) for one in rivals)
    return min(probability(figures(calls, lines, signals), WEIGHTS), 1.0 - max(held, default=0.0))


def _as_talk(lines: Sequence[LineReading], sure: float) -> Understanding:
    """Return lines without a call that is likely enough; a cry among them may be one."""
    ways = [way for line in lines if line.weight >= MAY_CRY for way in line.meant.ways]
    may_be = [way for way in ways if way.may_be_trouble][:1]
    return Understanding(lines[0].meant.text, (), sure, ways=tuple(may_be))


def _asked_as_typed(
    line: LineReading, words: Language, hints: Hints | None
) -> Understanding | None:
    """Return a line that is no call as heard with what it would be if typed, to be asked about; else None.

    A typed line is read in parts as well: one name that was heard wrong does not hide the other calls.
    """
    text = line.meant.text
    found = understand(typed_transcript(text), words, hints) if line.sound >= UNCLEAR else None
    if found is None or not found.calls or any(call.act in URGENT for call in found.calls):
        return None
    options = found.options or (Option(found.calls, found.confidence),)
    said = words.reader.line(text)
    ask = question([with_units(one.calls, said) for one in options])
    sure = min(found.confidence, ANSWER_FROM)
    return Understanding(text, found.calls, sure, ask, options)


def _cry_for_help(lines: Sequence[LineReading], words: Language) -> LineReading | None:
    """Return the likeliest line that cries for help, where it is acted on whatever the other lines say.

    It was made out, and together the lines cry likely enough, or its words hardly mean anything else.
    """
    crying = [(line, _cry(line)) for line in lines if line.sound >= MADE_OUT]
    crying = [(line, likely) for line, likely in crying if likely > 0.0]
    together = sum(line.weight * likely for line, likely in crying) >= TROUBLE_FROM
    return next((line for line, _ in crying if together or _is_named(line, words)), None)


def _is_named(line: LineReading, words: Language) -> bool:
    """Return whether a line that weighs enough names trouble in words that hardly mean anything else."""
    return line.weight >= TROUBLE_FROM and words.reader.line(line.meant.text).has("trouble_named")


def _cry(line: LineReading) -> float:
    """Return how likely a line says that somebody is in trouble, 0 where it does not."""
    return max((way.probability for way in line.meant.ways if cries(way)), default=0.0)


def _without_cry(line: LineReading) -> LineReading:
    """Return a line that may cry for help as no call: that is never asked about."""
    likely = _cry(line)
    if not likely:
        return line
    calm = WeighedReading((), 1.0 - likely, "network", may_be_trouble=True)
    meant = Understanding(line.meant.text, (), 1.0 - likely, ways=(calm,))
    return replace(line, meant=meant)


def _talk(lines: Sequence[LineReading]) -> float:
    """Return how sure it is that lines without any call were talk.

    A line that is nearly a call is no surer talk than it is to the parser.
    """
    sure = NO_CALL_CONFIDENCE if lines[0].sound >= UNCLEAR else MAYBE
    meant = lines[0].meant
    is_near = any(way.calls and way.probability >= ASK_FROM for way in meant.ways)
    return min(sure, meant.confidence) if is_near and not meant.calls else sure


def read_transcript(
    transcript: Transcript, words: Language, hints: Hints | None = None
) -> tuple[LineReading, ...]:
    """Return the lines of a transcript with their readings, likeliest first."""
    crew = [name.casefold() for name in hints.crew] if hints is not None else ()
    found = [line_likelihood(line, words, crew) for line in transcript.alternatives]
    most = max((one.sure for one in found), default=0.0)
    odds = [exp((one.sure - most) / SPREAD) for one in found]
    return tuple(
        LineReading(
            one.sure,
            odds[place] / sum(odds),
            understand(replace(transcript, alternatives=(line,)), words, hints),
            place,
            one.sound,
            one.unknown,
        )
        for place, (line, one) in enumerate(zip(transcript.alternatives, found, strict=True))
    )


def shares(lines: Sequence[LineReading]) -> dict[tuple[Call, ...], float]:
    """Return the weight of each sequence of calls; the empty one stands for talk."""
    found: dict[tuple[Call, ...], float] = {}
    for line in lines:
        calls = line.meant.calls
        part = UNREAD + (1 - UNREAD) * line.meant.confidence if calls else 1.0
        found[calls] = found.get(calls, 0.0) + line.weight * part
        if calls:
            found[()] = found.get((), 0.0) + line.weight * (1 - part)
    return found


def figures(
    calls: tuple[Call, ...], lines: Sequence[LineReading], signals: dict[str, float]
) -> tuple[float, ...]:
    """Return the figures of the model for the chosen calls, in the order of `NAMES`."""
    ours = [line for line in lines if line.meant.calls == calls]
    others = [line for line in lines if line.meant.calls != calls]
    best = max(ours, key=lambda line: (line.sure, line.meant.confidence))
    behind = best.sure - max((line.sure for line in others), default=LEAST)
    top = int(signals.get("deck_first", 0))
    first = lines[top].meant.calls if top < len(lines) else ()
    return (
        1.0,
        best.sure,
        shares(ours)[()],
        max(-1.0, min(1.0, behind)),
        float(first == calls),
        float(len(calls) > 1),
        max(0.0, _QUIET_DB - signals.get("snr_db", _QUIET_DB)) / _QUIET_DB,
        len(ours) / max(len(lines), FEW),
        (len(best.meant.text.split()) + 1) / 10,
        best.sound,
        float(best.unknown > 0),
    )


def _settled(
    calls: tuple[Call, ...],
    likely: float,
    rivals: Sequence[tuple[Call, ...]],
    lines: Sequence[LineReading],
    words: Language,
) -> Understanding:
    """Return the calls of the surest line that means them: to act on, to ask about, or none."""
    meant = max(
        (line for line in lines if line.meant.calls == calls), key=lambda line: line.sure
    ).meant
    confidence = likely * meant.confidence
    if likely < ASK_FROM:
        return Understanding(meant.text, (), 1.0 - likely, is_unclear=True)
    options = [Option(calls, confidence)]
    if rivals:
        groups = shares(lines)
        second = max(rivals, key=groups.__getitem__)
        options.append(Option(second, min(confidence, 1.0 - confidence)))
    elif len(meant.options) > 1:
        options.append(meant.options[1])
    logs = any(call.act not in QUESTIONS for call in calls)
    sure = likely >= (LOG_FROM if logs else ANSWER_FROM)
    if sure and meant.ask is not None:
        return replace(meant, confidence=confidence)
    said = words.reader.line(meant.text)
    ask = None if sure else question([with_units(one.calls, said) for one in options])
    return Understanding(meant.text, calls, confidence, ask, tuple(options))


def _talk_or(
    rival: tuple[Call, ...], lines: Sequence[LineReading], transcript: Transcript, words: Language
) -> Understanding:
    """Return talk, unless a call is nearly as likely: then it is asked about."""
    likely = probability(figures(rival, lines, transcript.signals), WEIGHTS)
    if likely < ASK_FROM:
        return _as_talk(lines, min(_talk(lines), 1.0 - likely))
    return _settled(rival, min(likely, ANSWER_FROM - 0.01), (), lines, words)
