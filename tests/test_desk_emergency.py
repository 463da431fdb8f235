"""Trouble is answered first, in every channel, and never asked about.

What must be in the answer: the distress call of the ITU Radio Regulations, article 32 (MAYDAY three times,
the name of the vessel, position, nature of distress), channel 16 (appendix 15), and what the answer is not.
"""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.answers.emergency import FIRST_STEPS
from bot.messages import Message, Reply
from bot.trip.call import TROUBLES
from tests.desk_rig import at, doubtful, rows, scripted, tone

HERE = datetime(2026, 3, 14, 6, tzinfo=UTC)


def test_every_kind_of_trouble_has_first_steps_of_its_own() -> None:
    assert set(FIRST_STEPS) == set(TROUBLES)
    assert len(set(FIRST_STEPS.values())) == len(TROUBLES)


@pytest.mark.parametrize(
    ("said", "what"),
    [
        ("man overboard", "man overboard"), ("mayday mayday mayday", "distress"),
        ("fire in the engine room", "fire"), ("we're taking water", "flooding"),
        ("hook through his hand", "injury"), ("we hit something", "collision"),
    ],
)  # fmt: skip
def test_it_is_logged_and_the_first_steps_are_said_at_once(
    tmp_path: Path, said: str, what: str
) -> None:
    with Desk(tmp_path) as desk:
        reply = desk.say(said, crew="Ana", at=at("09:00"))

    assert reply.ask is None
    assert reply.text.startswith(f"{what.upper()}, 09:00")
    assert FIRST_STEPS[what] in reply.text
    assert "MAYDAY, MAYDAY, MAYDAY" in reply.text
    assert "VHF 16" in reply.text
    assert "no distress device" in reply.text
    assert reply.text.index(FIRST_STEPS[what]) < reply.text.index("MAYDAY,")
    (row,) = rows(tmp_path, "SELECT act, what FROM entries WHERE act = 'emergency'")
    assert tuple(row) == ("emergency", what)


def test_a_doubtful_recording_of_it_is_acted_on_all_the_same(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("man overboard", 0.05)) as desk:
        reply = desk.hear(tone(), crew="Ana", at=at("09:00"))

    assert reply.ask is None
    assert reply.text.startswith("MAN OVERBOARD")
    assert "Shout." in reply.spoken


def _at_place(desk: Desk, text: str, minute: float, north: float) -> Reply:
    when = HERE + timedelta(minutes=minute)
    return desk.answer(Message("Ana", when, "telegram", text=text, latitude=north, longitude=174.3))


def test_the_way_back_is_told_with_every_reply_and_when_it_is_asked(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        _at_place(desk, "lines in", 0, -35.0)
        logged = _at_place(desk, "man overboard", 10, -35.0)
        lines_up = _at_place(desk, "lines up", 12, -35.01)
        asked = _at_place(desk, "how far back to the spot", 14, -35.02)

    # a minute of latitude is a nautical mile, so a hundredth of a degree is 0.6 of one, due north
    assert "35°00.00' S 174°18.00' E" in logged.text
    assert "0.6 nm, 000° true" in lines_up.text
    assert "1.2 nm, 000° true" in asked.text


def test_a_word_ends_a_false_alarm_whatever_was_logged_since(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.say("lines in", crew="Ana", at=at("08:00"))
        alarm = desk.say("man overboard", crew="Ben", at=at("09:00"))
        desk.say("man overboard", crew="Ana", at=at("09:00:20"))
        desk.say("lines up", crew="Ana", at=at("09:02"))
        ended = desk.answer(
            Message("Zoe", at("09:03"), "telegram", text=alarm.buttons[-1].say, skipper=False)
        )

    assert ended.text.startswith("Undone: emergency, man overboard.")
    stands = rows(tmp_path, "SELECT act FROM entries WHERE NOT void AND act <> 'trip_start'")
    assert [row["act"] for row in stands] == ["lines_in", "lines_out"]


def test_a_drill_and_a_false_alarm_of_a_fish_are_none(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.say("lines in", crew="Ana", at=at("08:00"))
        desk.say("man overboard drill at noon", crew="Ana", at=at("08:10"))
        desk.say("strike shotgun", crew="Ana", at=at("08:20"))
        reply = desk.say("false alarm", crew="Ana", at=at("08:21"))

    assert reply.text.startswith("Undone: strike, shotgun.")
    assert not rows(tmp_path, "SELECT act FROM entries WHERE act = 'emergency'")


def test_hours_after_trouble_the_last_bite_is_the_last_bite(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.say("lines in", crew="Ana", at=at("08:00"))
        desk.say("Gil cut his hand, bleeding bad", crew="Ana", at=at("09:00"))
        desk.say("strike shotgun", crew="Ana", at=at("11:00"))
        last = desk.say("when was the last bite", crew="Ana", at=at("11:20"))

    assert last.text.startswith("Last strike 11:00")


def test_a_reading_that_is_hardly_likely_makes_no_emergency(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.say("set long corner green 12", at=at("06:31"))
        reply = desk.say(
            "hooked up long corner, wahoo i am thinking, so fast he is", at=at("07:00")
        )

    assert reply.text.startswith("Hooked up, long corner")


def _talk(home: Path, *lines: str) -> list[str]:
    """Return the first line of each reply, a minute apart."""
    with Desk(home) as desk:
        said = [
            desk.say(text, crew="Ana", at=HERE + timedelta(minutes=n))
            for n, text in enumerate(lines)
        ]
    return [reply.text.partition("\n")[0] for reply in said]


@pytest.mark.parametrize(
    ("cry", "over"),
    [
        ("man overboard", "got him, he's back aboard"), ("man overboard", "everybody's fine, stand down"),
        ("fire in the engine room", "fire's out"), ("we're taking water", "leak's plugged"),
        ("mayday mayday mayday", "we're all safe"),
    ],
)  # fmt: skip
def test_that_it_is_over_stands_with_it_and_it_stays_in_the_log(
    tmp_path: Path, cry: str, over: str
) -> None:
    _, said = _talk(tmp_path, cry, over)

    assert said.startswith("Over: ")
    assert [row["act"] for row in rows(tmp_path, "SELECT act FROM entries WHERE NOT void")] == [
        "trip_start", "emergency",
    ]  # fmt: skip


def test_what_is_over_is_one_of_several(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.say("fire in the engine room", crew="Ana", at=HERE)
        desk.say("man overboard", crew="Ana", at=HERE + timedelta(minutes=1))
        reply = desk.say("fire's out", crew="Ana", at=HERE + timedelta(minutes=2))

    assert "Over: fire" in reply.text
    assert "Still open: man overboard" in reply.text


@pytest.mark.parametrize("said", ["the fire is out of control", "he's not ok", "is he back aboard"])
def test_what_denies_it_or_asks_does_not_end_it(tmp_path: Path, said: str) -> None:
    _talk(tmp_path, "man overboard", "fire in the engine room", said)

    with Desk(tmp_path) as desk:
        assert len(desk.view(HERE + timedelta(minutes=3)).trip.open_trouble) >= 2


@pytest.mark.parametrize(
    "asked",
    ["how far back", "how far back to him", "where is he", "how far is he", "which way back"],
)
def test_the_way_back_is_given_in_any_words_while_somebody_is_overboard(
    tmp_path: Path, asked: str
) -> None:
    _, said = _talk(tmp_path, "man overboard", asked)

    assert said.startswith("Man overboard, 06:00, 1 min ago")


def test_a_fish_hooked_after_it_is_a_fish_in_the_boat(tmp_path: Path) -> None:
    lines = ("lines in", "man overboard", "he's back aboard", "fish on long rigger", "in the boat")

    said = _talk(tmp_path, *lines)

    assert said[-1].startswith("Boated, long rigger")


@pytest.mark.parametrize(
    "said", ["Mia's hurt", "gaff in his leg", "leader's round his hand", "Ben's unconscious"]
)
def test_trouble_after_trouble_is_answered_too(tmp_path: Path, said: str) -> None:
    """What came before made the networks deaf to it: a second cry was taken for talk of the first."""
    first = ("mayday mayday mayday", "pan pan pan pan", "hook through his thumb", said)

    assert _talk(tmp_path, *first)[-1].startswith("INJURY")
