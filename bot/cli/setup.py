"""`setup`: a short interview on the terminal that writes deckcall.toml, an answer at a time.

What is in the file stays, comments too. Whoever leaves in the middle keeps what was answered; at the
next start it is proposed again, and Enter passes over it.
"""

import getpass
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any, Final, Generic, TypeVar

import tomlkit
from tomlkit.exceptions import TOMLKitError

from bot.cli import answered
from bot.cli.answered import Bad
from bot.cli.options import Arguments
from bot.errors import DeckcallError, SettingsError
from bot.settings import Settings
from bot.settings.values import FILE_NAME, POSITIONS, TOKEN_FILE
from bot.settings.zone import machine_zone
from bot.tackle.cautions import caution
from bot.tackle.items import STRIKE_SHARE

LEAVE: Final = ("quit", "later", "leave", "stop")
NONE: Final = ("-", "none", "no")
INTRODUCTION: Final = (
    "Enter keeps what stands in brackets, - takes it out, quit leaves: what was answered is kept.\n"
)
_T = TypeVar("_T")


class _Left(Exception):  # somebody leaves; nothing is wrong
    pass


def setup(args: Arguments, found: Settings) -> int:
    """Ask, and write what is answered; the rest of the file stays as it is."""
    file = _File(found.home / FILE_NAME)
    for exc in args.wrong:
        print(f"note: {exc}", file=sys.stderr)
    print(f"The settings of your boat, in {file.path}.\n{INTRODUCTION}", file=sys.stderr)
    try:
        for part in (_boat, _crew, _rods, _telegram):
            part(file, found)
    except (_Left, KeyboardInterrupt):
        print(f"\nKept so far: {file.path}. deckcall setup goes on from there.", file=sys.stderr)
        return 0
    print(
        "\nDone. Next: deckcall box template --out lures.csv shows how lures are written;"
        "\ndeckcall box import lures.csv takes them; deckcall doctor checks it all; deckcall chat begins.",
        file=sys.stderr,
    )
    return 0


@dataclass(frozen=True, slots=True)
class _Said(Generic[_T]):
    """An answer; without a value and not removed, what stands there is kept."""

    value: _T | None = None
    is_removed: bool = False


class _File:
    """The settings file; each `put` is on the disk when it returns."""

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self.data: Any = tomlkit.parse(path.read_text(encoding="utf-8"))
        except FileNotFoundError:
            self.data = tomlkit.document()
        except (TOMLKitError, UnicodeDecodeError) as exc:
            raise SettingsError(f"{path}: {exc}; mend that line first") from exc
        except OSError as exc:
            raise SettingsError(f"{path}: {exc.strerror}; make the file readable") from exc
        outfits = self.data.get("outfit", [])
        if not isinstance(self.data.get("boat", {}), dict) or not (
            isinstance(outfits, list) and all(isinstance(one, dict) for one in outfits)
        ):
            raise SettingsError(f"{path}: [boat] or [[outfit]] is no table; mend that first")

    def get(self, table: str, key: str) -> Any:
        held = self.data.get(table)
        return held.get(key) if isinstance(held, dict) else None

    @property
    def outfits(self) -> Any:
        """Return the outfits, as tables of their own; what is written has none of an empty list."""
        if not self.data.get("outfit"):
            self.data.pop("outfit", None)
            self.data["outfit"] = tomlkit.aot()
        return self.data["outfit"]

    def put(self, table: str, key: str, value: Any, now: bool = True) -> None:
        """Set a key, or take it out where the value is None; write the file `now`, or with the next."""
        held = self.data.setdefault(table, tomlkit.table())
        if value is None:
            held.pop(key, None)
        else:
            held[key] = value
        if now:
            self.write()

    def write(self) -> None:
        """Put a whole new file in the place of the old one."""
        if "outfit" in self.data and not self.data["outfit"]:
            del self.data["outfit"]
        self.path.parent.mkdir(parents=True, exist_ok=True)
        mode = self.path.stat().st_mode & 0o777 if self.path.exists() else 0o600
        _replace(self.path, tomlkit.dumps(self.data), mode)


def _boat(file: _File, found: Settings) -> None:
    _key(file, "name", "Name of the boat", answered.text)
    _key(
        file,
        "timezone",
        "Time zone: a state or a big city, e.g. North Carolina",
        answered.zone,
        machine_zone(),
    )
    held = ", ".join(file.get("boat", "positions") or POSITIONS)
    said = _ask("Positions of the spread, from the boat outwards", held, answered.positions)
    if said.value:
        file.put("boat", "positions", said.value)
        for outfit in [o for o in file.outfits if o.get("position") not in said.value]:
            file.outfits.remove(outfit)
        file.write()
    held = f"{found.boat.place[0]:g} {found.boat.place[1]:g}" if found.boat.place else ""
    what = "Home port as latitude and longitude, for sunset, e.g. 35 46.7 N 75 31.8 W"
    doubted: set[tuple[float, float]] = set()
    zone = str(file.get("boat", "timezone") or "")
    place = _ask(what, held, lambda text: answered.near_zone(answered.place(text), zone, doubted))
    if place.is_removed or place.value:
        file.put("boat", "latitude", place.value and place.value[0], now=False)
        file.put("boat", "longitude", place.value and place.value[1])


def _crew(file: _File, found: Settings) -> None:
    del found
    held = ", ".join(file.get("boat", "crew") or ())
    said = _ask(
        "Names of the crew, parted by commas; the first speaks in deckcall chat",
        held,
        answered.names,
    )
    if said.is_removed or said.value:
        file.put("boat", "crew", said.value)


def _rods(file: _File, found: Settings) -> None:
    del found
    told = _Told()
    print(f"\nRods. {caution('drag')}", file=sys.stderr)
    for position in file.get("boat", "positions") or POSITIONS:
        held = next((o for o in file.outfits if o.get("position") == position), None)
        shown = f"{held['line_class_kg']:g}" if held else ""
        said = _ask(f"{position}: line class, e.g. 80 lb or 37 kg", shown, told.line_class)
        if said.is_removed and held is not None:
            file.outfits.remove(held)
        elif said.value:
            if held is None:
                held = tomlkit.table()
                held["position"] = position
                file.outfits.append(held)
            held["line_class_kg"] = said.value
        _keep_units(file, told)
        file.write()
        if held is not None and not said.is_removed:
            _drag(file, held, position, told)


def _keep_units(file: _File, told: "_Told") -> None:
    """Keep that the crew thinks in pounds and feet, unless the file says in what."""
    if told.pounds and file.get("boat", "units") is None:
        file.put("boat", "units", "imperial", now=False)


class _Told:
    """Reads line classes and drags, and remembers whether one was given in pounds."""

    def __init__(self) -> None:
        self.pounds = False

    def line_class(self, said: str) -> float:
        value = answered.line_class(said)
        self.pounds |= answered.is_in_pounds(said)
        return value

    def drag_kg(self, said: str, most: float) -> float:
        value = answered.drag_kg(said, most)
        self.pounds |= answered.POUNDS.fullmatch(said.casefold()) is not None
        return value


def _drag(file: _File, held: Any, position: str, told: _Told) -> None:
    kg = float(held["line_class_kg"])
    shown = (
        f"{held['strike_drag_kg']:g}" if "strike_drag_kg" in held else f"{kg * STRIKE_SHARE:.1f}"
    )
    what = f"{position}: strike drag in kg, or e.g. 24 lb, as the scale has it"
    doubted: set[float] = set()
    said = _ask(
        what, shown, lambda text: answered.usual_drag(told.drag_kg(text, kg * 0.99), kg, doubted)
    )
    if said.is_removed:
        held.pop("strike_drag_kg", None)
    elif said.value:
        held["strike_drag_kg"] = said.value
    _keep_units(file, told)
    file.write()


def _telegram(file: _File, found: Settings) -> None:
    path = file.path.with_name(TOKEN_FILE)
    what = "\nTelegram: the token of your bot from @BotFather (deckcall guide telegram)"
    said = _ask(what, "kept" if found.telegram.token else "none", answered.token, hidden=True)
    if said.value:
        _replace(path, f"{said.value}\n", 0o600)
        print("Kept. deckcall telegram --pair lets the group of the crew in.", file=sys.stderr)


def _key(file: _File, key: str, what: str, read: Callable[[str], Any], default: str = "") -> None:
    """Ask for one key of the boat; Enter takes the default where nothing right stands there yet."""
    held = file.get("boat", key)
    try:
        shown = default if held is None else read(str(held))
    except Bad:
        shown = default
    said = _ask(what, shown, read)
    if said.is_removed or said.value:
        file.put("boat", key, said.value)
        if said.is_removed and default:
            print(f"  Left open: {default}, as this machine has it.", file=sys.stderr)
    elif shown and shown != held:
        file.put("boat", key, shown)


def _ask(what: str, shown: str, read: Callable[[str], _T], hidden: bool = False) -> _Said[_T]:
    """Ask until the answer can be read; say each time what is wrong with it."""
    while True:
        said = _question(f"{what}{f' [{shown}]' if shown else ''}: ", hidden)
        if not said or said == shown:
            return _Said()
        if said.casefold() in NONE:
            return _Said(is_removed=True)
        try:
            return _Said(read(said))
        except Bad as bad:
            print(f"  {bad}", file=sys.stderr)


def _question(prompt: str, hidden: bool) -> str:
    """Return the answer in one line; raise _Left where somebody leaves."""
    if hidden and sys.stdin.isatty():
        try:
            said = getpass.getpass(prompt)
        except EOFError:
            raise _Left from None
    else:
        print(prompt, end="", file=sys.stderr, flush=True)
        said = sys.stdin.readline()
        if not said:
            raise _Left
    said = " ".join(said.split())
    if said.casefold() in LEAVE:
        raise _Left
    return said


def _replace(path: Path, text: str, mode: int) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with NamedTemporaryFile("w", encoding="utf-8", dir=path.parent, delete=False) as new:
            new.write(text)
            new.flush()
            os.fsync(new.fileno())
        Path(new.name).chmod(mode)
        Path(new.name).replace(path)
    except OSError as exc:
        raise DeckcallError(
            f"{path} cannot be written ({exc.strerror}); set DECKCALL_HOME"
        ) from exc
