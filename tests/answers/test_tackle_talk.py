"""Questions about tackle: answered in words, never logged, and nothing is said to talk.

Limits of leader, double and hooks: International Angling Rules (IGFA, 27 Oct 2021), equipment regulations B
and C, and the rule on hooks in skirted lures. Wave length: Lord Kelvin, 2 pi V^2 / g. Spool: geometry.
"""

from functools import cache
from pathlib import Path

import pytest

from bot import Desk
from bot.answers.answer import Answer
from bot.answers.tackle_talk import asked_tackle
from bot.answers.view import View
from bot.calls.meant.reader import Reader
from bot.calls.meant.tackle import tackle_question
from bot.fittings import language_of
from bot.settings.values import Settings
from bot.tackle.cautions import caution
from bot.tackle.items import Boat, Lure, Outfit
from tests.answers.views import view
from tests.builders import entry

BOAT = Boat(outfits=(Outfit("short corner", 37, line_m=700), Outfit("shotgun", 15, line_m=500)))
BOX = (
    Lure("Garden Gate", 14, ("black", "purple"), hook_gauge="heavy", hooks=3, leader_m=9.5),
    Lure("Tea Cosy", 8, ("purple",), hook_gauge="light", hooks=1),
)


@cache
def reader() -> Reader:
    """Return the reader of a language with this box."""
    return language_of(Settings(Path()), BOX).reader


def answer_of(text: str, seen: View) -> Answer | None:
    asked = tackle_question(reader().line(text))
    return asked_tackle(seen, asked) if asked is not None else None


def answered(text: str, *entries: object) -> Answer | None:
    return answer_of(text, view(entries, box=BOX, boat=BOAT))  # type: ignore[arg-type]


def words(text: str, *entries: object) -> str:
    found = answered(text, *entries)
    assert found is not None
    return found.text


@pytest.mark.parametrize(
    "text",
    [
        "will I be spooled",
        "am i going to get spooled on the shotgun",
        "how much line have we got on the shotgun",
    ],
)
def test_whether_a_fish_would_spool_a_reel(text: str) -> None:
    found = words(text)

    # 73 m out at 8 knots (wave 7 of 10.852 m, on its face), 500 m on the reel, a run of 300 m
    assert "Shotgun, 15 kg, 73 m out now: a run of 300 m leaves 127 m" in found
    # spool: r^2 falls by the share that is out, arbor 25 of 60: 4.5 / sqrt(1 - .746 (1 - (25/60)^2)) = 7.27
    assert "from 4.5 to 7.3 kg" in found
    assert caution("drag") in found


def test_the_rod_with_the_fish_on_is_meant_and_the_run_that_was_said() -> None:
    fish = (entry("06:00", "lines_in"), entry("06:10", "hookup", "short corner"))

    found = words("will i be spooled after four hundred metres", *fish)

    assert found.startswith("Short corner, 37 kg")
    assert "a run of 400 m" in found
    assert "Shotgun" not in found


def test_without_a_length_of_line_in_the_settings_it_says_so() -> None:
    bare = Boat(outfits=(Outfit("shotgun", 15),))
    found = answer_of("will i be spooled", view(box=BOX, boat=bare))

    assert found is not None
    assert "do not say how much line" in found.text


@pytest.mark.parametrize(
    ("text", "limits", "not_said"),
    [
        ("how long a leader am i allowed on ten kilo", "leader 4.57 m, double 4.57 m, both", "9.14"),
        ("how long a leader can i have on twenty pound", "leader 4.57 m", "9.14"),
        ("what's the longest double on the thirties", "double 9.14 m, both together 12.19 m", "4.57"),
        ("how long a leader am i allowed on the shotgun", "leader 9.14 m", "4.57"),
    ],
)  # fmt: skip
def test_the_longest_leader_and_double_for_a_record_claim(
    text: str, limits: str, not_said: str
) -> None:
    found = words(text)

    assert limits in found
    assert not_said not in found
    assert "check the current rule book" in found
    assert caution("leader") in found


def test_without_a_class_both_groups_are_told() -> None:
    found = words("how long a leader am i allowed")

    assert "4.57" in found
    assert "9.14" in found


def test_hooks_for_a_record_claim() -> None:
    assert "2 single hooks at most" in words("is that hook rig legal")
    assert "30.48 cm" in words("is that hook rig legal")
    assert "Garden Gate has 3, too many" in words("is the hook rig on the garden gate legal")


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("can i put the fourteen on the fifteen kilo", "Too much: Garden Gate on 15 kg"),
        ("can i put purple eight on the shotgun", "Fits: Tea Cosy on 15 kg"),
        ("is a fifteen inch too big for the eight kilo", "Too much: a 15-inch lure on 8 kg"),
        ("will the garden gate pull the drag on the eighties", "Fits: Garden Gate on 37 kg"),
    ],
)
def test_whether_a_lure_goes_with_an_outfit(text: str, verdict: str) -> None:
    # as the drag equation has it (factor of two), common practice for sizes and hooks
    assert words(text).startswith(verdict)


def test_waves_are_told_in_metres() -> None:
    # third face at 8 knots: 2.75 x 10.852 m = 29.84 m (2 pi V^2 / g)
    assert "Wave 3 at 8 kn: 30 m back" in words("third wave how far")
    assert "Wave 3 at 7 kn: 23 m" in words(
        "how far back is wave three", entry("06:00", "speed", speed_kn=7)
    )
    assert "short corner 19 m" in words("how far back is the short corner")


@pytest.mark.parametrize(
    "text",
    [
        "can you put the kettle on", "will we run out of beer", "is he on", "how far is it home",
        "how long till lunch", "can i pull the anchor", "spooled", "is that legal", "could it be a marlin",
        "can you pull the line in", "how many hooks have we got left", "where should we run to",
        "how far out are we",
        "how far back to port", "the leader looks good", "where are the hooks", "we should run home",
    ],
)  # fmt: skip
def test_talk_gets_no_answer(text: str) -> None:
    assert answered(text) is None


def test_a_question_is_answered_and_nothing_is_logged_and_the_caution_comes_once(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        desk.say("trip start")
        first = desk.say("how long a leader am I allowed")
        again = desk.say("how long a leader am I allowed on fifteen kilo")

    assert first.calls == ()
    assert first.logged == ()
    assert caution("leader") in first.text
    assert "9.14" in again.text
    assert caution("leader") not in again.text
