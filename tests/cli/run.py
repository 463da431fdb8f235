"""A command of the program, run in this process as in one of its own: streams, environment, exit code."""

import io
import logging
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from bot.cli import main


def run(home: Path, *args: str, stdin: str = "") -> CompletedProcess[str]:
    """Run a command on a home; the language is made once for all commands of a worker."""
    with ExitStack() as stack:
        given, out, err = (stack.enter_context(_stream()) for _ in range(3))
        given.write(stdin)
        given.seek(0)
        patch = stack.enter_context(pytest.MonkeyPatch.context())
        for name in [name for name in os.environ if name.startswith("DECKCALL_")]:
            patch.delenv(name)
        patch.setenv("DECKCALL_HOME", str(home))
        for name, stream in (("stdin", given), ("stdout", out), ("stderr", err)):
            patch.setattr(sys, name, stream)
        stack.enter_context(_own_logging())
        try:
            code = main(args)
        except SystemExit as left:
            code = left.code if isinstance(left.code, int) else 1
        return CompletedProcess(args, code, _written(out), _written(err))


@contextmanager
def _stream() -> Iterator[io.TextIOWrapper]:
    with (
        tempfile.TemporaryFile() as file,
        io.TextIOWrapper(file, "utf-8", write_through=True) as text,
    ):
        yield text


def _written(stream: io.TextIOWrapper) -> str:
    stream.flush()
    stream.seek(0)
    return stream.read()


@contextmanager
def _own_logging() -> Iterator[None]:
    """Let the program set logging up as it does in a process of its own."""
    root = logging.getLogger()
    handlers, level = root.handlers[:], root.level
    root.handlers.clear()
    try:
        yield
    finally:
        root.handlers[:] = handlers
        root.setLevel(level)
