"""Lives of fish made at random and told in words by several of the crew: log, tally, answer and export agree.

The truth is what was made; the wordings are everyday ones of our own.
"""

import csv
import io
import json
import tempfile
from collections.abc import Sequence
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from hypothesis import Phase, given, settings, strategies as st

from bot import Desk
from bot.cli import main
from bot.trip.call import POSITIONS
from tests.desk_rig import rows

START = datetime(2026, 3, 14, 6, tzinfo=UTC)
CREW = ("Ana", "Ben", "Tomas")
SPECIES = ("wahoo", "sailfish", "yellowfin tuna", "mahi-mahi")
SAID = {
    "strike": ("strike {p}", "{p} is going off", "bite on the {p}"),
    "hookup": ("hooked up {p}", "fish on, {p}", "he's on, {p}"),
    "leader": ("wired the one on the {p}", "leadered the fish on the {p}"),
    "miss": ("missed him on the {p}", "the {p} never stuck"),
    "pulled_hook": ("pulled the hook on the {p}", "{p} fish came off"),
    "break_off": ("broke off on the {p}", "{p} fish bit us off"),
    "boat": ("boated a {s}, {p}", "{s} in the boat, {p}", "gaffed the {s} on the {p}"),
    "release": ("released a {s}, {p}", "{s} let go, {p}", "{p}, {s} swam off"),
}
LATER = ("that {s} went {w} kilos", "the {s} was {w} kilos on the scale")


@dataclass(frozen=True)
class Told:
    """One life: what was done when, minutes after the start, and what was said of it."""

    position: str
    species: str
    stages: tuple[tuple[float, str], ...]
    weight_kg: int | None

    def was(self, *acts: str) -> bool:
        return any(act in acts for _, act in self.stages)


@st.composite
def days(draw: st.DrawFn) -> tuple[list[Told], list[tuple[float, str, str]]]:
    """Return lives on lines of their own, and what is said: minute, who, words."""
    lives: list[Told] = []
    said: list[tuple[float, str, str]] = []
    for position in draw(st.lists(st.sampled_from(POSITIONS), min_size=1, max_size=4, unique=True)):
        minute = float(draw(st.integers(5, 40)) + 20 * len(lives))
        stages = [(minute, "strike")] if draw(st.booleans()) else []
        if stages and draw(st.integers(0, 3)) == 0:
            stages.append((minute + 1, "miss"))
        else:
            stages.append((minute + 1, "hookup"))
            if draw(st.booleans()):
                stages.append((minute + 9, "leader"))
            end = draw(st.sampled_from(("pulled_hook", "break_off", "boat", "release")))
            stages.append((minute + 11, end))
        caught = stages[-1][1] in ("boat", "release")
        species = SPECIES[len(lives) % len(SPECIES)]
        weight = draw(st.integers(5, 90)) if caught and draw(st.booleans()) else None
        lives.append(Told(position, species, tuple(stages), weight))
        for when, act in stages:
            words = draw(st.sampled_from(SAID[act])).format(p=position, s=species)
            who = draw(st.sampled_from(CREW))
            said.append((when, who, words))
            if draw(st.integers(0, 3)) == 0:  # a second one shouts the same
                said.append(
                    (when + 0.3, draw(st.sampled_from([c for c in CREW if c != who])), words)
                )
        if weight is not None:
            said.append(
                (
                    120.0 + len(lives),
                    "Ben",
                    draw(st.sampled_from(LATER)).format(s=species, w=weight),
                )
            )
    return lives, sorted(said)


def _out(*command: str) -> str:
    out = io.StringIO()
    with redirect_stdout(out):
        assert main(list(command)) == 0
    return out.getvalue()


def _tell(home: Path, said: Sequence[tuple[float, str, str]]) -> str:
    """Tell a day to a desk; return what is answered to the question how many fish there are."""
    with Desk(home) as desk:
        desk.say("trip start", crew="Ana", at=START)
        for n, position in enumerate(POSITIONS):
            desk.say(
                f"set {position} pink {8 + n}", crew="Ana", at=START + timedelta(seconds=n + 1)
            )
        desk.say("lines in", crew="Ana", at=START + timedelta(seconds=9))
        for minute, who, words in said:
            reply = desk.say(words, crew=who, at=START + timedelta(minutes=minute))
            assert reply.text, words
        return desk.say("how many fish have we got", crew="Ana", at=START + timedelta(hours=3)).text


@settings(phases=(Phase.explicit, Phase.reuse, Phase.generate), max_examples=8, deadline=None)
@given(days())
def test_a_day_told_in_words_is_the_day_that_was(
    day: tuple[list[Told], list[tuple[float, str, str]]],
) -> None:
    lives, said = day
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        answer = _tell(home, said)
        total = json.loads(_out("tally", "--json", "--home", folder))["total"]
        _out("export", "--home", folder, "--out", f"{folder}/all.csv")
        exported = list(csv.DictReader(io.StringIO((home / "all.csv").read_text("utf-8"))))
        stood = rows(home, "SELECT * FROM entries WHERE NOT void ORDER BY at, id")

    hooked = [life for life in lives if life.was("hookup")]
    caught = [life for life in lives if life.was("boat", "release")]
    assert (total["strikes"], total["hookups"], total["caught"]) == (
        len(lives), len(hooked), len(caught),
    )  # fmt: skip
    ends = [(row["position"], row["act"]) for row in stood if row["act"] in ENDS]
    assert sorted(ends) == sorted((life.position, life.stages[-1][1]) for life in lives)
    for life in caught:
        (row,) = [
            r for r in stood if r["act"] in ("boat", "release") and r["position"] == life.position
        ]
        assert row["species"] == life.species
        assert life.weight_kg is None or row["weight_kg"] == life.weight_kg
        minutes = (datetime.fromisoformat(row["at"]) - START) / timedelta(minutes=1)
        assert abs(minutes - life.stages[-1][0]) < 0.1
    assert answer.startswith(f"{len(caught)} caught" if caught else "No fish caught")
    assert len([r for r in exported if r["act"] in ENDS and r["void"] == "0"]) == len(lives)


ENDS = ("miss", "pulled_hook", "break_off", "boat", "release")
