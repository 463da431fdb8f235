"""`setup`: a short interview on the terminal that writes deckcall.toml, an answer at a time.

What is in the file stays, comments too. Whoever leaves in the middle keeps what was answered; at the
next start it is proposed again, and Enter passes over it.
"""

import getpass
import os
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any, Final, Generic, TypeVar
from zoneinfo import available_timezones

import tomlkit
from tomlkit.exceptions import TOMLKitError

from bot.cli.options import Arguments
from bot.errors import DeckcallError, SettingsError
from bot.settings import Settings
from bot.settings.values import FILE_NAME, POSITIONS, TOKEN_FILE
from bot.settings.zone import machine_zone
from bot.tackle.cautions import caution
from bot.tackle.items import STRIKE_SHARE
from bot.tackle.line_classes import class_of_label
from bot.units import KG_PER_POUND

NEAR_ZONE: Final = 0.75
"""How alike a slip and a zone must be for the zone to be proposed; less proposes places far away."""
TOKEN: Final = re.compile(r"\d{5,}:[\w-]{20,}")
"""As BotFather gives it."""
_POUNDS: Final = re.compile(r"(\d+(?:\.\d+)?) ?(?:lbs?|pounds?)")
LEAVE: Final = ("quit", "later", "leave", "stop")
NONE: Final = ("-", "none", "no")
INTRODUCTION: Final = (
    "Enter keeps what stands in brackets, - takes it out, quit leaves: what was answered is kept.\n"
)
_T = TypeVar("_T")


class _Left(Exception):  # somebody leaves; nothing is wrong
    pass


class _Bad(Exception):  # an answer that cannot be taken, with what to do
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
    _key(file, "name", "Name of the boat", _text)
    _key(file, "timezone", "Time zone, or the city", _zone, machine_zone())
    held = ", ".join(file.get("boat", "positions") or POSITIONS)
    said = _ask("Positions of the spread, from the boat outwards", held, _positions)
    if said.value:
        file.put("boat", "positions", said.value)
        for outfit in [o for o in file.outfits if o.get("position") not in said.value]:
            file.outfits.remove(outfit)
        file.write()
    held = f"{found.boat.place[0]:g} {found.boat.place[1]:g}" if found.boat.place else ""
    place = _ask("Home port as latitude and longitude, for sunset, e.g. -35.2 174.3", held, _place)
    if place.is_removed or place.value:
        file.put("boat", "latitude", place.value and place.value[0], now=False)
        file.put("boat", "longitude", place.value and place.value[1])


def _crew(file: _File, found: Settings) -> None:
    del found
    held = ", ".join(file.get("boat", "crew") or ())
    said = _ask(
        "Names of the crew, parted by commas; the first speaks in deckcall chat", held, _names
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
        said = _ask(f"{position}: line class in kg, or e.g. 80 lb", shown, told.line_class)
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
        value = _line_class(said)
        self.pounds |= _POUNDS.fullmatch(said.casefold()) is not None
        return value

    def drag_kg(self, said: str, most: float) -> float:
        value = _drag_kg(said, most)
        self.pounds |= _POUNDS.fullmatch(said.casefold()) is not None
        return value


def _drag(file: _File, held: Any, position: str, told: _Told) -> None:
    kg = float(held["line_class_kg"])
    shown = (
        f"{held['strike_drag_kg']:g}" if "strike_drag_kg" in held else f"{kg * STRIKE_SHARE:.1f}"
    )
    what = f"{position}: strike drag in kg, or e.g. 24 lb, as the scale has it"
    doubted: set[float] = set()
    said = _ask(what, shown, lambda text: _usual_drag(told.drag_kg(text, kg * 0.99), kg, doubted))
    if said.is_removed:
        held.pop("strike_drag_kg", None)
    elif said.value:
        held["strike_drag_kg"] = said.value
    _keep_units(file, told)
    file.write()


def _telegram(file: _File, found: Settings) -> None:
    path = file.path.with_name(TOKEN_FILE)
    what = "\nTelegram: the token of your bot from @BotFather (deckcall guide telegram)"
    said = _ask(what, "kept" if found.telegram.token else "none", _token, hidden=True)
    if said.value:
        _replace(path, f"{said.value}\n", 0o600)
        print("Kept. deckcall telegram --pair lets the group of the crew in.", file=sys.stderr)


def _key(file: _File, key: str, what: str, read: Callable[[str], Any], default: str = "") -> None:
    """Ask for one key of the boat; Enter takes the default where nothing right stands there yet."""
    held = file.get("boat", key)
    try:
        shown = default if held is None else read(str(held))
    except _Bad:
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
        except _Bad as bad:
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


def _text(said: str) -> str:
    if not said.isprintable() or len(said) > 60:
        raise _Bad("At most 60 letters that can be printed.")
    return said


def _zone(said: str) -> str:
    zones = available_timezones()
    by_city: dict[str, str] = {}
    for zone in sorted(zones):
        by_city.setdefault(zone.rsplit("/", 1)[-1].casefold().replace("_", " "), zone)
    by_name = {zone.casefold(): zone for zone in zones}
    found = by_name.get(said.casefold().replace(" ", "_")) or by_city.get(said.casefold())
    if found:
        return found
    near = get_close_matches(said.casefold(), [*by_city, *by_name], 1, NEAR_ZONE)
    meant = by_city.get(near[0]) or by_name[near[0]] if near else ""
    hint = f"Did you mean {meant}?" if meant else "E.g. Pacific/Auckland."
    raise _Bad(
        f"No such time zone. {hint} Not every city has one: name a big city that keeps the same time,"
        " e.g. Los Angeles, Brisbane."
    )


def _positions(said: str) -> list[str]:
    found = _parts(said.casefold())
    if not found or len(set(found)) != len(found):
        raise _Bad("Each position once, parted by commas, e.g. short corner, long corner, shotgun.")
    return found


def _names(said: str) -> list[str]:
    found = _parts(said)
    if not found or not all(n.isprintable() and len(n) <= 40 and not n[0].isdigit() for n in found):
        raise _Bad("Names, parted by commas, e.g. Ana, Ben.")
    return list(dict.fromkeys(found))


def _parts(said: str) -> list[str]:
    return [part for part in (" ".join(p.split()) for p in said.split(",")) if part]


def _place(said: str) -> tuple[float, float]:
    numbers = re.findall(r"([-+]?\d+(?:\.\d+)?)\s*°?\s*([nsew])?", said.casefold())
    if len(numbers) == 2:
        latitude, longitude = (float(n) * (-1 if side in ("s", "w") else 1) for n, side in numbers)
        if abs(latitude) <= 90 and abs(longitude) <= 180:
            return latitude, longitude
    raise _Bad("Two numbers in degrees, south and west with a minus, e.g. -35.2 174.3.")


def _line_class(said: str) -> float:
    pounds = _POUNDS.fullmatch(said.casefold())
    if pounds:
        known = class_of_label(float(pounds[1]))
        return known.kg if known else _number(f"{float(pounds[1]) * KG_PER_POUND:.1f}", 0.5, 100)
    try:
        return _number(re.sub(r" ?(kg|kilos?)$", "", said.casefold()), 0.5, 100)
    except _Bad:
        raise _Bad("A line class between 0.5 and 100 kg, e.g. 37, or in pounds: 80 lb.") from None


def _drag_kg(said: str, most: float) -> float:
    pounds = _POUNDS.fullmatch(said.casefold())
    if pounds:
        said = f"{float(pounds[1]) * KG_PER_POUND:.1f}"
    return _number(re.sub(r" ?(kg|kilos?)$", "", said.casefold()), 0.1, most)


def _usual_drag(drag_kg: float, line_class_kg: float, doubted: set[float]) -> float:
    """Return a drag; one of more than half the line's class only when it is said a second time."""
    if drag_kg > line_class_kg / 2 and drag_kg not in doubted:
        doubted.add(drag_kg)
        share = round(100 * drag_kg / line_class_kg)
        raise _Bad(
            f"{drag_kg:g} kg is {share} % of the line's {line_class_kg:g} kg; a quarter to a third is usual. "
            "Type it again to keep it."
        )
    return drag_kg


def _number(said: str, low: float, high: float) -> float:
    try:
        value = float(said.replace(",", "."))
    except ValueError:
        raise _Bad(
            f"A number between {low:g} and {high:.4g}, in kg or with its unit: 24 lb."
        ) from None
    if not low <= value <= high:
        raise _Bad(f"It must be between {low:g} and {high:.4g}.")
    return int(value) if value.is_integer() else value


def _token(said: str) -> str:
    if not TOKEN.fullmatch(said):
        raise _Bad("That is no token; it looks like 123456:ABC…, one line from @BotFather.")
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
