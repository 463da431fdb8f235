"""A conversation on the terminal, or through a pipe: one call a line.

A line that is the path of an existing sound file counts as a voice message. A line that goes wrong is
answered with a sentence and never ends the conversation. Knows nothing but Message and Reply.
"""

import logging
import sys
from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TextIO

from bot.errors import DeckcallError
from bot.messages import Message, Reply
from bot.transports.unasked import Unasked, nothing_to_say

SOUND_SUFFIXES = (".wav", ".flac", ".ogg", ".oga", ".opus")
MAX_SOUND_BYTES = 20_000_000
"""Larger files are not read into memory; a minute of raw sound is below 12 MB."""
HELP = (
    "One call a line, e.g.: strike long rigger, purple eight\n"
    "The path of a recording is heard as a voice message. /help shows this, Ctrl-D or /quit ends."
)

Answer = Callable[[Message], Reply]
_log = logging.getLogger(__name__)


def talk(
    answer: Answer,
    *,
    crew: str,
    history: Path,
    clock: Callable[[], datetime] = lambda: datetime.now(UTC),
    stdin: TextIO | None = None,
    stdout: TextIO | None = None,
    unasked: Unasked = nothing_to_say,
) -> None:
    """Hold the conversation until the input ends; prompts only where a person sits at both ends.

    What `unasked` gives is shown before each prompt, an empty line included.
    """
    lines_in, out = stdin or sys.stdin, stdout or sys.stdout
    if lines_in.isatty() and out.isatty():
        print(HELP, file=sys.stderr)
        _answer_all(answer, _prompted(history), crew, clock, out, unasked)
    else:
        _answer_all(answer, lines_in, crew, clock, out, unasked)


def shown(reply: Reply) -> str:
    """Write a reply as the terminal shows it: text, then what can be answered in one word."""
    text = reply.text
    if reply.pictures:
        text += "\n(a terminal shows no picture; spread and plan draw one with --picture FILE.png)"
    if not reply.buttons:
        return text
    words = [button.say for button in reply.buttons]
    listed = " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
    return f"{text}\n(say {listed})"


def _answer_all(
    answer: Answer, lines: Iterable[str], crew: str, clock: Callable[[], datetime], out: TextIO,
    unasked: Unasked,
) -> None:  # fmt: skip
    _put(_reminders(unasked), out)
    for line in lines:
        said = line.strip().lstrip("\ufeff")
        if said == "/quit":
            return
        if said:
            _put(HELP if said == "/help" else _answer_one(answer, said, crew, clock()), out)
        _put(_reminders(unasked), out)


def _answer_one(answer: Answer, said: str, crew: str, at: datetime) -> str:
    try:
        return shown(answer(_message(said, crew, at)))
    except DeckcallError as exc:
        return f"Not done: {exc}"
    except Exception as exc:
        _log.debug("a line could not be answered", exc_info=True)
        return f"Not done, and it is not your fault: {type(exc).__name__}: {exc}"


def _reminders(unasked: Unasked) -> str:
    try:
        return "\n".join(unasked())
    except Exception:
        _log.debug("nothing can be said unasked now", exc_info=True)
        return ""


def _message(said: str, crew: str, at: datetime) -> Message:
    path = Path(said.strip("'\"")).expanduser()
    if path.suffix.lower() not in SOUND_SUFFIXES or not _is_file(path):
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
    if text:
        print(text, end="\n\n", file=out, flush=True)


def _prompted(history: Path) -> Iterator[str]:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.history import FileHistory

    session: PromptSession[str] = PromptSession(history=FileHistory(str(history)))
    while True:
        try:
            yield session.prompt("> ")
        except KeyboardInterrupt:
            continue
        except EOFError:
            return
