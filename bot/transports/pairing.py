"""One-time codes that let a chat or a phone in; pure but for chance.

A code is shown on the boat's own console and typed by whoever is to be let in. Only its digest is
kept; a handful of wrong guesses make it worthless, for a phone to whoever guessed.
"""

import os
import secrets
from contextlib import suppress
from datetime import timedelta
from hashlib import sha256
from pathlib import Path
from typing import Final

LETTERS: Final = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""Without those that look alike."""
LENGTH: Final = 8
LIFE: Final = timedelta(minutes=10)
GUESSES: Final = 5
"""Wrong codes after which the right one is void."""


def new_code() -> str:
    """Make a code by the system's own chance."""
    return "".join(secrets.choice(LETTERS) for _ in range(LENGTH))


def spell_code(code: str) -> str:
    """Write a code so that it can be read aloud: `ABCD-EFGH`."""
    return f"{code[: LENGTH // 2]}-{code[LENGTH // 2 :]}"


def code_in(text: str) -> str | None:
    """Find a code in what somebody wrote, alone or behind a command; None where there is none."""
    words = text.strip().split()
    if len(words) == 2 and words[0].startswith("/"):
        words = words[1:]
    code = "".join(words).replace("-", "").upper()
    return code if len(code) == LENGTH and set(code) <= set(LETTERS) else None


def private(file: Path) -> None:
    """Make a file, unless it is there, that nobody else on this computer may read."""
    if not file.exists():
        with suppress(OSError):  # said by whoever opens it
            os.close(os.open(file, os.O_WRONLY | os.O_CREAT, 0o600))


def digest(code: str) -> str:
    """Return what may be kept of a code."""
    return sha256(f"deckcall pairing {code}".encode()).hexdigest()
