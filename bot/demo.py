"""The demo trip: a made-up day of typed and spoken calls through the real road, shown as a conversation.

Everything is real but the day: a fresh home, its own log, recordings decoded by the engine that would be
used, the clock of the file. Its data lie in `fixtures/demo`; `bot.bench.demo_recordings` made the sound.
"""

import json
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Final

from rich.console import Console
from rich.text import Text

from bot.answers.drawing import spread_pictures
from bot.answers.values import spread_json, tally_json
from bot.answers.view import View
from bot.build import open_desk
from bot.desk import Desk
from bot.errors import DeckcallError
from bot.messages import Message, Reply
from bot.replies.columns import columns
from bot.reports.compose import compose
from bot.reports.figures import while_lines_were_in
from bot.reports.forms import form_of, report_file
from bot.settings import load
from bot.shipped import data_folder

DAY: Final = "day.jsonl"
LEFT_FILES: Final = ("spread.png", "report.html", "report.pdf")
"""The files that it leaves."""
_WIDTH: Final = 100
_STYLES: Final = ("cyan", "magenta", "green", "yellow")


@dataclass(frozen=True, slots=True)
class DayLine:
    """One line of the day."""

    at: datetime
    crew: str
    said: str
    """The call; of a recording what was said into it."""
    sound: Path | None = None
    only_if: str = ""
    """`asked`: said only where the call before was asked about; `not logged`: where nothing came of it."""

    def message(self, number: int) -> Message:
        """Return the message that it is."""
        text = None if self.sound else self.said
        data = self.sound.read_bytes() if self.sound else None
        name = self.sound.name if self.sound else ""
        ref = f"demo:{number}"
        return Message(self.crew, self.at, "replay", text=text, sound=data, ref=ref, name=name)


@dataclass(frozen=True, slots=True)
class DemoTurn:
    """One exchange of the demo."""

    told: DayLine
    reply: Reply


def play(
    out: Path | None = None, *, spoken: bool = True, console: Console | None = None
) -> tuple[DemoTurn, ...]:
    """Play the demo and show it; pictures and report go to `out`, else to a folder that it names.

    Without `spoken` recordings are typed instead. Raises DeckcallError.
    """
    screen = console or Console(width=_WIDTH, highlight=False)
    folder = _folder(out)
    with tempfile.TemporaryDirectory(prefix="deckcall-demo-") as home:
        _fit_out(Path(home))
        with open_desk(load(environ={"DECKCALL_HOME": home}), source="replay") as desk:
            desk.box_import(Path(home) / "box.csv")
            talk = []
            for said in _talk(desk, spoken):
                _show(screen, said, desk)
                talk.append(said)
            end = desk.view(talk[-1].told.at)
            out_there = while_lines_were_in(end)
            _show_tally(screen, end)
            _show_spread(screen, out_there)
            left = _leave(end, folder, desk.settings.boat.name)
    for path, what in left:
        screen.print(Text.assemble(f"{what}: ", (str(path), "bold")), soft_wrap=True)
    return tuple(talk)


def read_day(folder: Path) -> Iterator[DayLine]:
    """Read the day."""
    for line in (folder / DAY).read_text(encoding="utf-8").splitlines():
        data = json.loads(line)
        sound = folder / data["sound"] if "sound" in data else None
        yield DayLine(
            datetime.fromisoformat(data["at"]), data["crew"],
            data["said"] if sound else data["text"], sound, data.get("only_if", ""),
        )  # fmt: skip


def _folder(out: Path | None) -> Path:
    if out is None:
        return Path(tempfile.mkdtemp(prefix="deckcall-demo-"))
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as exc:
        raise DeckcallError(f"{out} cannot be made ({exc.strerror}); choose another --out") from exc
    return out


def _fit_out(home: Path) -> None:
    """Put the boat and its box of the demo into a home."""
    source = data_folder("fixtures") / "demo"
    for name in ("deckcall.toml", "box.csv"):
        (home / name).write_bytes((source / name).read_bytes())


def _talk(desk: Desk, spoken: bool) -> Iterator[DemoTurn]:
    asked = logged = False
    for number, one in enumerate(read_day(data_folder("fixtures") / "demo")):
        if (one.only_if == "asked" and not asked) or (one.only_if == "not logged" and logged):
            continue
        if not spoken:
            one = replace(one, sound=None)
        reply = desk.answer(one.message(number))
        asked = reply.ask is not None
        logged = bool(reply.logged) or (logged and bool(one.only_if))
        yield DemoTurn(one, reply)


# Showing


def _show(screen: Console, said: DemoTurn, desk: Desk) -> None:
    one, reply = said.told, said.reply
    style = _STYLES[sum(map(ord, one.crew)) % len(_STYLES)]
    at = one.at.astimezone(desk.zone)
    line = Text.assemble((f"{at:%H:%M} ", "dim"), (f"{one.crew}: ", f"bold {style}"))
    if one.sound is None:
        line.append(one.said)
    else:
        line.append("voice message ", "dim")
        line.append(f"“{reply.heard}”" if reply.heard else "nothing made out")
        if reply.heard != one.said:
            line.append(f" (said: {one.said})", "dim")
    screen.print(line)
    if reply.text:
        screen.print(Text(reply.text, style="italic" if reply.ask else ""))
    else:
        screen.print(Text("(no call: nothing logged, nothing answered)", style="dim"))
    screen.print()


def _show_tally(screen: Console, view: View) -> None:
    by = tally_json(view, "colour")
    rows = []
    for row in (*by["rows"], by["total"] | {"key": "all"}):
        rate, low, high = row["rate_per_10h"], row["low"], row["high"]
        rows.append(
            (
                row["key"], str(row["strikes"]), str(row["hookups"]), str(row["caught"]),
                f"{row['hours']:.1f}", "-" if rate is None else f"{rate:.1f}",
                "-" if rate is None else f"{low:.1f} to {high:.1f}",
            )
        )  # fmt: skip
    heads = ("colour", "strikes", "hook-ups", "caught", "lure-hours", "per 10 h", "95 % sure")
    _show_table(screen, "Tally by colour", columns(heads, rows))


def _show_spread(screen: Console, view: View) -> None:
    rows = [
        (row["position"], row["lure"] or " ".join(row["colours"]), f"{row['hours']:.1f}")
        for row in spread_json(view)["positions"]
    ]
    lines = columns(("position", "lure", "lure-hours"), rows, left=2)
    _show_table(screen, "Spread when the lines came out", lines)


def _show_table(screen: Console, title: str, lines: Iterable[str]) -> None:
    screen.print(Text(title, style="bold"))
    for line in lines:
        screen.print(Text(line))
    screen.print()


def _leave(end: View, folder: Path, boat: str) -> list[tuple[Path, str]]:
    """Write what the day leaves behind; return the files and what they are."""
    picture = folder / LEFT_FILES[0]
    drawn = spread_pictures(while_lines_were_in(end))
    for one in drawn:
        picture.write_bytes(one.data)
    made = compose(end, boat)
    left = [(picture, "Picture of the spread")] if drawn else []
    for name, what in ((LEFT_FILES[1], "Report of the trip"), (LEFT_FILES[2], "The same on paper")):
        path = folder / name
        path.write_bytes(report_file(made, form_of(path.name), end.tz, end, end.now))
        left.append((path, what))
    return left
