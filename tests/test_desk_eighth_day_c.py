"""What anybody may tell of another's fish, and whose rod a named fish was; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Message, Reply
from tests.desk_rig import STANDS, at, boxed, call, rows

BOX = (
    "name,head,size_in,colours\nChurch Hat,blunt,10,purple black\nSunday Suit,slanted,12,black white\n"
    "Screen Door,cupped,9,green gold\nPickle Jar,slanted,8,green\nRusty Nail,slim,7,brown orange\n"
)
BEGIN = (
    "06:00 set short corner church hat", "06:00 set long corner sunday suit",
    "06:00 set short rigger screen door", "06:00 set long rigger pickle jar",
    "06:00 set shotgun rusty nail", "06:01 lines in",
)  # fmt: skip
TWO_FISH = (
    *BEGIN, "07:00 strike short rigger", "07:01 hooked up", "07:09 released a blue marlin",
    "07:20 strike long rigger mahi", "07:21 boated",
)  # fmt: skip


def said(desk: Desk, clock: str, who: str, text: str) -> Reply:
    """Return the reply to one of the crew where a skipper is set."""
    return desk.answer(Message(who, at(clock), "web", text=text, skipper=False))


def of(home: Path, act: str) -> dict[str, object]:
    """Return the last entry of an act that stands."""
    return [dict(row) for row in rows(home, STANDS) if row["act"] == act][-1]


@pytest.mark.parametrize(
    "text", ["its a yellowfin", "it was a yellowfin", "07:02 got color, its a yellowfin"]
)
def test_a_closer_name_of_anothers_fish_is_news_from_anybody(tmp_path: Path, text: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        said(desk, "07:00", "Baz", "strike short rigger tuna")
        reply = said(desk, "07:03", "Jono", text)

    assert reply.logged
    strike = of(tmp_path, "strike")
    assert (strike["species"], strike["crew"]) == ("yellowfin tuna", "Baz")
    assert strike["at"] == at("07:00").strftime("%Y-%m-%dT%H:%M:%SZ")


def test_anybody_tells_how_a_fish_that_another_hooked_ended(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        said(desk, "07:00", "Baz", "strike shotgun, hooked up")
        said(desk, "07:06", "Jono", "boated the shotgun one, 2 kg")

    ended = of(tmp_path, "boat")
    assert (ended["position"], ended["weight_kg"], ended["crew"]) == ("shotgun", 2, "Jono")


@pytest.mark.parametrize("text", ["undo", "no, long rigger", "that was at 6:40"])
def test_what_contradicts_anothers_strike_is_for_him_or_the_skipper(
    tmp_path: Path, text: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        said(desk, "07:00", "Baz", "strike shotgun")
        reply = said(desk, "07:02", "Jono", text)

    assert reply.text == "Not done: Baz logged that; Baz or the skipper can take it back."
    assert of(tmp_path, "strike")["position"] == "shotgun"


def test_a_raise_of_ones_own_is_put_right_beside_anothers_strike(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        said(desk, "07:00", "Jono", "raise long corner")
        said(desk, "07:00:30", "Baz", "strike long corner")
        said(desk, "07:02", "Jono", "the raise was the short rigger")

    assert of(tmp_path, "raise")["position"] == "short rigger"
    assert of(tmp_path, "strike")["position"] == "long corner"


def test_a_time_alone_is_that_of_what_its_speaker_logged_last(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        said(desk, "07:00", "Baz", "strike shotgun, hooked up")
        said(desk, "07:10", "Jono", "released")
        said(desk, "07:11", "Baz", "set shotgun again")
        said(desk, "07:12", "Jono", "that was at 7:08")

    assert of(tmp_path, "release")["at"] == at("07:08").strftime("%Y-%m-%dT%H:%M:%SZ")
    assert of(tmp_path, "set")["at"] == at("07:11").strftime("%Y-%m-%dT%H:%M:%SZ")


@pytest.mark.parametrize(
    ("text", "who"),
    [
        ("the angler of the blue marlin was Siobhan", "Siobhan"),
        ("angler on the blue marlin was harriet", "Harriet"),
        ("no, the angler of the blue marlin was Harriet", "Harriet"),
        ("the blue marlin was caught by harriet", "Harriet"),
        ("jono was on the rod for the blue marlin", "Jono"),
    ],
)
def test_only_the_angler_of_the_fish_that_is_named_is_put_right(
    tmp_path: Path, text: str, who: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *TWO_FISH, f"07:30 {text}")

    assert (of(tmp_path, "release")["species"], of(tmp_path, "release")["angler"]) == (
        "blue marlin", who,
    )  # fmt: skip
    assert of(tmp_path, "strike")["species"] == "mahi-mahi"
    assert (of(tmp_path, "boat")["species"], of(tmp_path, "boat")["angler"]) == ("mahi-mahi", None)


def test_of_two_of_a_name_the_last_is_meant_and_of_none_nothing(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *TWO_FISH, "07:40 strike shotgun mahi", "07:42 boated")
        call(desk, "07:50 the angler of the mahi was Siobhan")
        none = call(desk, "07:51 the angler of the wahoo was Harriet")

    boated = [row["angler"] for row in rows(tmp_path, STANDS) if row["act"] == "boat"]
    assert boated == [None, "Siobhan"]
    assert none.text == "The log has no wahoo."


def test_who_had_the_rod_without_a_name_is_of_the_last_fish(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *TWO_FISH, "07:30 harriet had the rod")

    assert of(tmp_path, "boat")["angler"] == "Harriet"


@pytest.mark.parametrize("text", ["pass me the sandwich please", "who wants a beer?"])
def test_talk_in_a_group_gets_no_answer_and_one_person_is_told(tmp_path: Path, text: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        group = desk.answer(
            Message("Baz", at("07:00"), "web", text=text, private=True, in_group=True)
        )
        alone = desk.answer(Message("Baz", at("07:01"), "console", text=text, private=True))

    assert group.text == ""
    assert alone.text.startswith("Not logged: no call in")


def test_a_group_is_answered_where_it_speaks_to_the_program(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        named, asked = (
            desk.answer(Message("Baz", at("07:00"), "web", text=text, private=True, in_group=True))
            for text in ("deckcall, pass me the sandwich", "tally")
        )

    assert named.text.startswith("Not logged: no call in")
    assert asked.text
