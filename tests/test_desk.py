"""The desk with a real log on disk and the real call language."""

import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot import Desk
from bot.errors import AudioError, TackleError
from bot.messages import Message, Reply
from bot.settings import load
from tests.desk_rig import at, call, rows

ROOT = Path(__file__).parents[1]
BOX = """name,size_in,colours,ready
Church Hat,8,purple black,yes
Loud Neighbour,12,black,yes
Wet Paint,6,pink white,yes
"""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Desk(tmp_path) as opened:
        yield opened


def test_a_call_is_logged_tallied_and_answered(desk: Desk, tmp_path: Path) -> None:
    call(desk, "06:00 trip start", "06:30 lines in", "06:30 set long rigger purple eight")

    reply = call(desk, "07:01 strike long rigger, purple eight")

    first, tally, *_ = reply.text.splitlines()
    assert first == "Strike, long rigger, purple 8-inch. 31 min in the water."
    assert "1 strike" in tally
    assert reply.calls == (
        {"act": "strike", "position": "long rigger", "colours": ["purple"], "size_in": 8},
    )
    assert [row["id"] for row in rows(tmp_path) if row["act"] == "strike"] == list(reply.logged)


def test_an_entry_has_the_columns_of_the_contract(desk: Desk, tmp_path: Path) -> None:
    call(desk, "06:30 lines in", "06:31 set short corner blue ten", crew="Skipper")

    row = dict(rows(tmp_path)[-1])

    assert (row["act"], row["position"], row["size_in"], row["colours"]) == (
        "set", "short corner", 10, "blue",
    )  # fmt: skip
    assert (row["at"], row["crew"], row["source"], row["void"]) == (
        "2026-03-14T06:31:00Z", "Skipper", "console", 0,
    )  # fmt: skip
    assert row["text"] == "set short corner blue ten"


def test_what_was_said_is_in_the_reply_and_what_follows_from_the_log_is_not(desk: Desk) -> None:
    call(desk, "06:30 lines in", "06:30 set long rigger purple eight", "07:00 strike long rigger")

    reply = call(desk, "07:01 missed it")

    assert reply.calls == ({"act": "miss"},)
    assert "long rigger" in reply.text


def test_a_time_without_a_zone_is_the_boats_own(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text('[boat]\ntimezone = "Pacific/Auckland"\n')
    with Desk(tmp_path) as desk:
        reply = desk.say("trip start", at=datetime(2026, 3, 14, 6, 5))

    assert reply.text == "Trip started, 06:05."
    moment = datetime(2026, 3, 14, 6, 5, tzinfo=ZoneInfo("Pacific/Auckland"))
    assert datetime.fromisoformat(rows(tmp_path)[0]["at"]) == moment


def test_a_message_that_comes_twice_is_logged_once(desk: Desk, tmp_path: Path) -> None:
    message = Message("Mate", at("07:00"), "telegram", text="strike shotgun", ref="telegram:1:2")

    first, second = desk.answer(message), desk.answer(message)

    assert second == first
    assert [row["act"] for row in rows(tmp_path)] == ["trip_start", "strike"]


def test_a_message_that_comes_twice_is_logged_once_over_a_restart(tmp_path: Path) -> None:
    message = Message("Mate", at("07:00"), "telegram", text="strike shotgun", ref="telegram:1:2")
    with Desk(tmp_path) as desk:
        first = desk.answer(message)
    with Desk(tmp_path) as desk:
        second = desk.answer(message)

    assert second == first
    assert [row["act"] for row in rows(tmp_path)] == ["trip_start", "strike"]


def test_a_forgotten_trip_start_is_made_good(desk: Desk, tmp_path: Path) -> None:
    reply = call(desk, "07:00 lines in")

    assert [row["act"] for row in rows(tmp_path)] == ["trip_start", "lines_in"]
    assert reply.calls == ({"act": "lines_in"},)
    assert "new trip" in reply.text


def test_talk_is_kept_but_neither_logged_nor_answered(desk: Desk, tmp_path: Path) -> None:
    reply = call(desk, "07:00 pass me the sandwiches would you")

    assert (reply.text, reply.calls, reply.logged) == ("", (), ())
    assert rows(tmp_path) == []
    kept = rows(tmp_path, "SELECT text, outcome FROM messages")
    assert [tuple(row) for row in kept] == [("pass me the sandwiches would you", "talk")]


def test_what_cannot_be_undone_is_refused_and_kept(desk: Desk, tmp_path: Path) -> None:
    reply = call(desk, "07:00 undo")

    assert reply.text == "There is nothing to undo."
    assert rows(tmp_path, "SELECT outcome FROM messages")[0]["outcome"] == "refused"


def test_undo_and_the_next_undo_go_back_one_message_each(desk: Desk, tmp_path: Path) -> None:
    call(desk, "06:30 lines in", "07:00 strike short corner", "07:05 strike long corner")

    first = call(desk, "07:06 undo")
    second = call(desk, "07:07 undo")

    assert first.text.startswith("Undone: strike, long corner.")
    assert second.text.startswith("Undone: strike, short corner.")
    strikes = [row["void"] for row in rows(tmp_path) if row["act"] == "strike"]
    assert strikes == [1, 1]


def test_a_correction_replaces_and_voids(desk: Desk, tmp_path: Path) -> None:
    call(desk, "06:30 lines in", "07:00 strike short corner")

    reply = call(desk, "07:01 no, long corner")

    assert reply.text.startswith("Corrected: strike, long corner")
    found = [(r["position"], r["void"]) for r in rows(tmp_path) if r["act"] == "strike"]
    assert found == [("short corner", 1), ("long corner", 0)]


def test_a_contradiction_is_logged_as_said_and_set_right_by_yes(desk: Desk, tmp_path: Path) -> None:
    call(desk, "06:30 lines in", "06:30 set long rigger black twelve")

    told = call(desk, "07:00 strike long rigger, purple eight")
    right = call(desk, "07:01 yes")

    assert "The log has black 12-inch on long rigger, not purple 8-inch." in told.text
    assert [button.say for button in told.buttons] == ["yes", "no"]
    assert told.logged
    assert right.text.startswith("Swap, long rigger: purple 8-inch for black 12-inch")
    swap = next(row for row in rows(tmp_path) if row["act"] == "swap")
    assert (swap["at"], swap["colours"]) == ("2026-03-14T07:00:00Z", "purple")


def test_an_offer_is_left_by_no(desk: Desk, tmp_path: Path) -> None:
    call(desk, "06:30 lines in", "06:30 set long rigger black twelve")
    call(desk, "07:00 strike long rigger, purple eight")

    left = call(desk, "07:01 no")
    reply = call(desk, "07:01 yes")

    assert left.text == "Left as it is."

    assert "swap" not in [row["act"] for row in rows(tmp_path)]
    assert not reply.logged


def test_a_path_that_is_none_is_an_error_of_one_line(desk: Desk, tmp_path: Path) -> None:
    with pytest.raises(AudioError, match="check the path"):
        desk.hear(tmp_path / "missing.ogg")


def test_names_of_the_box_are_understood_as_soon_as_they_are_imported(
    desk: Desk, tmp_path: Path
) -> None:
    call(desk, "06:30 lines in")
    (tmp_path / "box.csv").write_text(BOX)

    refused = desk.box_import(tmp_path / "box.csv")
    reply = call(desk, "06:31 set the long rigger, church hat")

    assert refused == ()
    assert reply.calls == ({"act": "set", "position": "long rigger", "lure": "Church Hat"},)
    assert rows(tmp_path)[-1]["lure"] == "Church Hat"


def test_names_that_another_program_imported_are_understood_without_a_restart(
    desk: Desk, tmp_path: Path
) -> None:
    call(desk, "06:30 lines in")
    (tmp_path / "box.csv").write_text(BOX)
    with Desk(tmp_path) as other:
        other.box_import(tmp_path / "box.csv")

    reply = call(desk, "06:31 set the long rigger, church hat")

    assert reply.calls[0]["lure"] == "Church Hat"


def test_a_name_that_means_something_else_is_imported_and_reported(
    desk: Desk, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "box.csv").write_text("name,size_in,colours\nUndo,8,pink\nTea Cosy,9,blue\n")

    refused = desk.box_import(tmp_path / "box.csv")

    (said,) = desk.collisions()
    assert refused == ()
    assert [lure.name for lure in desk.view().box] == ["Tea Cosy", "Undo"]
    assert said.startswith('"undo" (name Undo) is the call "undo"')
    assert [record.message for record in caplog.records] == [said]


def test_words_written_into_the_settings_are_understood_without_a_restart(
    desk: Desk, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    file = tmp_path / "deckcall.toml"
    before = call(desk, "06:30 strike shotgun, claret eight")
    file.write_text('[words.colours]\nmaroon = ["claret"]\n[words.species]\noilfish = ["marlin"]\n')
    after = call(desk, "06:31 strike shotgun, claret eight")
    file.write_text("[words\n")
    os.utime(file, ns=(1, 1))
    broken = call(desk, "06:32 strike shotgun, claret eight")

    assert before.calls[0].get("colours") != ["maroon"]
    assert after.calls[0]["colours"] == ["maroon"]
    assert broken.calls[0]["colours"] == ["maroon"]
    collides, wrong = (record.message for record in caplog.records)
    assert collides.startswith('"marlin" (species oilfish) was said for marlin')
    assert "stay as they were" in wrong


def test_a_box_with_a_bad_line_is_refused_whole_unless_told_otherwise(
    desk: Desk, tmp_path: Path
) -> None:
    (tmp_path / "box.csv").write_text(BOX + "Nothing,big,purple,yes\n")

    with pytest.raises(TackleError, match="line 5"):
        desk.box_import(tmp_path / "box.csv")
    assert desk.view().box == ()

    refused = desk.box_import(tmp_path / "box.csv", skip_bad=True)
    assert [line for line, _ in refused] == [5]
    assert len(desk.view().box) == 3


def test_the_change_that_is_proposed_is_in_the_reply_and_is_logged_when_it_is_made(
    desk: Desk, tmp_path: Path
) -> None:
    (tmp_path / "box.csv").write_text(BOX)
    desk.box_import(tmp_path / "box.csv")
    call(desk, "06:00 set short corner black twelve", "06:00 set shotgun pink six")
    call(desk, "06:00 set long corner blue ten", "06:00 lines in")
    strikes = [f"{7 + n // 6:02d}:{n % 6 * 10:02d} strike shotgun" for n in range(18)]
    reply = Reply("")
    for strike in strikes:
        reply = call(desk, strike, f"{strike[:5]} missed it")

    assert reply.advice is not None
    assert 0.5 < reply.advice.chance < 1
    assert f"{reply.advice.lure} (" in reply.text
    assert f" on the {reply.advice.position}" in reply.text
    done = call(desk, "09:55 do it")
    swap = rows(tmp_path)[-1]
    assert (swap["act"], swap["position"]) == ("swap", reply.advice.position)
    assert swap["lure"] == reply.advice.lure
    assert done.logged == (swap["id"],)


def test_a_bare_yes_takes_up_a_change_only_where_nothing_came_between(
    desk: Desk, tmp_path: Path
) -> None:
    (tmp_path / "box.csv").write_text(BOX)
    desk.box_import(tmp_path / "box.csv")
    call(desk, "06:00 set short corner black twelve", "06:00 set shotgun pink six")
    call(desk, "06:00 lines in")
    reply = Reply("")
    for clock in range(10, 60, 5):
        reply = call(desk, f"09:{clock} strike shotgun", f"09:{clock} missed it")
    assert reply.advice is not None

    call(desk, "09:55 birds")
    between = call(desk, "09:55 yes")
    call(desk, "09:56 strike shotgun", "09:56 missed it")
    taken = call(desk, "09:57 yes")

    assert not between.logged
    assert [row["act"] for row in rows(tmp_path) if row["id"] in taken.logged] == ["swap"]


def test_a_call_into_the_past_is_placed_where_it_belongs(desk: Desk, tmp_path: Path) -> None:
    call(desk, "06:30 lines in", "06:30 set long rigger purple eight", "08:00 clear long rigger")

    reply = call(desk, "08:10 thirty minutes ago, strike long rigger")

    assert "at 07:40" in reply.text
    strike = rows(tmp_path)[-1]
    assert (strike["at"], strike["colours"]) == ("2026-03-14T07:40:00Z", "purple")


def test_two_desks_on_one_log_see_each_others_calls(tmp_path: Path) -> None:
    with Desk(tmp_path) as one, Desk(tmp_path) as other:
        one.say("lines in", at=at("06:30"))
        one.say("set long rigger purple eight", at=at("06:31"))
        reply = other.say("strike long rigger", at=at("07:00"))

    assert reply.text.startswith("Strike, long rigger, purple 8-inch.")
    assert len(rows(tmp_path)) == 4


def test_every_reply_has_a_short_form_of_one_breath(desk: Desk) -> None:
    lines = (
        "06:00 trip start", "06:30 lines in", "06:30 set long rigger purple eight",
        "07:00 strike long rigger", "07:01 hooked up", "07:20 boated a wahoo, 12 kilos",
        "07:21 tally", "07:22 what's out", "07:23 speed eight", "07:24 birds", "07:25 undo",
    )  # fmt: skip
    for line in lines:
        reply = call(desk, line)

        assert reply.spoken, line
        assert "\n" not in reply.spoken, line
        assert len(reply.spoken.split()) <= 25, reply.spoken


def test_a_desk_takes_settings_that_were_read_elsewhere(tmp_path: Path) -> None:
    found = load({}, {"home": tmp_path, "timezone": "Pacific/Auckland"})
    with Desk(settings=found, source="replay") as desk:
        desk.say("trip start", at=at("06:00") + timedelta(microseconds=900_000))

    assert [(row["source"], row["at"]) for row in rows(tmp_path)] == [
        ("replay", "2026-03-14T06:00:00Z")
    ]


def test_the_package_itself_imports_nothing_heavy() -> None:
    code = "import bot, sys; print(sorted(m for m in sys.modules if m.startswith('bot.')))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )

    assert done.stdout.strip() == "[]"


def test_a_desk_for_typed_calls_loads_no_engine_and_no_telegram() -> None:
    heavy = "('vosk', 'pocketsphinx', 'telegram', 'soundfile', 'scipy')"
    code = f"import bot.desk, sys; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )

    assert done.stdout.strip() == "[]"
