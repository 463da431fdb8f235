"""The compiled grammar of a boat, kept beside its log so that the next process need not compile it.

A cache and nothing else: named by all that went into it (grammar files, the boat's words, the code that
compiles), checked by its sum, and made anew where anything differs. Only the classes of a grammar are
read back: the file can be wrong, but it cannot run anything, so pickle
read by `_Reader` alone is safe here.
"""

import hashlib
import os
import pickle  # nosec B403
import sys
from collections.abc import Callable
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from bot.calls.grammar import Grammar
from bot.logbook.store import FILE as LOG

FILE: Final = "grammar.cache"
CODE: Final = ("calls", "trip/acts.py")
"""What compiles, below the package: a folder stands for its modules."""
_SUM: Final = hashlib.sha256().digest_size
_CLASSES: Final = frozenset(
    {
        ("bot.calls.automaton", "Automaton"), ("bot.calls.grammar", "Cue"),
        ("bot.calls.grammar", "Example"), ("bot.calls.grammar", "Grammar"),
        ("bot.calls.meant.signs", "Chain"), ("bot.calls.meant.signs", "Signs"),
        ("bot.calls.template", "Alt"),
        ("bot.calls.template", "Ref"), ("bot.calls.template", "Seq"),
        ("bot.calls.template", "Slot"), ("bot.calls.template", "Word"),
    }
)  # fmt: skip


class _Reader(pickle.Unpickler):
    """Reads values and the classes of a grammar; raises UnpicklingError for any other name."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) not in _CLASSES:
            raise pickle.UnpicklingError(f"{module}.{name} is no part of a grammar")
        return super().find_class(module, name)


def kept_grammar(
    home: Path, made_of: object, make: Callable[[], Grammar], *, keep: bool
) -> Grammar:
    """Return the grammar that is kept in a home, or make it, and keep it where that is wanted.

    `made_of` is everything that `make` depends on besides the code: plain values whose `repr` tells them
    apart. A folder without a log is left alone, one that cannot be written is no error.
    """
    name = _name(made_of)
    found = _read(home / FILE, name)
    if found is not None:
        return found
    grammar = make()
    if keep and (home / LOG).exists():
        _write(home / FILE, name, grammar)
    return grammar


def _name(made_of: object) -> bytes:
    """Return what tells this grammar from every other one."""
    name = hashlib.sha256(f"{sys.version}\n{made_of!r}".encode())
    for path in _code():
        name.update(path.read_bytes())
    return name.digest()


def _code() -> list[Path]:
    package = Path(__file__).parent
    return sorted(
        module
        for each in CODE
        for module in ((package / each).rglob("*.py") if "." not in each else [package / each])
    )


def _read(path: Path, name: bytes) -> Grammar | None:
    try:
        data = path.read_bytes()
    except OSError:
        return None
    body = data[2 * _SUM :]
    if data[:_SUM] != name or hashlib.sha256(body).digest() != data[_SUM : 2 * _SUM]:
        return None
    try:
        found = _Reader(BytesIO(body)).load()
    except Exception:  # whatever stands in the file, it can be made again
        return None
    return found if isinstance(found, Grammar) else None


def _write(path: Path, name: bytes, grammar: Grammar) -> None:
    body = pickle.dumps(grammar, pickle.HIGHEST_PROTOCOL)
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    with suppress(OSError):
        part.touch(mode=0o600)
        part.write_bytes(name + hashlib.sha256(body).digest() + body)
        part.replace(path)
    with suppress(OSError):
        part.unlink()
