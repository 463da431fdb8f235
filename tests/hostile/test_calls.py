"""Lines that nobody should send: each is answered or is talk, none is silently taken for something else."""

import time
from pathlib import Path

import pytest

from bot.desk import Desk
from bot.messages import Message, Reply
from tests.builders import at

PLACES = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    found = Desk(tmp_path)
    found.say("lines in", crew="Ana", at=at("06:00"))
    return found


def say(desk: Desk, text: str, minute: int = 10, crew: str = "Ana") -> Reply:
    return desk.say(text, crew=crew, at=at(f"07:{minute:02d}"))


@pytest.mark.parametrize("between", [", ", ". ", "\n", "; ", " and ", " then "])
@pytest.mark.parametrize("many", [6, 10, 14, 25])
def test_ten_and_more_calls_in_one_message_are_all_logged(
    desk: Desk, between: str, many: int
) -> None:
    reply = say(desk, between.join(f"raise {PLACES[n % 5]}" for n in range(many)))

    assert [call["act"] for call in reply.calls] == ["raise"] * many
    assert len(reply.logged) == many


def test_many_calls_that_are_not_all_clear_are_answered_and_none_is_logged(desk: Desk) -> None:
    lines = [f"strike {PLACES[n % 5]}" for n in range(9)]
    lines[4] = "grumble the mumble of rhubarb"

    reply = say(desk, "\n".join(lines))

    assert reply.logged == ()
    assert "9 calls in one message" in reply.text


def test_more_calls_than_anybody_makes_are_answered_and_none_is_logged(desk: Desk) -> None:
    reply = say(desk, "\n".join(f"strike {PLACES[n % 5]}" for n in range(300)))

    assert reply.logged == ()
    assert "300 calls in one message" in reply.text


def test_a_long_talk_of_many_parts_is_talk(desk: Desk) -> None:
    reply = say(
        desk,
        "so we went home, had a beer, watched the game, ate, slept, woke up, and did it again, right",
    )

    assert reply.text == ""
    assert reply.logged == ()


SAME = {
    "full width": "ｓｔｒｉｋｅ　ｓｈｏｔｇｕｎ",
    "zero width inside": "str\u200bike shot\u200dgun",
    "from right to left": "\u202estrike shotgun\u202c",
    "soft hyphen": "strike shot\u00adgun",
    "a mark of byte order": "\ufeffstrike shotgun",
    "mathematical letters": "𝐬𝐭𝐫𝐢𝐤𝐞 𝐬𝐡𝐨𝐭𝐠𝐮𝐧",
    "no-break space": "strike\u00a0shotgun",
    "capitals": "STRIKE SHOTGUN",
    "many blanks": "  strike \t\t shotgun  ",
}


@pytest.mark.parametrize("text", SAME.values(), ids=SAME.keys())
def test_what_looks_like_a_call_is_that_call(desk: Desk, text: str) -> None:
    assert list(say(desk, text).calls) == [{"act": "strike", "position": "shotgun"}]


NO_NUMBERS = (
    "boated a mahi mahi " + "9" * 300 + " kilos", "boated a mahi mahi 9999999 kilos",
    "boated a mahi mahi -5 kilos", "boated a mahi mahi \u22125 kg", "boated a wahoo 0 kilos",
    "water -3 degrees", "speed -7 knots", "speed 900 knots",
    "boated a mahi mahi " + "1" * 12 + " kg",
)  # fmt: skip


@pytest.mark.parametrize("text", NO_NUMBERS, ids=lambda text: text[:40])
def test_a_number_that_cannot_be_meant_is_answered_and_not_logged(desk: Desk, text: str) -> None:
    say(desk, "strike shotgun", 5)

    reply = say(desk, text)

    assert reply.logged == ()
    assert reply.text.startswith("Not logged: "), reply.text
    assert len(reply.text) < 200


@pytest.mark.parametrize("text", ["boated a mahi mahi 5 kilos", "long rigger - strike", "water 24 degrees",
                                  "tagged and released a marlin tag 123456789012"])  # fmt: skip
def test_a_number_that_can_be_meant_is_logged(desk: Desk, text: str) -> None:
    assert say(desk, text).logged


def test_another_persons_entry_is_put_right_by_its_owner_or_the_skipper(desk: Desk) -> None:
    say(desk, "strike shotgun", 1)

    refused = [
        desk.answer(Message("Bo", at(f"07:0{2 + n}"), "telegram", text=text, skipper=False))
        for n, text in enumerate(("undo", "no, long rigger", "that was at 06:40"))
    ]
    news = desk.answer(
        Message("Bo", at("07:05"), "telegram", text="make that a wahoo", skipper=False)
    )
    by_owner = desk.answer(
        Message("Ana", at("07:06"), "telegram", text="no, long rigger", skipper=False)
    )
    by_skipper = desk.answer(
        Message("Bo", at("07:07"), "telegram", text="no, short corner", skipper=True)
    )

    assert {one.text for one in refused} == {
        "Not done: Ana logged that; Ana or the skipper can take it back."
    }
    assert news.logged
    assert by_owner.logged
    assert by_skipper.logged


NONSENSE = (
    "strike " * 5000, "x" * 100_000, "9" * 100_000, "[" * 50_000, "\n" * 50_000, "strike\n" * 3000,
    "a " * 50_000, "\U0001f41f" * 20_000, "e\u0301" * 20_000, "'" * 20_000, "1/" * 20_000, "#1" * 20_000,
    "purple and " * 8000, "set " + "purple black green " * 3000, "-" * 50_000, "1.1." * 20_000,
)  # fmt: skip


@pytest.mark.parametrize("text", NONSENSE, ids=lambda text: f"{len(text)} of {text[:6]!r}")
def test_the_longest_nonsense_is_dealt_with_in_good_time(desk: Desk, text: str) -> None:
    begun = time.process_time()

    say(desk, text)

    assert time.process_time() - begun < 5.0
