"""The demo trip, played through the real road with its recordings heard for real."""

import io
import json
from pathlib import Path

import pytest
from rich.console import Console

from bot.demo import DemoTurn, play, read_day
from bot.shipped import data_folder
from bot.tackle.box import parse

FOLDER = Path(__file__).parents[1] / "fixtures" / "demo"


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> tuple[tuple[DemoTurn, ...], str, Path]:
    """Play it once: the exchanges, what was on the screen, and the folder of what it leaves."""
    out = tmp_path_factory.mktemp("out")
    screen = io.StringIO()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DECKCALL_ENGINE", "auto")
        talk = play(out, console=Console(file=screen, width=100, highlight=False))
    return talk, screen.getvalue(), out


def test_most_recordings_are_heard_word_for_word(
    shown: tuple[tuple[DemoTurn, ...], str, Path],
) -> None:
    spoken = [said for said in shown[0] if said.told.sound is not None]

    right = [said for said in spoken if said.reply.heard == said.told.said]
    assert len(spoken) >= 7
    assert len(right) >= len(spoken) - 2


def test_a_misheard_or_doubtful_call_is_asked_about_and_its_answer_logs_it(
    shown: tuple[tuple[DemoTurn, ...], str, Path],
) -> None:
    talk = shown[0]

    asked = [n for n, said in enumerate(talk) if said.reply.ask and said.told.sound]
    assert asked
    assert all(talk[n].reply.logged == () for n in asked)
    assert all(talk[n + 1].told.only_if and talk[n + 1].reply.logged for n in asked)


def test_a_change_is_proposed_and_made(shown: tuple[tuple[DemoTurn, ...], str, Path]) -> None:
    said = next(said for said in shown[0] if said.told.said == "do it")

    assert said.reply.calls[0]["act"] == "swap"
    assert said.reply.logged


def test_the_crew_speaks_with_several_voices_over_an_engine() -> None:
    lines = [json.loads(line) for line in (FOLDER / "day.jsonl").read_text().splitlines()]

    voices = {line["voice"] for line in lines if "sound" in line}
    assert len(voices) >= 4
    assert {line["noise"] for line in lines if "sound" in line} <= {
        "diesel",
        "deck",
        "wind",
        "water",
    }


def test_every_typed_call_is_logged_or_answered_and_talk_is_not(
    shown: tuple[tuple[DemoTurn, ...], str, Path],
) -> None:
    for said in shown[0]:
        if said.told.said == "who wants a sandwich":
            assert said.reply.text == ""
            assert said.reply.logged == ()
        elif said.told.sound is None:
            assert said.reply.text, said.told.said


def test_at_the_end_stand_the_tally_the_spread_and_a_picture(
    shown: tuple[tuple[DemoTurn, ...], str, Path],
) -> None:
    _, text, out = shown

    assert "Tally by colour" in text
    assert "Spread when the lines came out" in text
    assert str(out / "spread.png") in text.replace("\n", "")
    assert (out / "spread.png").read_bytes().startswith(b"\x89PNG")


def test_its_box_is_read_without_a_bad_line() -> None:
    read = parse((FOLDER / "box.csv").read_bytes())

    assert read.refused == ()
    assert len(read.lures) >= 10


def test_every_recording_of_the_day_is_there_and_no_other() -> None:
    named = {one.sound for one in read_day(data_folder("fixtures") / "demo") if one.sound}

    assert {path.name for path in named} == {path.name for path in FOLDER.glob("*.ogg")}
    assert all(path.stat().st_size > 1000 for path in named)
