"""Parts of the Telegram transport by themselves: reading updates, names, pace, the batches of a lane."""

import asyncio
from collections.abc import Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from itertools import pairwise
from typing import Any

import pytest

from bot.batch import BatchResult, BoatCall
from bot.messages import Message, Reply
from bot.transports.isolated import ProcessBroken
from bot.transports.telegram.crews import Crews
from bot.transports.telegram.lane import Answers, Lane
from bot.transports.telegram.notices import plain
from bot.transports.telegram.pace import ALL_PER_S, Pace, Waits
from bot.transports.telegram.updates import PersonMessage, read

AT = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)


def _message(**more: Any) -> dict[str, Any]:
    body = {
        "message_id": 1, "date": 1_700_000_000, "chat": {"id": -5, "type": "supergroup"},
        "from": {"id": 7, "is_bot": False, "first_name": "Ana"}, "text": "strike",
    }  # fmt: skip
    return {"update_id": 1, "message": body | more}


def test_an_admin_who_speaks_as_the_group_is_heard_and_other_bots_are_not() -> None:
    # core.telegram.org/bots/api#message: sender_chat is the group itself for anonymous admins,
    # and from then holds a bot for older clients
    bot = {"id": 1_087_968_824, "is_bot": True, "first_name": "Group"}
    group = {"id": -5, "type": "supergroup", "title": "Hay Wagon crew"}

    said = read(_message(**{"from": bot, "sender_chat": group}))

    assert isinstance(said, PersonMessage)
    assert said.name == "Hay Wagon crew"
    assert read(_message(**{"from": bot})) is None


def test_what_was_said_elsewhere_and_forwarded_is_no_call() -> None:
    origin = {"type": "user", "date": 1_600_000_000, "sender_user": {"id": 9}}

    assert read(_message(forward_origin=origin)) is None
    assert read(_message(is_automatic_forward=True)) is None


@pytest.mark.parametrize(
    ("given", "shown"),
    [("Ana, Bo", "Ana Bo"), ("A\u202ena\n", "Ana"), ("  ", "7"), ("x" * 90, "x" * 40)],
)
def test_a_name_is_one_printable_line_without_commas(given: str, shown: str) -> None:
    said = read(_message(**{"from": {"id": 7, "is_bot": False, "first_name": given}}))

    assert isinstance(said, PersonMessage)
    assert said.name == shown


def test_nobody_of_a_boat_is_shown_under_another_s_name() -> None:
    crews = Crews()
    for user, more in ((1, "Bell"), (2, "Brown"), (3, "Brown"), (4, "")):
        crews.name("", user, "Ana", crews.choose("", user, "Ana", more))
    other_boat = crews.choose("bess", 5, "Ana", "")

    shown = [crews.shown_name("", user, "Ana") for user in (1, 2, 3, 4)]
    assert shown == ["Ana", "Ana B", "Ana Brown", "Ana 2"]
    assert other_boat == "Ana"
    assert crews.shown_name("", 1, "Anna") is None  # called otherwise now: chosen anew


def test_the_bot_tries_again_soon_then_less_often_and_begins_anew_after_a_success() -> None:
    backoff = Waits().backoff()

    waited_s = [backoff.count_failure() for _ in range(7)]
    backoff.start_anew()

    assert waited_s == [0.5, 1.0, 2.0, 4.0, 8.0, 15.0, 15.0]
    assert backoff.count_failure() == 0.5


def test_in_any_minute_a_group_gets_at_most_twenty_messages_and_never_long_silence() -> None:
    # core.telegram.org/bots/faq: no more than 20 messages a minute to the same group
    pace, now_s, sent = Pace(), 0.0, list[float]()
    while now_s < 600:
        if pace.wait_s(-5, now_s) <= 0:
            pace.spend(-5, now_s)
            sent.append(now_s)
        now_s += 0.25

    assert max(sum(t <= s < t + 60 for s in sent) for t in sent) <= 20
    assert max(b - a for a, b in pairwise(sent)) <= 7.0
    assert len(sent) >= 180


def test_twenty_answers_that_come_evenly_in_a_minute_wait_for_nothing_but_the_limit() -> None:
    pace, waits = Pace(), list[float]()
    for number in range(20):
        waits.append(pace.wait_s(-5, 3.0 * number))
        pace.spend(-5, 3.0 * number)

    assert waits == [0.0] * 20
    assert pace.wait_s(-5, 60.0) == 0.0


def test_a_board_takes_from_the_limit_of_its_group_and_from_nothing_else() -> None:
    pace = Pace()
    for number in range(8):
        pace.spend(-5, float(number), answer=False)
    for _ in range(5):
        assert pace.wait_s(-5, 10.0) == 0.0
        pace.spend(-5, 10.0)

    assert pace.wait_s(-5, 10.0) == 0.0  # half of the twelve that are left
    for _ in range(7):
        pace.spend(-5, 11.0)
    assert pace.wait_s(-5, 11.0) == 49.0  # twenty in all: until the first of them is a minute old


def test_all_chats_together_get_at_most_thirty_messages_a_second() -> None:
    # core.telegram.org/bots/faq: about 30 messages a second in all
    pace = Pace()
    for chat in range(1, ALL_PER_S + 1):
        assert pace.room(5.0) > 0
        pace.spend(-chat, 5.0)

    assert pace.room(5.5) == 0
    assert pace.room(6.0) == 30


def test_only_telegram_s_own_refusal_holds_what_is_urgent() -> None:
    pace = Pace()
    for number in range(20):  # core.telegram.org/bots/faq: 20 messages a minute to the same group
        pace.spend(-5, 0.1 * number)

    assert pace.wait_s(-5, 2.0) == pace.full_s(-5, 2.0) == 58.0
    assert pace.refused_s(-5, 2.0) == 0.0

    pace.pause(-5, 7.0, 2.0)

    assert pace.refused_s(-5, 3.0) == 6.0


@pytest.mark.parametrize(
    ("text", "name", "meant"),
    [
        ("/tally", "", "tally"), ("/tally@deck_bot", "Deck_Bot", "tally"), ("/tally@other", "deck", ""),
        ("/tally@deck_bot", "", None), ("@deck_bot strike long rigger", "deck_bot", "strike long rigger"),
        ("strike", "", "strike"), ("/start", "", "help"), ("/strike short corner", "", "strike short corner"),
    ],
)  # fmt: skip
def test_a_command_means_what_it_says(text: str, name: str, meant: str | None) -> None:
    assert plain(text, name) == meant


def _call(text: str) -> BoatCall:
    return BoatCall(Message("Ana", AT, "telegram", text=text))


def test_where_a_worker_breaks_over_many_only_the_boat_at_fault_is_told() -> None:
    asked: list[int] = []

    def answer(said: Sequence[Sequence[BoatCall]]) -> list[BatchResult]:
        asked.append(sum(map(len, said)))
        if any(call.message.text == "crash" for calls in said for call in calls):
            raise ProcessBroken("crashed")
        return [BatchResult(tuple(Reply(str(c.message.text)) for c in calls)) for calls in said]

    @contextmanager
    def opened(_lane: int) -> Any:
        yield Answers(answer)

    async def together() -> list[BatchResult]:
        lane = Lane(0, opened)
        await lane.open()
        found = await asyncio.gather(
            lane.answer([_call("a")]),
            lane.answer([_call("b"), _call("crash"), _call("c")]),
            lane.answer([_call("d")]),
        )
        await lane.close()
        return list(found)

    first, second, third = asyncio.run(together())

    assert [reply.text for reply in first.replies + third.replies] == ["a", "d"]
    assert [reply.text for reply in second.replies] == ["b"]  # c waits for its turn after crash
    assert isinstance(second.failed, ProcessBroken)
    assert max(asked) > 1
