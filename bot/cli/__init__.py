"""The sub-commands of the contract.

`options` says what may be typed and which function does it; the other modules hold those functions,
by kind of job, and import what they need only when they run. Here stands what is common to all: exit
codes, one line on standard error, a closed pipe.
"""

import logging
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Final, TextIO

from bot import settings
from bot.cli.options import Arguments, read
from bot.collector import collector_off
from bot.errors import DeckcallError

__all__ = ["main"]

OK, FAILED, INTERRUPTED = 0, 1, 130
BLAS_THREADS: Final = "OPENBLAS_NUM_THREADS"
"""numpy makes its threads when it is loaded; the matrices here are small, and starting and feeding threads
costs more than they save."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; return the exit code (usage errors leave with 2 through SystemExit)."""
    os.environ.setdefault(BLAS_THREADS, "1")
    _plain_streams()
    args = read(argv)
    logging.basicConfig(
        level=logging.DEBUG if args.debug else logging.WARNING,
        format="%(levelname)s %(name)s: %(message)s",
    )
    logging.getLogger("httpx").setLevel(logging.WARNING)  # its addresses hold the token
    logging.getLogger("httpcore").setLevel(logging.WARNING)
    try:
        return _run(args)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        return _pipe_closed()


def _run(args: Arguments) -> int:
    try:
        found = settings.load(options=args.settings, wrong=args.wrong if args.lenient else None)
        code = _function(args.run)(args, found)
        sys.stdout.flush()
        return code
    except (BrokenPipeError, KeyboardInterrupt):
        raise
    except DeckcallError as exc:
        return _failed(str(exc), args)
    except Exception as exc:
        what = f"{type(exc).__name__}: {exc}" if str(exc) else type(exc).__name__
        return _failed(f"{what} (this is a fault of the program; --debug shows where)", args)


def _function(name: str) -> Callable[[Arguments, settings.Settings], int]:
    module, function = name.split(":")
    with collector_off():
        loaded = import_module(module)
    found: Callable[[Arguments, settings.Settings], int] = getattr(loaded, function)
    return found


def _failed(text: str, args: Arguments) -> int:
    if args.debug:
        logging.getLogger(__name__).exception("the whole story")
    print(f"deckcall: {' '.join(text.split())}", file=sys.stderr)
    return FAILED


def _pipe_closed() -> int:
    """Leave quietly when the reader of standard output has gone: it has what it wanted."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return OK


def _plain_streams() -> None:
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        _take_any_bytes(stream)


def _take_any_bytes(stream: TextIO) -> None:
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(encoding="utf-8", errors="replace")
