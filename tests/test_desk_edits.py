"""Edited messages, several callers, roles and places, through the desk with a real log."""

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot import Desk
from bot.messages import Message, Reply
from bot.settings import load

DAY = datetime(2026, 3, 14, 6, 0, tzinfo=UTC)


class Deck:
    """A desk and its crew: messages with numbers, as a messenger gives them."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.desk = Desk(settings=load({"DECKCALL_HOME": str(home)}))

    def say(self, number: int, text: str, minute: float = 0.0, **about: object) -> Reply:
        return self.desk.answer(self._message(number, text, minute, **about))

    def edit(self, number: int, text: str, minute: float = 0.0, after_s: int = 30) -> Reply:
        message = self._message(number, text, minute)
        return self.desk.answer(replace(message, edited_at=message.at + timedelta(seconds=after_s)))

    def entries(self, columns: str = "act, position", all_of_them: bool = False) -> list[Any]:
        where = "" if all_of_them else "WHERE void = 0"
        with sqlite3.connect(self.home / "deckcall.db") as db:
            found = db.execute(f"SELECT {columns} FROM entries {where} ORDER BY at, id").fetchall()
        db.close()
        return found

    def _message(self, number: int, text: str, minute: float, **about: object) -> Message:
        message = Message(
            "Ana", DAY + timedelta(minutes=minute), "telegram", text=text, ref=f"t:1:{number}"
        )
        return replace(message, **about)  # type: ignore[arg-type]


@pytest.fixture
def deck(tmp_path: Path) -> Iterator[Deck]:
    found = Deck(tmp_path)
    yield found
    found.desk.close()


def spread(deck: Deck) -> None:
    deck.say(1, "lines in, set long rigger purple eight, set short corner black twelve", 0)


def test_an_edit_amends_its_entry_at_the_old_time_with_the_same_name(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)
    deck.say(3, "speed 7 knots", 35)

    reply = deck.edit(2, "strike short corner", 30, after_s=600)

    assert reply.text.startswith("Corrected: strike, short corner, black 12-inch")
    assert "(was long rigger)" in reply.text
    found = deck.entries("act, position, at, crew, text")
    assert found[-2:] == [
        ("strike", "short corner", "2026-03-14T06:30:00Z", "Ana", "strike short corner"),
        ("speed", None, "2026-03-14T06:35:00Z", "Ana", "speed 7 knots"),
    ]
    assert len(deck.entries(all_of_them=True)) == len(found) + 1


def test_what_followed_from_an_edited_call_follows_anew(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)
    deck.say(3, "hooked up", 31)
    assert deck.entries()[-1] == ("hookup", "long rigger")

    deck.edit(2, "strike short corner", 30)

    assert deck.entries()[-2:] == [("strike", "short corner"), ("hookup", "short corner")]


def test_an_edit_to_talk_only_takes_back(deck: Deck) -> None:
    spread(deck)
    before = deck.entries()
    deck.say(2, "strike long rigger", 30)

    reply = deck.edit(2, "what a lovely sunrise that was, lads", 30)

    assert reply.text.startswith("Undone: strike, long rigger")
    assert deck.entries() == before


def test_an_edit_of_talk_to_a_call_logs_it(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "what a lovely sunrise that was, lads", 30)

    deck.edit(2, "strike long rigger", 30)

    assert deck.entries("act, at")[-1] == ("strike", "2026-03-14T06:30:00Z")


def test_the_same_edit_twice_and_one_that_changes_nothing_do_nothing(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)
    first = deck.edit(2, "strike short corner", 30)
    rows = deck.entries(all_of_them=True)

    assert deck.edit(2, "strike short corner", 30) == first
    assert deck.edit(2, "strike short corner", 30, after_s=40) == Reply("")
    assert deck.entries(all_of_them=True) == rows


def test_an_edit_that_comes_before_its_message_stands_for_it(deck: Deck) -> None:
    spread(deck)

    deck.edit(2, "strike short corner", 30)
    late = deck.say(2, "strike long rigger", 30)

    assert late == Reply("")
    assert deck.entries()[-1] == ("strike", "short corner")
    assert [act for act, _ in deck.entries()].count("strike") == 1


def test_of_two_edits_the_one_made_last_counts_whatever_comes_first(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike", 30)

    deck.edit(2, "strike short corner", 30, after_s=50)
    deck.edit(2, "strike long rigger", 30, after_s=20)

    assert deck.entries()[-1] == ("strike", "short corner")


def test_an_edit_of_the_first_message_keeps_the_trip(deck: Deck) -> None:
    deck.say(1, "lines in", 0)
    trip = deck.entries("trip")[0]
    deck.edit(1, "lines in at five thirty", 0)
    assert deck.entries("trip, act") == [(*trip, "trip_start"), (*trip, "lines_in")]
    deck.say(2, "set long rigger purple eight", 1)

    deck.edit(1, "lines in", 0, after_s=120)

    assert {row[0] for row in deck.entries("trip")} == set(trip)
    assert [row[0] for row in deck.entries("act")] == ["trip_start", "lines_in", "set"]


def test_what_others_have_undone_or_corrected_since_an_edit_leaves(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)
    deck.say(3, "no, short corner", 31, crew="Bo")
    corrected = deck.entries()

    reply = deck.edit(2, "strike long rigger, wahoo", 30)

    assert "corrected since" in reply.text
    assert deck.entries() == corrected


def test_undo_takes_an_edit_back(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)
    deck.edit(2, "strike short corner", 30)

    deck.say(3, "undo", 31)

    assert deck.entries()[-1] == ("strike", "long rigger")


def test_an_edit_survives_a_restart_between(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)
    deck.desk.close()
    deck.desk = Desk(settings=load({"DECKCALL_HOME": str(deck.home)}))

    deck.edit(2, "strike short corner", 30)

    assert deck.entries()[-1] == ("strike", "short corner")


def test_two_who_call_one_strike_make_one_entry_with_both_names(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)

    reply = deck.say(3, "strike long rigger", 30.5, crew="Bo")

    assert reply.text == "Already logged by Ana: strike, long rigger."
    assert deck.entries("act, crew, at")[-1] == ("strike", "Ana, Bo", "2026-03-14T06:30:00Z")
    assert "1 strike" in deck.say(4, "tally", 31).text


def test_a_strike_with_other_details_is_asked_about_and_a_yes_logs_it(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)

    asked = deck.say(3, "strike long rigger green seven", 30.5, crew="Bo")
    deck.say(4, "yes", 31, crew="Bo")

    assert asked.ask == "Ana called strike, long rigger, 06:30. Is this another one?"
    assert deck.entries("act, colours, crew")[-2:] == [
        ("strike", "purple", "Ana"), ("strike", "green", "Bo"),
    ]  # fmt: skip


def test_crew_take_back_their_own_and_skippers_everybodys(deck: Deck) -> None:
    spread(deck)
    deck.say(2, "strike long rigger", 30)
    logged = deck.entries()

    refused = deck.say(3, "undo", 31, crew="Bo", skipper=False)
    assert refused.text == "Not done: Ana logged that; Ana or the skipper can take it back."
    assert deck.entries() == logged
    put_right = deck.say(4, "no, short corner", 32, crew="Bo", skipper=False)
    assert put_right.text == refused.text
    assert deck.entries() == logged
    deck.say(4, "no, short corner", 32, crew="Ana", skipper=False)
    deck.say(5, "note: cold", 33, crew="Bo")
    deck.say(6, "undo", 34, crew="Bo", skipper=False)
    deck.say(7, "undo", 35, crew="Cy")
    deck.say(8, "undo", 36, crew="Cy")
    assert [act for act, _ in deck.entries()].count("strike") == 0


def test_entries_keep_the_place_that_was_shared(deck: Deck) -> None:
    here = {"latitude": -36.5, "longitude": 175.25}
    deck.say(1, "mark this spot", 0, **here)
    deck.say(2, "strike long rigger ten minutes ago", 1, **here)
    deck.say(3, "no, short corner", 2, latitude=-36.6, longitude=175.3)
    deck.edit(1, "mark: good ledge", 0)

    found = [(e.call.act, e.place) for e in deck.desk.view(DAY + timedelta(minutes=5)).stood]

    places = dict(found)
    assert places["mark"] == (-36.5, 175.25)
    assert places["strike"] is None  # ten minutes ago the boat was elsewhere
