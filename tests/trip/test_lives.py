"""Lives of fish made at random, said in many ways, by several of the crew, late and corrected: totals hold.

The truth is what was made, so nothing here is measured against the program's own output.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

from hypothesis import assume, given, settings, strategies as st

from bot.trip.acts import ENDINGS, FISH_ACTS
from bot.trip.call import POSITIONS, Call
from bot.trip.decide import decide
from bot.trip.decision import Context, Decision, Numbering, number
from bot.trip.entry import Record
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.tally import tally
from bot.trip.twice import called_twice
from tests.builders import at

SPECIES = ("wahoo", "striped marlin", "sailfish", "yellowfin tuna", "mahi-mahi")
CREW = ("Ana", "Ben", "Tom")
QUIET_MIN = 16
"""Minutes before the next fish takes the same line."""


@dataclass(frozen=True)
class Life:
    """What becomes of one fish: acts with the minutes after the first at which they happen."""

    position: str
    start: float
    stages: tuple[tuple[float, str], ...]
    species: str
    weight_kg: float
    tag: str

    @property
    def end(self) -> float:
        return self.start + self.stages[-1][0]

    def was(self, *acts: str) -> bool:
        return any(act in acts for _, act in self.stages)


@dataclass(frozen=True)
class Saying:
    """One message."""

    minute: float
    crew: str
    calls: tuple[Call, ...]


class Log:
    """A log that is told of things as the desk is, without words."""

    def __init__(self) -> None:
        self.records: list[Record] = []
        self._ids = count(1)
        self.say(Saying(0, "Ana", tuple(
            Call("set", one, size_in=8.0 + n, colours=("pink",)) for n, one in enumerate(POSITIONS)
        )))  # fmt: skip
        self.say(Saying(0, "Ana", (Call("lines_in"),)))

    def say(self, one: Saying) -> Decision:
        said_at = at("06:00") + timedelta(minutes=one.minute)
        stood = standing_entries(self.records)
        twice = called_twice(one.calls, stood, fold(stood).fish, one.crew, said_at, UTC)
        assert twice.doubt is None
        context = Context(said_at, seconds=twice.seconds)
        decision = decide(twice.rest, self.records, context)
        about = Numbering(self._id, "t", self._id(), one.crew, "console", "said", said_at)
        self.records += number(decision, about)
        return decision

    def _id(self) -> str:
        return f"{next(self._ids):08d}"


ENDS = ("pulled_hook", "break_off", "boat", "release")


@st.composite
def lives(draw: st.DrawFn) -> list[Life]:
    made: list[Life] = []
    free = dict.fromkeys(POSITIONS, 5.0)
    for _ in range(draw(st.integers(1, 6))):
        position = draw(st.sampled_from(POSITIONS))
        start = free[position] + draw(st.integers(0, 40))
        stages: list[tuple[float, str]] = []
        minute = 0.0
        if draw(st.booleans()):
            stages.append((minute, "raise"))
            minute += draw(st.integers(1, 3))
        if draw(st.booleans()) or stages:
            stages.append((minute, "strike"))
            minute += draw(st.integers(1, 4))
        if stages and draw(st.integers(0, 3)) == 0:
            stages.append((minute, "miss"))
        else:
            stages.append((minute, "hookup"))
            minute += draw(st.integers(2, 40))
            if draw(st.booleans()):
                stages.append((minute, "leader"))
                minute += draw(st.integers(1, 3))
            stages.append((minute, draw(st.sampled_from(ENDS))))
        made.append(
            Life(
                position,
                start,
                tuple(stages),
                draw(st.sampled_from(SPECIES)),
                float(draw(st.integers(5, 200))),
                str(draw(st.integers(10000, 99999))),
            )
        )
        free[position] = made[-1].end + QUIET_MIN
    return made


def told(draw: st.DrawFn, all_: Sequence[Life]) -> list[Saying]:
    """Return each life: in order, by anybody, named where another fish could be meant, now and then twice."""
    found: list[Saying] = []
    for life in all_:
        alone = not any(
            other is not life
            and other.start - 20 < life.end + 10
            and life.start - 20 < other.end + 10
            for other in all_
        )
        for n, (minute, act) in enumerate(life.stages):
            when = life.start + minute
            named = not alone or act in ("raise", "strike") or n == 0 or draw(st.booleans())
            slots: dict[str, Any] = {"position": life.position} if named else {}
            if act in ("boat", "release") and draw(st.booleans()):
                slots["species"] = life.species
            crew = draw(st.sampled_from(CREW))
            found += _ways(draw, life, when, crew, Call(act, **slots), alone)  # type: ignore[arg-type]
        found += _afterwards(draw, life, alone)
    return sorted(found, key=lambda one: one.minute)


def _ways(
    draw: st.DrawFn, life: Life, when: float, crew: str, call: Call, alone: bool
) -> list[Saying]:
    way = draw(st.sampled_from(("once", "once", "by two", "again", "late", "corrected")))
    if way == "by two":
        other = draw(st.sampled_from([name for name in CREW if name != crew]))
        return [Saying(when, crew, (call,)), Saying(when + 0.4, other, (call,))]
    if way == "again" and call.act in ENDINGS and alone:
        return [Saying(when, crew, (call,)), Saying(when + 2.5, crew, (Call(call.act),))]
    if way == "late":
        late = call.with_slots(ago_min=0.5)
        return [Saying(when + 0.5, crew, (late,))]
    if way == "corrected" and call.position and call.act == "hookup" and alone:
        wrong = next(one for one in POSITIONS if one != life.position)
        slip, right = call.with_slots(position=wrong), Call("amend", position=life.position)
        before = life.stages[0][1] in ("hookup",)
        if before:
            return [Saying(when, crew, (slip,)), Saying(when + 0.3, crew, (right,))]
    return [Saying(when, crew, (call,))]


def _afterwards(draw: st.DrawFn, life: Life, alone: bool) -> list[Saying]:
    """Return the weight or the tag of a fish that was caught, minutes or hours later."""
    act = life.stages[-1][1]
    if act not in ("boat", "release") or not draw(st.booleans()):
        return []
    place: dict[str, Any] = {} if alone and draw(st.booleans()) else {"position": life.position}
    late = life.end + draw(st.sampled_from((3, 8)))
    if act == "release" and draw(st.booleans()):
        return [Saying(late, "Tom", (Call("release", tagged=True, tag=life.tag, **place),))]
    return [Saying(late, "Tom", (Call(act, weight_kg=life.weight_kg, **place),))]  # type: ignore[arg-type]


@st.composite
def stories(draw: st.DrawFn) -> tuple[list[Life], list[Saying]]:
    all_ = draw(lives())
    said = told(draw, all_)
    minutes = [one.minute for one in said]
    assume(len(set(minutes)) == len(minutes))
    return all_, said


@settings(max_examples=150, deadline=None)
@given(stories())
def test_each_fish_counts_once_whatever_is_said_about_it(
    story: tuple[list[Life], list[Saying]],
) -> None:
    all_, said = story
    log = Log()
    for one in said:
        decision = log.say(one)
        assert not decision.doubts, one

    stood = standing_entries(log.records)
    trip = fold(stood)
    total = tally((trip,), "none", at("23:59")).total
    assert total.strikes == sum(life.was("strike", "hookup") for life in all_)
    assert total.hookups == sum(life.was("hookup") for life in all_)
    assert total.caught == sum(life.was("boat", "release") for life in all_)
    assert total.lost == sum(life.was("pulled_hook", "break_off") for life in all_)
    assert len([e for e in stood if e.call.act in ENDINGS]) == len(all_)
    ids = [e.id for e in stood if e.call.act in FISH_ACTS]
    assert sorted(i for fish in trip.fish for i in fish.entries) == sorted(ids)
    ended = sorted((f.line or "", f.end or "", _minute(f.ends[-1].at)) for f in trip.fish if f.ends)
    assert ended == sorted((x.position, x.stages[-1][1], round(x.end)) for x in all_)
    assert not trip.fish_on


def _minute(when: datetime) -> int:
    return round((when - at("06:00")).total_seconds() / 60)


@settings(max_examples=80, deadline=None)
@given(stories())
def test_weights_and_tags_said_later_are_those_of_their_fish(
    story: tuple[list[Life], list[Saying]],
) -> None:
    all_, said = story
    log = Log()
    for one in said:
        log.say(one)

    fish = {
        (f.line, _minute(f.ends[-1].at)): f
        for f in fold(standing_entries(log.records)).fish
        if f.ends
    }
    for life in all_:
        caught = fish[life.position, round(life.end)]
        assert caught.weight_kg in (None, life.weight_kg)
        assert caught.tag in (None, life.tag)
        late = [s for s in said if s.minute > life.end and s.calls[0].weight_kg == life.weight_kg]
        if late and len([x for x in all_ if x.weight_kg == life.weight_kg]) == 1:
            assert caught.weight_kg == life.weight_kg


def test_a_protected_animal_on_a_line_is_no_catch() -> None:
    log = Log()
    log.say(Saying(20, "Ana", (Call("hookup", "shotgun"),)))
    log.say(Saying(22, "Ana", (Call("amend", species="turtle"),)))
    log.say(Saying(25, "Ben", (Call("release"),)))

    trip = fold(standing_entries(log.records))
    total = tally((trip,), "crew", at("23:59")).total
    assert (total.strikes, total.hookups, total.caught) == (0, 0, 0)
    assert [fish.species for fish in trip.fish] == ["turtle"]
    assert not trip.fish_on


def test_who_took_the_rod_is_the_angler_of_its_fish() -> None:
    log = Log()
    log.say(Saying(10, "Ana", (Call("angler", angler="Tom"),)))
    log.say(Saying(20, "Ana", (Call("hookup", "shotgun"),)))
    log.say(Saying(21, "Ana", (Call("hookup", "long rigger", angler="Ben"),)))
    log.say(Saying(25, "Ana", (Call("boat", angler="Ben", species="wahoo"),)))
    log.say(Saying(30, "Ana", (Call("angler", angler="Zoe"),)))
    log.say(Saying(31, "Ana", (Call("pulled_hook"),)))

    fish = fold(standing_entries(log.records)).fish
    assert [(one.position, one.angler, one.end) for one in fish] == [
        ("shotgun", "Zoe", "pulled_hook"),
        ("long rigger", "Ben", "boat"),
    ]
    boated = next(e for e in standing_entries(log.records) if e.call.act == "boat")
    assert boated.call.position == "long rigger"


def test_missed_of_a_fish_called_on_ends_that_fish_and_makes_no_other() -> None:
    log = Log()
    log.say(Saying(20, "Ana", (Call("hookup", "shotgun"),)))
    log.say(Saying(22, "Ben", (Call("miss"),)))

    trip = fold(standing_entries(log.records))
    assert tally((trip,), "none", at("23:59")).total.strikes == 1
    assert not trip.fish_on


def test_a_weight_with_a_name_is_that_of_the_fish_so_named() -> None:
    log = Log()
    log.say(Saying(10, "Ana", (Call("hookup", "shotgun"),)))
    log.say(Saying(15, "Ana", (Call("boat", species="wahoo"),)))
    log.say(Saying(30, "Ana", (Call("hookup", "long rigger"),)))
    log.say(Saying(40, "Ana", (Call("release", species="black marlin"),)))
    log.say(Saying(45, "Ben", (Call("amend", species="wahoo", weight_kg=17.0),)))

    fish = {one.species: one.weight_kg for one in fold(standing_entries(log.records)).fish}
    assert fish == {"wahoo": 17.0, "black marlin": None}


def test_a_bare_number_corrects_the_number_that_was_logged_just_now() -> None:
    log = Log()
    log.say(Saying(10, "Ana", (Call("speed", speed_kn=8.0),)))
    log.say(Saying(11, "Ana", (Call("amend", size_in=8.5),)))
    log.say(Saying(20, "Ana", (Call("set", "shotgun", size_in=6.0),)))
    log.say(Saying(21, "Ana", (Call("amend", size_in=7.0),)))

    trip = fold(standing_entries(log.records))
    assert trip.speed_kn == 8.5
    assert trip.spread["shotgun"].size_in == 7.0


def test_of_two_that_were_on_the_second_landed_is_not_taken_for_the_first() -> None:
    log = Log()
    log.say(Saying(10, "Ana", (Call("hookup", count=2, species="mahi-mahi"),)))
    log.say(Saying(15, "Ana", (Call("boat", species="mahi-mahi"),)))
    stood = standing_entries(log.records)
    again = (Call("boat", species="mahi-mahi"),)

    twice = called_twice(again, stood, fold(stood).fish, "Ben", at("06:15:30"), UTC)

    assert twice.doubt is not None
    assert twice.rest == again
