"""A transcript to what was meant, how sure that is, and the question to ask where it is not sure.

The page to read first in this package: words -> lattice -> ways through it -> readings -> the best, with
its probability. A strict reading first; repair of misheard words only where that leaves something over.
Cries for help, which the networks hear in any words, come first, whatever else is read.
Pure: the same transcript, language and hints give the same answer.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from bot.calls.anglers import named_last, on_the_rod
from bot.calls.animals import with_animals
from bot.calls.as_signs_say import as_signs_say
from bot.calls.asking import asked_plainly, is_question, names_program
from bot.calls.assemble import Reading
from bot.calls.bounds import (
    LONGEST,
    impossible,
    no_such_number,
    replace_long_numbers,
    with_numbers_that_can_be,
)
from bot.calls.by_grammar import is_misspelt, misspelt, readings_of
from bot.calls.completed_ways import (
    name_lure_of_bite,
    on_own_lines,
    with_its_figure,
    with_local_kinds,
    with_trays,
    without_people,
    without_rivals_in_angler,
)
from bot.calls.language import Language
from bot.calls.many import (
    looks_like_calls,
    parts_of,
    read_parts,
    read_separate_parts,
    too_many,
    without_questions,
)
from bot.calls.meant.measured import with_units
from bot.calls.meant.reader import Line
from bot.calls.meant.reminder import is_misspelt_wish, reminder_calls
from bot.calls.meant.tackle import standby_calls
from bot.calls.meant.times_said import until_calls
from bot.calls.meant.trays import lists_a_tray
from bot.calls.meant.undone import undone_calls
from bot.calls.meant.wishes import spread_calls
from bot.calls.phrasing import question
from bot.calls.reader.labels import OF_THE_SEA, URGENT
from bot.calls.short_line import QUESTION_OPEN, short_line
from bot.calls.tokens import Token, tokenise
from bot.calls.trouble import IN_TROUBLE, trouble_in, with_trouble
from bot.calls.weigh import Hints, oddity, plausible
from bot.calls.weighed import (
    AT_ONCE,
    WeighedReading,
    drop_denied,
    looked_at,
    weigh_readings,
    with_anglers,
    with_closest,
    with_names,
    with_one_time,
)
from bot.transcript import Alternative, Transcript
from bot.trip.acts import LOGGED, QUESTIONS
from bot.trip.call import Call
from bot.trip.meant import Meaning

ALTERNATIVES: Final = 5
"""Number of alternatives of a recording that are read."""
NO_CALL_CONFIDENCE: Final = 0.97
"""Confidence reported when no reading is found."""
RIVAL_WITHIN: Final = 0.6
"""Highest extra cost at which a second reading is offered beside the first."""
LOG_FROM: Final = 0.62
"""Probability from which a call is logged; larger asks more."""
LESS_FOR_THE_SEA: Final = 0.17
"""How much less will do where nothing is counted or moved: speed, water, wind, what is seen."""
ANSWER_FROM: Final = 0.50
"""Probability from which a question is answered; a wrong answer harms nothing."""
ASK_FROM: Final = 0.35
"""Probability from which a call is asked about; below it the line is talk."""
BESIDE_A_QUESTION: Final = 0.5
"""Most that is believed of a call before a question mark: with one nothing is logged, but asked about."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way to take a line."""

    calls: tuple[Call, ...]
    confidence: float


def options_with(
    options: Iterable[Option], change: Callable[[tuple[Call, ...]], tuple[Call, ...]]
) -> tuple[Option, ...]:
    """Return options with their calls changed, those that then come to the same made one."""
    likely: dict[tuple[Call, ...], float] = {}
    for one in options:
        calls = change(one.calls)
        likely[calls] = likely.get(calls, 0.0) + one.confidence
    return tuple(Option(calls, confidence) for calls, confidence in likely.items())


@dataclass(frozen=True, slots=True)
class Understanding:
    """What a message means."""

    text: str
    """The alternative that was acted on."""
    calls: tuple[Call, ...]
    """What would be logged or answered; the best guess where `ask` is set; empty for talk."""
    confidence: float
    """Probability, 0 to 1, that `calls` is right."""
    ask: str | None = None
    options: tuple[Option, ...] = ()
    """The readings that the question offers, likeliest first; at most two."""
    refusal: str = ""
    """What is to be said instead of acting: a number that cannot be meant, too many calls at once."""
    ways: tuple[WeighedReading, ...] = ()
    """All readings that were weighed for the text that was acted on, likeliest first."""
    meant: tuple[Meaning, ...] = ()
    """What the words mean besides the calls, or where they are no call."""
    addressed: bool = False
    """True where the program is called by its name."""
    is_unclear: bool = False
    """True where the words might be a call but were not made out well enough."""

    def as_question(self, options: Sequence[Option] = ()) -> "Understanding":
        """Return it to be asked about: between these readings, or about its own calls without any."""
        options = tuple(options) or (Option(self.calls, self.confidence),)
        return replace(self, ask=question([one.calls for one in options]), options=options)


def understand(
    transcript: Transcript, words: Language, hints: Hints | None = None
) -> Understanding:
    """Return what a message means; never raises, whatever it holds."""
    found = _understood(transcript, words, hints)
    unsure = not found.calls or found.ask is not None
    if unsure and not transcript.is_spoken and transcript.alternatives:
        found = _looked_at_again(transcript.best, found, words, hints)
    refusal = found.refusal or impossible(found.text, found.calls)
    if names_program(found.text):
        found = replace(found, addressed=True)
    return replace(found, calls=(), ask=None, options=(), refusal=refusal) if refusal else found


def _looked_at_again(
    text: str, found: Understanding, words: Language, hints: Hints | None
) -> Understanding:
    """Read an unsure typed line again: in parts, and with an impossible number replaced."""

    def read(part: str) -> tuple[tuple[Call, ...], float]:
        one = _understood(Transcript((Alternative(part, 1.0),)), words, hints)
        return (one.calls, one.confidence) if one.ask is None else ((), 0.0)

    parts = parts_of(text)
    calls, sure = read_parts(parts, read) if parts else ((), 0.0)
    if not calls:
        calls, sure = read_separate_parts(text, read, sentences=not found.calls)
    if not calls and (rest := without_questions(text)) and not _is_place(rest, words):
        told, likely = read(rest)
        shouted = text.rstrip("! ").endswith("?")  # else the whole line says as much
        if shouted and any(call.act in LOGGED for call in told):
            sure = min(likely, BESIDE_A_QUESTION)
            return Understanding(text, told, sure, question([told]), (Option(told, sure),))
        calls, sure = (told, likely) if found.calls == told or shouted else ((), 0.0)
    if calls:
        return Understanding(text, calls, sure, options=(Option(calls, sure),))
    if parts and not found.calls and looks_like_calls(parts, read):
        return replace(found, refusal=too_many(parts))
    for number, other in replace_long_numbers(text):
        if found.calls and len(number) <= LONGEST:
            continue  # a call without its number is asked about, and no fish is lost
        if any(call.act in LOGGED for call in read(other)[0]):
            return replace(found, refusal=no_such_number(number))
    return found


def _is_place(text: str, words: Language) -> bool:
    """Return whether a text names lines and nothing else: "which one? shotgun"."""
    line = words.reader.line(text)
    named = {n for s in line.of("position") if s.cost == 0.0 for n in range(s.start, s.end)}
    return len(named) == line.lattice.size


def _understood(transcript: Transcript, words: Language, hints: Hints | None) -> Understanding:
    tried = transcript.alternatives[:ALTERNATIVES]
    heard = [_heard(a.text, a.score, words, hints, transcript.is_spoken) for a in tried]
    if not heard:
        return Understanding("", (), NO_CALL_CONFIDENCE)
    whole = sum(h.share for h in heard) or 1.0
    same = {h.calls: 0.0 for h in heard}
    for each in heard:
        same[each.calls] += each.share / whole
    best = max(heard, key=lambda h: (same[h.calls], h.share))
    likely = best.likely * (same[best.calls] if best.calls else 1.0)
    if not best.calls or likely < _ask_from(words):
        sure = _nothing(best) if not best.calls else 1.0 - likely
        return Understanding(best.text, (), sure, ways=best.ways)
    options = _options(best, likely, heard)
    logs = any(c.act not in QUESTIONS for c in best.calls)
    enough = _log_from(words) if logs else _answer_from(words)
    if logs and words.trust and all(c.act in OF_THE_SEA for c in best.calls):
        enough -= LESS_FOR_THE_SEA
    surely = likely >= enough or any(call.act in URGENT for call in best.calls)
    if not surely and best.unknown and not transcript.is_spoken:
        return Understanding(best.text, (), 1.0 - likely, ways=best.ways)
    line = words.reader.line(best.text)
    ask = None if surely else question([with_units(o.calls, line) for o in options])
    return Understanding(best.text, best.calls, likely, ask, options, ways=best.ways)


def _nothing(heard: "_Heard") -> float:
    """Return how sure it is that a line without calls is talk."""
    return (
        min(NO_CALL_CONFIDENCE, heard.likely)
        if heard.ways and heard.ways[0].figures
        else NO_CALL_CONFIDENCE
    )


def _log_from(words: Language) -> float:
    return words.trust.log_from if words.trust else LOG_FROM


def _answer_from(words: Language) -> float:
    return words.trust.answer_from if words.trust else ANSWER_FROM


def _ask_from(words: Language) -> float:
    return words.trust.ask_from if words.trust else ASK_FROM


@dataclass(frozen=True, slots=True)
class _Heard:
    """One alternative with its best reading."""

    text: str
    calls: tuple[Call, ...]
    likely: float
    share: float
    """Its weight: the engine's score times how possible its calls are now."""
    rival: tuple[Call, ...] = ()
    """The next reading, where it is near enough to be meant."""
    ways: tuple[WeighedReading, ...] = ()
    unknown: bool = False
    """True where no word of it is known and the grammar makes nothing of it: a guess of the networks."""


def ways_of(
    text: str, words: Language, hints: Hints | None = None, spoken: bool = False
) -> tuple[tuple[WeighedReading, ...], list[Reading]]:
    """Return the readings of a line with their probabilities, likeliest first, and the grammar's own."""
    text = words.in_full(text)
    flags = hints.flags if hints else 0
    before = tuple(map(words.in_full, hints.before)) if hints else ()
    looked = looked_at(text, words, flags, before)
    sure = looked is not None and looked.is_sure and not is_misspelt_wish(words.reader.line(text))
    speaker = hints.speaker if hints else ""
    crew = (hints.crew if hints else frozenset()) | ({speaker.casefold()} - {""})
    readings = readings_of(text, words, not sure, crew, looked.words if looked else None)
    fit = [r for r in readings if r.calls and not r.path.talk]
    ranked = sorted(fit, key=lambda r: r.cost + oddity(r, hints))
    ways = weigh_readings(looked, ranked, readings, words, spoken, speaker)
    line = words.reader.line(text)
    asked = ("choice",) if flags & QUESTION_OPEN else ()
    if any((o.start, o.end) == (0, len(line.tokens)) for o in line.of("ordinal", *asked)):
        heard = tuple(way for way in ways if spoken and not way.calls)
        ways = heard or (WeighedReading((), AT_ONCE, "grammar"),)
    near = tuple[Call, ...] if spoken else partial(misspelt, text, words)
    ways = short_line(ways, ranked, line, flags, speaker, near)
    on_rod = on_the_rod(line, words.vocabulary, crew, speaker)
    ways = with_anglers(
        with_trays(ways, _said_by_signs(line, crew), lists_a_tray(line)),
        on_rod,
        named_last(line, words.vocabulary, crew),
    )
    named = with_one_time(with_names(ways, line, words.vocabulary, crew, speaker), line)
    named = on_own_lines(drop_denied(named, line), line, words.lacks)
    ways = as_signs_say(with_closest(named, line), line)
    ways = with_local_kinds(name_lure_of_bite(without_people(ways, line), line), line)
    ways = with_animals(ways, line, flags)
    ways = with_numbers_that_can_be(with_its_figure(without_rivals_in_angler(ways)))
    alone = partial(looked_at, text, words) if flags & IN_TROUBLE else None
    return with_trouble(ways, looked, ranked, line, alone), ranked


def _said_by_signs(line: Line, crew: frozenset[str]) -> tuple[Call, ...]:
    return (
        reminder_calls(line)
        or asked_plainly(line, crew)
        or spread_calls(line)
        or standby_calls(line)
        or undone_calls(line)
        or until_calls(line)
    )


def _heard(text: str, score: float, words: Language, hints: Hints | None, spoken: bool) -> _Heard:
    ways, ranked = ways_of(text, words, hints, spoken)
    tokens = tokenise(text, words.grammar.spelling)
    best = _chosen(ways, text, tokens, words)
    if not best.calls:
        return _Heard(text, (), best.probability, max(score, 1e-9), (), ways)
    weight = plausible(best.calls, hints, spoken)
    other = next((w.calls for w in ways if w.calls and w.calls != best.calls), ())
    if not other and best.by != "network":
        other = _near(ranked)
    share = max(score, 1e-9) * weight
    unknown = not ranked and not any(t.text in words.vocabulary or t.text.isdigit() for t in tokens)
    unknown = unknown and not is_misspelt(best.calls, tokens, words)
    return _Heard(text, best.calls, best.probability * weight, share, other, ways, unknown)


def _chosen(
    ways: Sequence[WeighedReading], text: str, tokens: Sequence[Token], words: Language
) -> WeighedReading:
    """Return the reading to act on: nothing of a question is logged, and trouble comes first."""
    if trouble := trouble_in(ways):
        return trouble
    if is_question(text, tokens, words.grammar):
        ways = [w for w in ways if all(c.act in QUESTIONS for c in w.calls)]
        if not ways:
            return WeighedReading((), NO_CALL_CONFIDENCE, "network")
    calls = [w for w in ways if w.calls]
    best = max(ways, key=lambda w: w.probability)
    if not best.calls and calls and calls[0].probability >= _ask_from(words):
        return calls[0]
    return best


def _near(ranked: Sequence[Reading]) -> tuple[Call, ...]:
    """Return the grammar's next reading, where it is near enough to be meant."""
    rival = next((r for r in ranked if r.calls != ranked[0].calls), None)
    near = rival is not None and rival.cost - ranked[0].cost <= RIVAL_WITHIN
    return rival.calls if rival is not None and near else ()


def _options(best: _Heard, likely: float, heard: Sequence[_Heard]) -> tuple[Option, ...]:
    """Return the likeliest reading, and the next where there is one that may be meant."""
    first = Option(best.calls, likely)
    others = [h for h in heard if h.calls and h.calls != best.calls]
    rest = max(0.0, min(likely, 1.0 - likely))
    if others:
        return first, Option(max(others, key=lambda h: h.share).calls, rest)
    return (first, Option(best.rival, rest)) if best.rival else (first,)
