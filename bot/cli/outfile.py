"""Files that a command writes because the user named them: never over what the program keeps.

What the program keeps is the log, its settings and keys, recordings and copies, of this boat and of the
others of the settings. Any other file that is there is written over only after a yes.
"""

import os
import sys
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Final

from bot.cli.options import Arguments
from bot.errors import DeckcallError
from bot.settings import Settings

KEPT_FILES: Final = (
    "deckcall.db", "deckcall.toml", "telegram.db", "telegram.token", "serve.db", "serve.pem",
    "instruments.", "chat.history", "grammar.cache",
)  # fmt: skip
"""How names of files of a home begin that the program keeps."""
KEPT_FOLDERS: Final = ("recordings", "backups", "models", "voices")


@dataclass(frozen=True, slots=True)
class OutFile:
    """A file that may be written, or standard output."""

    path: Path | None

    def put(self, data: str | bytes) -> None:
        """Write all of it; a file that was there stays as it was until the new one is whole."""
        raw = data.encode() if isinstance(data, str) else data
        if self.path is None:
            sys.stdout.flush()
            sys.stdout.buffer.write(raw)
            sys.stdout.buffer.flush()
            return
        try:
            _write(self.path, raw)
        except OSError as exc:
            raise DeckcallError(
                f"{self.path} cannot be written ({exc.strerror}); choose another --out"
            ) from exc


def out_file(said: str | None, args: Arguments, found: Settings) -> OutFile:
    """Return where a command may write; raise DeckcallError where it may not.

    Call it before the work is done, so that nobody waits for a refusal.
    """
    if said is None or said == "-":
        return OutFile(None)
    path = Path(said).expanduser()
    refuse_kept(path, found)
    if _holds_something(path) and not args.yes and not _agreed(path):
        raise DeckcallError(f"{path} is there already; choose another name, or add --yes")
    return OutFile(path)


def refuse_kept(path: Path, found: Settings) -> None:
    """Raise DeckcallError for a file that the program keeps, by whatever name it is reached."""
    for home in found.homes:
        if (what := _kept_as(path, home)) or (what := _same_as(path, home)):
            raise DeckcallError(f"{path} is {what} of deckcall; choose another name")
    for file in (found.serve.cert, found.serve.key):
        if file is not None and _is_same(path, file):
            raise DeckcallError(f"{path} is a key or certificate of deckcall; choose another name")


def _kept_as(path: Path, home: Path) -> str:
    """Return what a name in a home stands for; empty where it is nothing that is kept."""
    try:
        inside = path.resolve().relative_to(home.resolve()).parts
    except (ValueError, OSError, RuntimeError):
        return ""
    if len(inside) == 1 and inside[0].casefold().startswith(KEPT_FILES):
        return f"a file ({inside[0]})"
    if len(inside) > 1 and inside[0].casefold() in KEPT_FOLDERS:
        return f"in a folder ({inside[0]})"
    return ""


def _same_as(path: Path, home: Path) -> str:
    """Return which file of a home this is by another name (a hard link); empty for none."""
    if not path.is_file():
        return ""
    try:
        known = [one for one in home.iterdir() if one.name.casefold().startswith(KEPT_FILES)]
        for folder in KEPT_FOLDERS:
            known += (home / folder).iterdir() if (home / folder).is_dir() else ()
    except OSError:
        return ""
    return next((f"a file ({one.name})" for one in known if _is_same(path, one)), "")


def _is_same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False


def _holds_something(path: Path) -> bool:
    try:
        return path.is_file() and path.stat().st_size > 0
    except OSError:
        return False


def _agreed(path: Path) -> bool:
    if not sys.stdin.isatty():
        return False
    print(f"{path} is there already. Write over it? [y/N] ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower() in ("y", "yes")


def _write(path: Path, raw: bytes) -> None:
    target = path.resolve()
    if target.exists() and not target.is_file():  # a device, a pipe; a folder raises here
        target.write_bytes(raw)
        return
    with NamedTemporaryFile(dir=target.parent, prefix=f".{target.name[:40]}", delete=False) as part:
        try:
            part.write(raw)
            part.flush()
            mode = target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask()
            Path(part.name).chmod(mode)
            part.close()
            Path(part.name).replace(target)
        except BaseException:
            Path(part.name).unlink(missing_ok=True)
            raise


def _umask() -> int:
    held = os.umask(0o022)
    os.umask(held)
    return held
