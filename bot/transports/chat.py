"""A conversation on the terminal, or through a pipe: one call a line.

A line that is the path of an existing sound file counts as a voice message. A line that goes wrong is
answered with a sentence and never ends the conversation. Where a person sits at both ends, words wrap at
spaces, what was called before is to be had by the up key, and names are completed by the tab key. Knows
nothing but Message and Reply; `HelpScreens` and names are given to it.
"""

import logging
import re
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from shutil import get_terminal_size
from typing import Final, TextIO

from bot.errors import DeckcallError
from bot.messages import Message, Reply
from bot.recording import is_recording
from bot.transports.unasked import UnaskedSource, nothing_to_say

MAX_SOUND_BYTES = 20_000_000
"""Larger files are not read into memory; a minute of raw sound is below 12 MB."""
OPENING = (
    "One call a line, e.g.: strike long rigger, purple eight\n"
    "help says what can be said; tab completes names; Ctrl-D or /quit ends. The path of a recording is heard"
    " as a voice message."
)
HELP = re.compile(r"/?help(?:\s+(?:with\s+|on\s+|about\s+)?(?P<topic>.+))?", re.I)
LEAST_LETTERS = 2
"""Letters that must stand there before a name is proposed."""
LONGEST_LINE = 100
"""Letters of a line on a wide terminal."""

Answer = Callable[[Message], Reply]
Names = Callable[[], Sequence[str]]


@dataclass(frozen=True, slots=True)
class HelpScreens:
    """What `help` shows on a terminal."""

    opening: str = ""
    """What can be said, on one screen; empty: the desk is asked."""
    topics: Sequence[str] = ()
    page: Callable[[str], str | None] = lambda _topic: None
    """The page on a topic, None where there is none."""


NO_SCREENS = HelpScreens()
_log = logging.getLogger(__name__)


def talk(
    answer: Answer,
    *,
    crew: str,
    history: Path,
    clock: Callable[[], datetime] = lambda: datetime.now(UTC),
    stdin: TextIO | None = None,
    stdout: TextIO | None = None,
    unasked: UnaskedSource = nothing_to_say,
    screens: HelpScreens = NO_SCREENS,
    names: Names = tuple,
) -> None:
    """Hold the conversation until the input ends; prompts only where a person sits at both ends.

    What `unasked` gives is shown before each prompt, an empty line included. `names` are those that can be
    completed now.
    """
    lines_in, out = stdin or sys.stdin, stdout or sys.stdout
    lines: Iterable[str] = lines_in
    if lines_in.isatty() and out.isatty():
        print(OPENING, file=sys.stderr)
        lines = _prompted(history, names)
    _put(_reminders(unasked), out)
    for line in lines:
        said = line.strip().lstrip("\ufeff")
        if said == "/quit":
            return
        if said:
            _put(_answered(answer, said, crew, clock(), screens), out)
        _put(_reminders(unasked), out)


NO_PICTURE: Final = (
    "\n(a terminal shows no picture: deckcall spread and deckcall plan draw one with --picture FILE.png,"
    " deckcall tray card NAME draws the card of a tray)"
)


def show_reply(reply: Reply) -> str:
    """Write a reply as the terminal shows it: text, then what can be answered in one word."""
    text = reply.text
    if reply.pictures:
        text += NO_PICTURE
    if not reply.buttons:
        return text
    words = [button.say for button in reply.buttons]
    listed = " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
    return f"{text}\n(say {listed})"


def completions(typed: str, names: Iterable[str]) -> Iterator[tuple[str, int]]:
    """Yield names that the last words of a line begin, each with how many letters of it stand there."""
    starts = [0, *(at + 1 for at, letter in enumerate(typed) if letter == " ")]
    for name in names:
        for start in starts:
            begun = typed[start:].casefold()
            if (
                len(begun) >= LEAST_LETTERS
                and name.casefold().startswith(begun)
                and begun != name.casefold()
            ):
                yield name, len(begun)
                break


def wrap_lines(text: str, width: int) -> str:
    """Break lines at spaces, none longer than the width; what goes on is indented.

    A line with colours is left alone: who coloured it has set it already.
    """
    lines = []
    for line in text.splitlines():
        if len(line) <= width or "\x1b" in line:
            lines.append(line)
            continue
        lead = line[: len(line) - len(line.lstrip())]
        lines += textwrap.wrap(
            line, width, subsequent_indent=f"{lead}  ", break_long_words=False,
            break_on_hyphens=False,
        )  # fmt: skip
    return "\n".join(lines)


def _answered(answer: Answer, said: str, crew: str, at: datetime, screens: HelpScreens) -> str:
    """Answer a line; help is shown as a screen, whatever words it was asked for in."""
    asks = HELP.fullmatch(said)
    if asks is not None and asks["topic"]:
        page = screens.page(asks["topic"].strip())
        if page is not None:
            return page
    elif asks is not None and screens.opening:
        return _help_screen(screens, "")
    try:
        reply = answer(_message(said.lstrip("/") if asks else said, crew, at))
    except DeckcallError as exc:
        return f"Not done: {exc}"
    except Exception as exc:
        _log.debug("a line could not be answered", exc_info=True)
        return f"Not done, and it is not your fault: {type(exc).__name__}: {exc}"
    asks_help = (asks is not None and not asks["topic"]) or [
        call.get("act") for call in reply.calls
    ] == ["help"]
    return _help_screen(screens, show_reply(reply)) if asks_help else show_reply(reply)


def _help_screen(screens: HelpScreens, answered: str) -> str:
    first = screens.opening or answered
    more = f"More: help TOPIC, one of {', '.join(screens.topics)}." if screens.topics else ""
    return "\n\n".join(part for part in (first, more) if part)


def _reminders(unasked: UnaskedSource) -> str:
    try:
        return "\n".join(unasked())
    except Exception:
        _log.debug("nothing can be said unasked now", exc_info=True)
        return ""


def _message(said: str, crew: str, at: datetime) -> Message:
    path = Path(said.strip("'\"")).expanduser()
    if not is_recording(path.name) or not _is_file(path):
        return Message(crew, at, "console", text=said, private=True)
    if path.stat().st_size > MAX_SOUND_BYTES:
        raise DeckcallError(f"{path.name} is too large for a call; send less than a minute")
    return Message(crew, at, "console", sound=path.read_bytes(), name=path.name, private=True)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # too long a name, a null byte
        return False


def _put(text: str, out: TextIO) -> None:
    if not text:
        return
    if out.isatty():
        text = wrap_lines(text, min(get_terminal_size().columns, LONGEST_LINE))
    print(text, end="\n\n", file=out, flush=True)


def _prompted(history: Path, names: Names) -> Iterator[str]:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.completion import CompleteEvent, Completer, Completion
    from prompt_toolkit.document import Document
    from prompt_toolkit.history import FileHistory

    class Known(Completer):
        def get_completions(self, document: Document, event: CompleteEvent) -> Iterator[Completion]:
            del event
            for name, begun in completions(document.text_before_cursor, names()):
                yield Completion(name, start_position=-begun)

    session: PromptSession[str] = PromptSession(
        history=FileHistory(str(history)), completer=Known(), complete_while_typing=False
    )
    while True:
        try:
            yield session.prompt("> ")
        except KeyboardInterrupt:
            continue
        except EOFError:
            return
