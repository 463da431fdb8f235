"""No proposal of any day breaks a rule of the trade: those of `test_rules_of_the_trade`, held against all.

Days are made up at random: what is in the box, on which rods, how fast, and what bites when. All rules are
common practice without a source, and are read off the log here, not off what the advice was given.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import pytest

from bot.advice.choose import weigh
from bot.advice.data import Kind, full_words
from bot.advice.follow import ALIKE_FROM, leader, like
from bot.answers.advise import cells, earlier, evaluate_change, in_water, may_run, verdict
from bot.answers.proposal import advice_line
from bot.answers.view import Past, View
from bot.messages import Advice
from bot.spread.rules import findings
from bot.tackle.checks import Rig
from bot.tackle.items import HEADS, STANDARD_POSITIONS, Boat, Lure, Outfit
from bot.trip.call import Call
from bot.trip.entry import Advised, Entry, Record
from bot.trip.fold import fold
from bot.trip.history import in_order
from bot.trip.state import Trip
from tests.answers.views import view
from tests.builders import DAY, call, log_of, said

HOURS = 7
STEP_MIN = 20
COLOURS = ("purple", "black", "pink", "blue", "white", "green", "silver")


@dataclass
class Day:
    """One made-up day as it goes on."""

    dice: random.Random
    box: tuple[Lure, ...]
    boat: Boat
    past: Past
    records: tuple[Record, ...] = ()
    at: datetime = DAY + timedelta(hours=6)
    swaps: list[tuple[datetime, str, str, str]] = field(default_factory=list)
    """Time, position, what came in and what went out."""
    happened: datetime = DAY
    """When something was called last after which a proposal may change."""

    def say(self, *calls: Call) -> None:
        """Log a message."""
        self.records = said(self.records, f"{self.at:%H:%M}", *calls, box=self.box)[1]
        self.happened = self.at

    def view(self) -> View:
        """Return what is so now."""
        return view(self.records, f"{self.at:%H:%M}", self.box, boat=self.boat, past=self.past)


def day(seed: int) -> Day:
    """Return a day with its first spread out; every other boat has fished before."""
    dice = random.Random(seed)
    box = tuple(
        Lure(
            f"Lure {number}",
            dice.choice((5, 6, 7, 8, 8, 9, 10, 12, 14)),
            tuple(dice.sample(COLOURS, dice.choice((1, 1, 2)))),
            dice.choice(HEADS),
            dice.choice((None, "light", "medium", "heavy")),
            ready=dice.random() < 0.85,
            speed_min_kn=dice.choice((None, 6.5)),
            speed_max_kn=dice.choice((None, None, 10, 6.5)),
        )
        for number in range(16)
    )
    positions = STANDARD_POSITIONS[: dice.choice((3, 4, 5))]
    outfits = tuple(Outfit(one, dice.choice((15, 24, 37, 60))) for one in positions)
    found = Day(dice, box, Boat(positions=positions, outfits=outfits), Past(tuple))
    if seed % 2:
        found.past = Past(lambda: (_yesterday(dice, box, positions),))
    for position, lure in zip(positions, dice.sample(box, len(positions)), strict=True):
        found.say(_set(position, lure))
    found.say(call("lines_in"))
    if dice.random() < 0.5:
        found.say(call("speed", speed_kn=dice.choice((6.0, 8.0, 9.0))))
    return found


def _set(position: str, lure: Lure) -> Call:
    slots = {"size_in": lure.size_in, "colours": lure.colours, "head": lure.head}
    return call("set", position, f"@{lure.name}", **slots)


def _yesterday(dice: random.Random, box: Sequence[Lure], positions: Sequence[str]) -> Trip:
    first = zip(positions, dice.sample(box, len(positions)), strict=True)
    laid = [("06:00", _set(position, lure)) for position, lure in first]
    bites = [("08:00", call("strike", dice.choice(positions))) for _ in range(dice.randrange(5))]
    records = log_of(*laid, ("06:01", call("lines_in")), *bites, ("14:00", call("lines_out")))
    return fold(in_order(one for one in records if isinstance(one, Entry)))


def something(one: Day) -> None:
    """Let something happen, or nothing: a bite on a line that has them, a raise, a fish on, a change."""
    dice, out = one.dice, [there.position for there in in_water(one.view())]
    lot = dice.random()
    if not out or lot < 0.5:
        return
    position = out[0] if dice.random() < 0.5 else dice.choice(out)
    if lot < 0.75:
        one.say(call("strike", position))
        one.say(call("miss", position))
    elif lot < 0.82:
        one.say(call("raise", position))
    elif lot < 0.88:
        one.say(call("hookup", position))
        one.at += timedelta(minutes=7)
        assert not isinstance(verdict(one.view()), Advice)  # 19: a fish is on
        one.say(call("release", position))
    elif lot < 0.92:
        one.say(call("speed", speed_kn=dice.choice((6.0, 8.0, 9.5))))
    elif one.view().ready:
        lure = dice.choice(one.view().ready)
        put_out(one, position, lure)


def put_out(one: Day, position: str, lure: Lure) -> None:
    """Make a change, and remember it."""
    there = one.view().trip.in_water[position]
    one.swaps.append((one.at, position, lure.name, there.label))
    one.say(replace(_set(position, lure), act="swap"))


def hold_the_rules(one: Day, now: View, found: Advice) -> None:
    """Hold every rule against one proposal."""
    out = {there.position: there for there in now.trip.in_water.values()}
    struck = {there.position: there.strikes for there in in_water(now)}
    gone, lure = out[found.position], now.lure(found.lure)
    bites = [f.bite_at for f in now.trip.fish if f.line == gone.line and f.bite_at is not None]
    lately = [b for b in bites if gone.set_at is None or b >= gone.set_at]
    assert lure is not None
    assert not lately or one.at - max(lately) >= timedelta(hours=1)  # 1: just bitten
    raises = [f.raised_at for f in now.trip.fish if f.line == gone.line and f.raised_at is not None]
    behind = [r for r in raises if gone.set_at is None or r >= gone.set_at]
    assert not behind or one.at - max(behind) >= timedelta(hours=1)  # 1: a fish was behind it
    assert not struck[found.position] or struck[found.position] < sum(struck.values())  # 2
    best = max(struck.values())
    if best >= 2 and 3 * best > 2 * sum(struck.values()):  # 6: not on the line that has the bites
        assert struck[found.position] < best
    in_a_row = [s for s in one.swaps if one.at - s[0] < timedelta(minutes=10)]
    assert len(in_a_row) < 2  # 7
    assert sum(c.hours for c in cells(now.trip, now)) >= 1.0 or earlier(now).cells  # 8
    assert all(
        s[1] != found.position or one.at - s[0] >= timedelta(minutes=20) for s in one.swaps
    )  # 9
    assert all(
        (s[1], s[3]) != (found.position, found.lure) or one.at - s[0] >= timedelta(hours=1)
        for s in one.swaps
    )  # 10
    assert found.chance >= 0.6  # 11
    assert lure in now.ready  # 14 and 18
    assert lure.name not in {there.lure for there in out.values()}
    speed_kn = now.trip.speed_kn
    if speed_kn is not None and speed_kn == now.speed_kn:  # 15
        assert (lure.speed_min_kn or 0) <= speed_kn <= (lure.speed_max_kn or 99)
    outfit = one.boat.outfit(found.position)
    assert outfit is not None
    assert all(f.severity == "note" for f in findings(Rig(lure, outfit, None)))  # 17
    line = advice_line(now, found)  # 20
    assert (
        f"{full_words(lure.name, Kind(lure.size_in, lure.colours))} on the {found.position}" in line
    )
    assert "comes out" in line
    assert f"Better with {round(found.chance * 10)} chances in 10" in line


@pytest.mark.parametrize("first", range(0, 18, 6))
def test_no_proposal_of_a_day_breaks_a_rule_of_the_trade(first: int) -> None:
    many = sum(held_over(day(seed)) for seed in range(first, first + 6))

    assert many >= 10  # or nothing was held


def held_over(one: Day) -> int:
    """Let a day go by, hold the rules against each proposal, and return how many there were."""
    last: tuple[datetime, Advice] | None = None
    many = 0
    while one.at < DAY + timedelta(hours=6 + HOURS):
        one.at += timedelta(minutes=one.dice.choice((2, 5, STEP_MIN)))
        something(one)
        now = one.view()
        found = verdict(now)
        if not isinstance(found, Advice):
            continue
        many += 1
        hold_the_rules(one, now, found)
        stood = last is not None and one.at - last[0] < timedelta(hours=1)
        if last is not None and stood and one.happened < last[0]:
            assert (found.position, found.lure) == (last[1].position, last[1].lure)  # 12
        elif not stood:
            follows_the_bites(now, found)
        if last is None or (last[1].position, last[1].lure) != (found.position, found.lure):
            last = (one.at, found)
        one.records = (*one.records, Advised(f"0z{one.at:%H%M}{many:04d}", found, one.at))
        if one.dice.random() < 0.5:
            put_out(one, found.position, now.lure(found.lure) or one.box[0])
            last = None
    return many


def follows_the_bites(now: View, found: Advice) -> None:
    """Hold that what repeats a size (3) or a colour (4, 5) that has the bites goes before all else."""
    first, lure = leader(in_water(now)), now.lure(found.lure)
    if first is None or lure is None:
        return
    weighed = evaluate_change(now)
    repeats = [
        choice
        for choice in weigh(weighed.outlook, weighed.moment, may_run(now))
        if choice.spare.kind.size_in == first.kind.size_in
        and set(choice.spare.kind.colours) & set(first.kind.colours)
        and like(choice.spare.kind, first.kind) > like(choice.there.kind, first.kind)
        and choice.chance >= 0.6
        and choice.value > 0
    ]
    if repeats:
        assert like(Kind(lure.size_in, lure.colours), first.kind) >= ALIKE_FROM
