"""Every file of fixtures/stories through a Desk with a log of its own (see the README there)."""

import io
import re
import sqlite3
import struct
import wave
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Message, Reply
from bot.settings import Settings
from bot.transcript import Alternative, Transcript
from bot.trip.tally import tally
from tests.scripted_engine import ScriptedEngine

FIXTURES = Path(__file__).parents[1] / "fixtures"
STORIES = sorted((FIXTURES / "stories").glob("*.txt"))
DAY = datetime(2026, 3, 14, tzinfo=UTC)


@dataclass(frozen=True)
class Step:
    """One line of a story."""

    at: datetime
    crew: str
    said: str
    expected: tuple[str, ...]
    line: int


@dataclass
class Story:
    """A story file, read."""

    box: str | None = None
    steps: list[Step] = field(default_factory=list)
    after: dict[str, str] = field(default_factory=dict)


class Stage:
    """The desk of a story, which can be closed and opened again."""

    def __init__(self, home: Path) -> None:
        self.settings = Settings(home)
        self.heard: list[Transcript] = []
        self.messages = 0
        self.last: Message | None = None
        self.desk = self._open()

    def play(self, step: Step) -> Reply:
        """Return the reply to a step."""
        if step.said == "(restart)":
            self.desk.close()
            self.desk = self._open()
            return Reply("")
        if step.said == "(same again)":
            assert self.last is not None
            return self.desk.answer(self.last)
        self.last = self._message(step)
        self.messages += 1
        return self.desk.answer(self.last)

    def _open(self) -> Desk:
        ear = ScriptedEngine(self._answers())
        return Desk(settings=self.settings, engine=ear, clock=lambda: DAY)

    def _answers(self) -> Iterator[Transcript]:
        while True:
            yield self.heard.pop(0)

    def _message(self, step: Step) -> Message:
        ref = f"story:{self.messages}"
        spoken = re.fullmatch(r"~(0\.\d+) (.*)", step.said)
        if spoken is None:
            return Message(step.crew, step.at, "console", text=step.said, ref=ref)
        words = Alternative(spoken[2], 1.0)
        self.heard.append(Transcript((words,), "scripted", 1.0, {"accept": float(spoken[1])}))
        return Message(step.crew, step.at, "console", sound=a_recording(), ref=ref)


@pytest.mark.parametrize("path", STORIES, ids=lambda path: path.stem)
def test_the_story_goes_as_it_is_told(path: Path, tmp_path: Path) -> None:
    story = read(path.read_text(encoding="utf-8"))
    stage = Stage(tmp_path)
    if story.box is not None:
        stage.desk.box_import(FIXTURES / "boxes" / story.box)

    for step in story.steps:
        reply = stage.play(step)
        where = f"line {step.line}, {step.said!r} was answered:\n{reply.text}"
        for piece in step.expected:
            if piece == "-":
                assert reply.text == "", where
            elif piece.startswith("!"):
                assert piece[1:] not in reply.text, where
            else:
                assert piece in reply.text, where

    before = stage.desk.view(story.steps[-1].at).trip
    stage.play(Step(DAY, "", "(restart)", (), 0))
    assert stage.desk.view(story.steps[-1].at).trip == before, "after a restart"
    found = after(stage, story.steps[-1].at)
    for key, expected in story.after.items():
        assert found[key] == expected, f"{key} after the story"
    stage.desk.close()


def test_there_are_stories_of_every_part() -> None:
    assert len(STORIES) >= 12


def read(text: str) -> Story:
    """Read a story."""
    story = Story()
    told, _, checks = text.partition("\n----\n")
    for number, line in enumerate(told.splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        if line.startswith("box "):
            story.box = line.split()[1]
            continue
        columns = re.split(r"\s{2,}", line.strip())
        assert len(columns) == 3, f"line {number}: time, call and reply are parted by two blanks"
        clock, said, expected = columns
        crew, colon, call = said.partition(": ")
        named = bool(colon) and crew.isalpha()
        hours, minutes = (int(part) for part in clock.split(":"))
        story.steps.append(
            Step(
                DAY + timedelta(hours=hours, minutes=minutes),
                crew if named else "Mate",
                call if named else said,
                tuple(piece.strip() for piece in expected.split(" | ")),
                number,
            )
        )
    for line in checks.splitlines():
        if line.strip() and not line.startswith("#"):
            key, _, value = line.partition(":")
            story.after[key.strip()] = value.strip()
    return story


def after(stage: Stage, now: datetime) -> dict[str, str]:
    """Return what is true after a story, as a story tells it."""
    view = stage.desk.view(now)
    trip = view.trip
    total = tally((trip,), "none", now).total
    last = view.stood[-1] if view.stood else None
    acts = entries(stage.settings.home)
    return {
        "strikes": str(total.strikes),
        "hookups": str(total.hookups),
        "caught": str(total.caught),
        "raises": str(total.raises),
        "lost": str(total.lost),
        "hours": f"{total.hours:.3f}".rstrip("0")
        + ("0" if total.hours == int(total.hours) else ""),
        "in the water": ", ".join(trip.in_water),
        "fish on": ", ".join(f.position or "?" for f in trip.fish_on),
        "log": " ".join(act for act, void in acts if not void),
        "void": str(sum(void for _, void in acts)),
        "messages": str(kept_messages(stage.settings.home)),
        "last at": f"{last.at:%H:%M}" if last else "",
        "last crew": last.crew if last else "",
        "last text": last.text if last else "",
    }


def entries(home: Path) -> list[tuple[str, int]]:
    """Return act and void of all entries, through the view of the contract, by the time they happened."""
    sql = "SELECT act, void FROM entries ORDER BY at, id"
    with closing(sqlite3.connect(home / "deckcall.db")) as db:
        return [(act, void) for act, void in db.execute(sql)]


def kept_messages(home: Path) -> int:
    """Count the messages that the log holds."""
    with closing(sqlite3.connect(home / "deckcall.db")) as db:
        found: int = db.execute("SELECT count(*) FROM messages").fetchone()[0]
    return found


def a_recording() -> bytes:
    """Return a second of a tone as WAV: sound that can be decoded; the scripted engine hears no words."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(b"".join(struct.pack("<h", 8000 * (n // 20 % 2)) for n in range(16_000)))
    return out.getvalue()
