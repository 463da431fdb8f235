"""The readings of one line side by side, the network's and the grammar's, each with its probability.

One place weighs them; what is not sure is asked about by `understand`. Pure.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from typing import Any, Final, Protocol

from bot.calls.anglers import who_takes_it, without_s
from bot.calls.assemble import Reading
from bot.calls.confidence import features, probability
from bot.calls.grammar import Grammar
from bot.calls.lattice import with_repairs
from bot.calls.meant.reader import Line
from bot.calls.reader.decode import TaggedCall, is_of_lure
from bot.calls.reader.labels import BARE, NAMED_BY_GRAMMAR, PLAIN, SPEAKER, URGENT
from bot.calls.reader.network import Network
from bot.calls.reader.read import NetworkReading, read
from bot.calls.reader.situation import ABOUT_A_LURE, bits_of
from bot.calls.reader.trust import NAMES, Trust, grammar_figures, likely
from bot.calls.reader.words import Words, in_turn, of_lattice, words_of
from bot.calls.repair import Repairer
from bot.calls.times import clocks_at
from bot.calls.weigh import with_closer_kinds
from bot.trip.acts import ACTS, ANGLER, LINES_IN, QUESTIONS, TABLE, TAKES
from bot.trip.call import Call, from_json
from bot.trip.times import with_clock

MOST_WORDS: Final = 25
"""Most words of a line that the networks read; the grammar reads a longer one, in parts if need be."""
LINES_BEFORE: Final = 2
LONGEST_BEFORE: Final = 120
"""How many lines before, and how many letters of each, are read."""
MOST_LETTERS: Final = 20
MOST_FIGURES: Final = 6
"""Most letters of a word, and most digits of a number, that can be meant."""
SURE: Final = -0.08
"""Log probability from which the networks count as sure; nearer to 0 asks the grammar more often."""
NO_TALK: Final = -20.0
"""Log probability of talk below which a line is never passed over in silence."""
DENIES: Final = -0.02
"""Log probability from which the networks can take the decision from the grammar."""
UNDENIED: Final = URGENT | BARE
PLAINLY: Final = 0.98
"""Probability from which the grammar keeps it: the line is a wording of its own, whole."""
SURE_BY_ITSELF: Final = 0.9
"""Probability from which the grammar decides by itself; larger lets it decide less."""
AGREEMENT_FROM: Final = 0.9
"""Least probability where it is that sure and the networks read the same: 97 of 100 are right."""
GRAMMAR_ALONE: Final = frozenset({LINES_IN})
"""Where the grammar is sure of it, no question is meant: "the same spread again" asks for no plan."""
ASKS: Final = 0.5
"""The same for a question where the networks find no call: a wrong answer harms nothing."""
AT_ONCE: Final = 0.9
"""Probability given to a cry for help, so that nothing is asked."""
MOST_FOR_A_GUESS: Final = 0.5
"""Highest probability of a line of which no word is known: a slip alone never logs a fish."""
FIRST_WORDS: Final = 2
"""A clock time within this many words stands at the start of the line: "at 10:20 strike"."""
_UNKNOWN: Final = NAMES.index("unknown")
_FLOOR: Final = -8.0
_LOWEST: Final = -12.0
"""Lowest log probabilities that are used: of a reading, and of talk."""


class Readers(Protocol):
    """The readers of a line: the grammar and, where there is one, the learned reader."""

    grammar: Grammar
    network: Network | None
    trust: Trust | None

    @property
    def repairer(self) -> Repairer:
        """Return who puts words right."""


@dataclass(frozen=True, slots=True)
class WeighedReading:
    """One reading of a line and how likely it is right."""

    calls: tuple[Call, ...]
    probability: float
    by: str
    """Who reads it so: `network`, `grammar`, or `both`."""
    figures: tuple[float, ...] = ()
    """What spoke for it, one for each of `trust.NAMES`."""
    may_be_trouble: bool = False
    """True where the line may cry for help, but too little speaks for it to act on that."""


@dataclass(frozen=True, slots=True)
class NetworkView:
    """A line as the networks read it, before the grammar is asked."""

    words: Words
    learned: NetworkReading
    flags: int = 0
    """What was going on."""

    @property
    def is_sure(self) -> bool:
        """Return whether the networks are so sure that no word needs repair."""
        found = self.learned
        return (
            found.acts_log > SURE and found.roles_log > SURE and not (found.split or found.unread)
        )


def looked_at(
    line: str, words: Readers, flags: int = 0, before: Sequence[str] = ()
) -> NetworkView | None:
    """Return a line as the networks read it; None where there are none or they cannot read it.

    `before` is what was said just before, the latest last.
    """
    if words.network is None or words.trust is None:
        return None
    seen = words_of(line, words.grammar)
    if len(seen.tokens) > MOST_WORDS or any(_is_no_word(t.text) for t in seen.tokens):
        return None
    earlier = (said[-LONGEST_BEFORE:] for said in before[-LINES_BEFORE:] if said.strip())
    seen = replace(seen, before=in_turn(earlier, words.grammar))
    learned = read(seen, words.network, flags, lambda: _repaired(seen, words))
    return NetworkView(seen, learned, flags)


def _is_no_word(text: str) -> bool:
    return len(text) > (MOST_FIGURES if text.isdigit() else MOST_LETTERS)


def weigh_readings(
    looked: NetworkView | None, ranked: Sequence[Reading], readings: Sequence[Reading], words: Readers,
    spoken: bool = False, speaker: str = "",
) -> tuple[WeighedReading, ...]:  # fmt: skip
    """Return the readings of a line, likeliest first.

    `ranked` are the grammar's readings that are no talk, best first; `readings` all that it has.
    """
    best = ranked[0] if ranked else None
    by_grammar = best.calls if best else ()
    sure = probability(features(best, readings)) if best else 0.0
    if looked is None or words.network is None or words.trust is None:
        return (WeighedReading(by_grammar, sure if best else 1.0, "grammar"),)
    calls = with_closer_kinds(calls_of(looked.learned.calls, speaker), by_grammar)
    if calls != by_grammar and all(call.act in BARE for call in calls):
        calls = ()
    same = _alike(calls) == _alike(by_grammar)
    asks = bool(by_grammar) and all(c.act in QUESTIONS for c in by_grammar)
    questions = bool(calls) and all(c.act in QUESTIONS for c in calls)
    surely = looked.is_sure and looked.learned.acts_log > DENIES
    denied = surely and not same and not questions and sure < PLAINLY
    if asks and not denied and sure >= (SURE_BY_ITSELF if calls else ASKS):
        return (WeighedReading(by_grammar, sure, "grammar"),)
    if not {call.act for call in by_grammar} <= _learnt(words.network.acts):
        return (WeighedReading(by_grammar, sure, "grammar"),)
    alone = by_grammar[0].act if len(by_grammar) == 1 and sure >= SURE_BY_ITSELF else ""
    plain = PLAIN | GRAMMAR_ALONE if questions else PLAIN
    if alone in plain and (alone in UNDENIED or not denied):
        return (WeighedReading(by_grammar, sure, "grammar"),)
    both = bool(calls) and [c.act for c in calls] == [c.act for c in by_grammar]
    if sure >= SURE_BY_ITSELF and both and all(c.act in NAMED_BY_GRAMMAR for c in by_grammar):
        return (WeighedReading(by_grammar, sure, "both"),)
    figures = _figures(looked, calls, by_grammar, sure, same, words, spoken)
    most = MOST_FOR_A_GUESS if calls and figures[_UNKNOWN] == 1.0 else 1.0
    agreed = bool(calls) and same and sure >= SURE_BY_ITSELF
    least = AGREEMENT_FROM if agreed else _least(looked, calls, words.trust)
    chance = min(max(words.trust.learned.likely(figures), least), most)
    by = "both" if same else "network"
    first = WeighedReading(by_grammar if same else calls, chance, by, figures)
    if same:
        return (first,)
    figures = grammar_figures(figures, first.probability)
    second = WeighedReading(by_grammar, likely(figures, words.trust.grammar), "grammar", figures)
    return tuple(sorted((first, second), key=lambda w: -w.probability))


def _least(looked: NetworkView, calls: Sequence[Call], trust: Trust) -> float:
    """Return the least probability of a reading: where the networks find no talk it is asked about."""
    entries = any(call.act not in QUESTIONS for call in calls)
    return trust.ask_from if entries and looked.learned.talk_log < NO_TALK else 0.0


@lru_cache(maxsize=2)
def _learnt(labels: tuple[str, ...]) -> frozenset[str]:
    """Return the acts that the networks have learnt; the grammar alone reads a new one."""
    return frozenset(label.partition(":")[0] for label in labels)


def with_anglers(
    ways: Sequence[WeighedReading], alone: tuple[Call, ...], last: str | None
) -> tuple[WeighedReading, ...]:
    """Return the readings with who is on the rod: `alone` is all that is said, `last` a name at the end."""
    if alone:
        return (WeighedReading(alone, AT_ONCE, "grammar"), *(w for w in ways if w.calls != alone))
    if last is None:
        return tuple(ways)
    return tuple(replace(w, calls=_with_angler(w.calls, last)) for w in ways)


def _with_angler(calls: tuple[Call, ...], name: str | None) -> tuple[Call, ...]:
    of_fish = [
        call for call in calls if TABLE[call.act].stage in ("struck", "on", "caught", "lost")
    ]
    if len(of_fish) != 1 or of_fish[0].angler:
        return calls
    return tuple(call.with_slots(angler=name) if call is of_fish[0] else call for call in calls)


def merge_same(ways: Sequence[WeighedReading]) -> tuple[WeighedReading, ...]:
    """Return the readings, with those that now say the same made one."""
    found: dict[tuple[Call, ...], WeighedReading] = {}
    for way in ways:
        known = found.get(way.calls)
        sure = min(AT_ONCE, known.probability + way.probability) if known else 0.0
        found[way.calls] = (
            replace(known, probability=max(sure, known.probability), by="both") if known else way
        )
    return tuple(sorted(found.values(), key=lambda way: -way.probability))


def with_one_time(ways: Sequence[WeighedReading], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings with the clock time at the start of a line, each for its first entry.

    That it is the time of the whole breath follows at the desk: a slot stays with its call here.
    """
    clocks = [way.calls[0].clock for way in ways if way.calls and way.calls[0].clock is not None]
    starts = range(min(FIRST_WORDS, len(line.tokens))) if clocks else ()
    said = {c.clock for at in starts for c in clocks_at(line.lattice, at)}
    first = next((clock for clock in clocks if clock in said), None)
    if first is None:
        return tuple(ways)

    def timed(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        at = next((n for n, call in enumerate(calls) if TABLE[call.act].is_entry), len(calls))
        return (*calls[:at], *with_clock(calls[at : at + 1], first), *calls[at + 1 :])

    return tuple(replace(way, calls=timed(way.calls)) for way in ways)


def with_names(
    ways: Sequence[WeighedReading], line: Line, known: Collection[str], crew: Collection[str], speaker: str,
) -> tuple[WeighedReading, ...]:  # fmt: skip
    """Return the readings with anglers by their names: "lukes rod" is Luke's, "got it" the speaker's."""

    def named(call: Call) -> Call:
        if call.act == ANGLER and call.angler is None:
            return call.with_slots(angler=who_takes_it(line, known, crew, speaker))
        return call.with_slots(angler=without_s(call.angler, line, crew)) if call.angler else call

    return tuple(replace(way, calls=tuple(named(call) for call in way.calls)) for way in ways)


def drop_denied(ways: Sequence[WeighedReading], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings without what was denied: the fish that it was not, the tag that it lacks."""
    before = {sign.end for sign in line.of("denied") if sign.name == "fish"}
    fish = [sign for sign in line.of("species") if sign.cost == 0]
    denied = {sign.name for sign in fish if sign.start in before}
    meant = [sign.name for sign in fish if sign.start not in before]
    untagged = line.has("denied", "tag")
    if not untagged and not (denied and meant):
        return tuple(ways)

    def told(call: Call) -> Call:
        if call.species in denied and meant and meant[-1] not in denied:
            call = call.with_slots(species=meant[-1])
        return call.with_slots(tag=None, tagged=False) if untagged and call.tagged else call

    return tuple(replace(way, calls=tuple(told(call) for call in way.calls)) for way in ways)


def with_closest(ways: Sequence[WeighedReading], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings with the closer of two names for one fish: "a little tuna, blackfin"."""
    names = {sign.name for sign in line.of("species") if sign.cost == 0}

    def told(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        of_fish = [call for call in calls if call.species]
        closer = {name for name in names if of_fish and name.endswith(f" {of_fish[0].species}")}
        if len(of_fish) != 1 or len(closer) != 1:
            return calls
        one = of_fish[0].with_slots(species=next(iter(closer)))
        return tuple(one if call is of_fish[0] else call for call in calls)

    return tuple(replace(way, calls=told(way.calls)) for way in ways)


def _repaired(looked: Words, words: Readers) -> Words:
    pointing = words.grammar.lists["pointing"]
    sure = frozenset(n for n, token in enumerate(looked.tokens) if token.text in pointing)
    repairs = words.repairer.repairs(looked.tokens, sure)
    return of_lattice(looked.line, with_repairs(looked.lattice, repairs), words.grammar)


def calls_of(tagged: Sequence[TaggedCall], speaker: str = "") -> tuple[Call, ...]:
    """Return tagged calls as calls, each with the slots that its act may carry.

    Where the speaker calls himself the angler and is not known, no angler is named.
    """
    found = []
    for one in tagged:
        if one.act in ACTS:
            takes, reads = TAKES[one.act], TABLE[one.act].reads
            slots = {
                reads.get(k, k) if k not in takes else k: v
                for k, v in one.slots.items()
                if k in takes or (reads.get(k) in takes and reads[k] not in one.slots)
            }
            if "colours" in one.slots and "colours" not in takes and is_of_lure(slots):
                del slots["length_cm"]
            if slots.get("angler") == SPEAKER:
                slots["angler"] = speaker or None
            found.append(from_json({"act": one.act, **slots}))
    return tuple(_never_on(call for call, _ in groupby(found)))


def _never_on(calls: Iterable[Call]) -> list[Call]:
    """Return calls without a hook-up of a fish that was missed: "the rigger never stuck" is a miss."""
    found: list[Call] = []
    for call in calls:
        before = found[-1] if found else None
        missed = TABLE[call.act].stage == "missed" and call.position is None
        if missed and before is not None and TABLE[before.act].stage == "on" and before.position:
            call = call.with_slots(position=found.pop().position)
        found.append(call)
    return found


def in_json(calls: Sequence[Call]) -> list[dict[str, Any]]:
    """Return calls in the form of the contract, to compare what two readers say."""
    return [call.to_json() for call in calls]


_LEADING: Final = frozenset("that a an the to of some".split())


def _alike(calls: Sequence[Call]) -> list[dict[str, Any]]:
    """Return calls in a form to compare: free text without its opening words, marks and capitals."""
    found = in_json(calls)
    for call in found:
        if "text" in call:
            words = [w.strip(".,;:!\"'") for w in str(call["text"]).lower().split()]
            while words and words[0] in _LEADING:
                words = words[1:]
            call["text"] = " ".join(words)
    return found


def _figures(
    looked: NetworkView, calls: Sequence[Call], by_grammar: Sequence[Call], sure: float, same: bool,
    words: Readers, spoken: bool,
) -> tuple[float, ...]:  # fmt: skip
    learned, seen = looked.learned, looked.words
    acts, other = [c.act for c in calls], [c.act for c in by_grammar]
    size = max(1, len(seen.tokens))
    unknown = sum(
        t.text not in words.grammar.vocabulary and not any(k)
        for t, k in zip(seen.tokens, seen.known, strict=True)
    )
    known = "lure" if looked.flags & bits_of(ABOUT_A_LURE) else ""
    lacks = sum(
        1
        for call in calls
        for need in words.grammar.needs.get(call.act, ())
        if need != known
        and not set(call.said()) & set(need.replace("lure", "lure|colours|size_in|head").split("|"))
    )
    return (
        1.0,
        max(_FLOOR, learned.acts_log),
        max(_FLOOR, learned.roles_log),
        0.0 if calls else 1.0,
        float(same),
        float(acts == other and not same),
        sure if same else 0.0,
        float(not by_grammar and not same),
        0.0 if same else sure,
        float(len(calls) > 1),
        float(learned.unread),
        float(any(not any(k) for k in seen.known)),
        float(seen.end == "?"),
        float(spoken),
        unknown / size,
        float(size <= 2),
        float(min(lacks, 2)),
        float(learned.split),
        sure if acts == other and not same else 0.0,
        float(learned.apart),
        max(_FLOOR, learned.least_acts_log),
        max(_FLOOR, learned.least_roles_log),
        max(_LOWEST, learned.talk_log),
        float(size),
        float(len(calls)),
        float(sum(len(call.said()) for call in calls)),
        float(bool(seen.before)),
        float(looked.flags != 0),
        0.0,
    )
