"""Read the settings: defaults, `deckcall.toml`, the environment, options; the later wins.

A wrong or unknown key is a `SettingsError` of one line that names the file (or variable), the key and
what to do. The bot's token is never read from `deckcall.toml`.
"""

import math
import os
import stat
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from difflib import get_close_matches
from pathlib import Path
from typing import TypeVar
from zoneinfo import ZoneInfo, available_timezones

from bot.advice.data import Wishes
from bot.errors import SettingsError
from bot.reminders.wanted import Reminders
from bot.settings.listening import listen_settings
from bot.settings.table import Table, hint
from bot.settings.values import (
    ENGINES,
    FILE_NAME,
    HOOK_GAUGES,
    INSTRUMENT_KINDS,
    SPOOL_MM,
    TOKEN_FILE,
    UNITS,
    WORD_KINDS,
    BoatSettings,
    Forms,
    InstrumentSettings,
    KeepingSettings,
    OutfitSettings,
    ServeSettings,
    Settings,
    SpeechSettings,
    SpoolSettings,
    TelegramSettings,
    WordSettings,
)
from bot.spread.weights import DEFAULT_WEIGHTS, MOST_WEIGHT, Weights
from bot.tackle.items import TROLLING_KN
from bot.transcript import shown_name

_T = TypeVar("_T")


def load(
    environ: Mapping[str, str] | None = None,
    options: Mapping[str, str | Path | None] | None = None,
    wrong: list[SettingsError] | None = None,
) -> Settings:
    """Read all settings; raise SettingsError with one line that says what to do.

    `options` are those of `OPTIONS` that the command line gave; None stands for not given. With a list in
    `wrong` nothing is raised: errors are added to it, and the default stands for each table that has one.
    """
    env = dict(os.environ if environ is None else environ)
    given = {key: str(value) for key, value in (options or {}).items() if value is not None}
    home = _home(env, given)
    found = _part(lambda: from_file(home, wrong), Settings(home), wrong)
    found = _part(lambda: _from_environment(found, env), found, wrong)
    found = _part(lambda: _from_options(found, given), found, wrong)
    token = _part(lambda: _token(found, env, given), None, wrong)
    return replace(found, telegram=replace(found.telegram, token=token))


def _part(read: Callable[[], _T], default: _T, wrong: list[SettingsError] | None) -> _T:
    """Read a part of the settings; note what is wrong and return the default where that is wanted."""
    try:
        return read()
    except SettingsError as exc:
        if wrong is None:
            raise
        wrong.append(exc)
        return default


def _home(env: Mapping[str, str], given: Mapping[str, str]) -> Path:
    said = given.get("home") or env.get("DECKCALL_HOME")
    if said:
        return Path(said).expanduser()
    from platformdirs import user_data_path  # only where nothing was said: keeps the start fast

    return user_data_path("deckcall", appauthor=False)


def from_file(home: Path, wrong: list[SettingsError] | None = None) -> Settings:
    """Return what the file of a home sets, defaults for the rest; raises SettingsError as `load` does."""
    path = home / FILE_NAME
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Settings(home)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as exc:
        raise SettingsError(f"{path}: {exc}; mend that line") from exc
    except OSError as exc:
        raise SettingsError(f"{path}: {exc.strerror}; make the file readable") from exc
    top, base = Table(str(path), "", data), Settings(home)

    def read(name: str, reader: Callable[[Table], _T], default: _T) -> _T:
        return _part(lambda: reader(top.table(name)), default, wrong)

    boat = read("boat", _boat, base.boat)
    found = Settings(
        home,
        boat,
        _part(lambda: _outfits(top, boat), base.outfits, wrong),
        read("words", _words, base.words),
        read("advice", _advice, base.advice),
        read("speech", lambda table: _speech(table, home), base.speech),
        read("telegram", lambda table: _telegram(table, home), base.telegram),
        read("serve", lambda table: _serve(table, home), base.serve),
        read("plan", _plan, base.plan),
        read("keeping", _keeping, base.keeping),
        read("instruments", _instruments, base.instruments),
        read("listen", listen_settings, base.listen),
        read("reminders", _reminders, base.reminders),
    )
    _part(top.done, None, wrong)
    return found


def _boat(table: Table) -> BoatSettings:
    base = BoatSettings()
    zone = table.text("timezone", base.timezone)
    _check_zone(table.where("timezone"), zone)
    positions = tuple(p.lower() for p in table.texts("positions", base.positions))
    if not positions or len(set(positions)) != len(positions):
        raise table.wrong("positions", "must name each position once")
    place, crew = _place(table), table.texts("crew", base.crew)
    usual_kn = table.number("usual_kn", base.usual_kn, low=TROLLING_KN[0], high=TROLLING_KN[1])
    name, units = shown_name(table.text("name", "")), table.choice("units", "", UNITS)
    boat = BoatSettings(name, zone, positions, place, crew, usual_kn, units)
    table.done()
    return boat


def _place(table: Table) -> tuple[float, float] | None:
    latitude = table.number("latitude", math.nan, low=-90, high=90)
    longitude = table.number("longitude", math.nan, low=-180, high=180)
    if math.isnan(latitude) and math.isnan(longitude):
        return None
    for key, value in (("latitude", latitude), ("longitude", longitude)):
        if math.isnan(value):
            raise table.wrong(key, "is missing; give both latitude and longitude, or neither")
    return latitude, longitude


def _outfits(top: Table, boat: BoatSettings) -> tuple[OutfitSettings, ...]:
    found: list[OutfitSettings] = []
    for table in top.tables("outfit"):
        outfit = _outfit(table, boat)
        if any(other.position == outfit.position for other in found):
            raise table.wrong("position", f'"{outfit.position}" has an outfit already; remove one')
        found.append(outfit)
    return tuple(found)


def _outfit(table: Table, boat: BoatSettings) -> OutfitSettings:
    position = table.text("position", "").lower()
    if position not in boat.positions:
        raise table.wrong("position", f"must be one of: {', '.join(boat.positions)}")
    line_class = table.number("line_class_kg", 0.0, low=0.5, high=100)
    if not line_class:
        raise table.wrong("line_class_kg", "is missing; give the line class in kg, e.g. 37")
    drag = table.number("strike_drag_kg", 0.0, low=0.1, high=line_class)
    line_m = table.number("line_m", 0.0, low=10, high=5000)
    gauge = table.choice("hook_gauge", "", HOOK_GAUGES)
    double_m = table.number("double_m", 0.0, low=0.1, high=50)
    spool = _spool(table.table("spool")) if "spool" in table else None
    table.done()
    return OutfitSettings(
        position, line_class, drag or None, line_m or None, gauge or None, double_m or None, spool
    )


def _spool(table: Table) -> SpoolSettings:
    sizes = []
    for key, high in SPOOL_MM.items():
        if key not in table:
            raise table.wrong(key, f"is missing; give all of {', '.join(SPOOL_MM)}")
        sizes.append(table.number(key, 0.0, low=0.05, high=high))
    table.done()
    if sizes[1] >= sizes[0]:
        raise table.wrong("arbor_radius_mm", "must be smaller than full_radius_mm")
    return SpoolSettings(*sizes)


def _plan(table: Table) -> Weights:
    weights = {
        one.name: table.number(
            one.name, getattr(DEFAULT_WEIGHTS, one.name), low=0, high=MOST_WEIGHT
        )
        for one in fields(Weights)
    }
    table.done()
    return Weights(**weights)


def _words(table: Table) -> WordSettings:
    kinds: dict[str, Forms] = {}
    for kind in WORD_KINDS:
        inner = table.table(kind)
        kinds[kind] = {name: inner.texts(name, ()) for name in inner}
        inner.done()
    table.done()
    return WordSettings(**kinds)


def _advice(table: Table) -> Wishes:
    base = Wishes()
    found = Wishes(
        table.number("min_chance", base.min_chance, low=0.5, high=0.999),
        table.number("changes_a_day", base.changes_a_day, low=1, high=100),
        table.number("usual_strikes_per_10h", base.usual_per_10h, low=0.01, high=50),
        table.number("day_h", base.day_h, low=1, high=24),
    )
    table.done()
    return found


def _speech(table: Table, home: Path) -> SpeechSettings:
    base = SpeechSettings()
    model = table.text("model", "")
    found = SpeechSettings(
        table.choice("engine", base.engine, ENGINES),
        home / Path(model).expanduser() if model else None,
        int(table.number("keep_days", base.keep_days, low=0, high=3650)),
        table.number("max_s", base.max_s, low=1, high=600),
        int(table.number("workers", base.workers, low=1, high=16)),
        int(table.number("queue", base.queue, low=0, high=1000)),
        table.number("give_up_s", base.give_up_s, low=1, high=600),
        table.flag("learn", base.learn),
    )
    table.done()
    return found


def _telegram(table: Table, home: Path) -> TelegramSettings:
    base = TelegramSettings()
    if "token" in table:
        raise table.wrong(
            "token", f"must not stand here; put it into {home / TOKEN_FILE} and chmod 600 that file"
        )
    homes = table.table("boats")
    boats = {_id(name, homes.where(name)): home / _folder(homes, name) for name in homes}
    homes.done()
    found = TelegramSettings(
        None,
        table.text("api", base.api).rstrip("/"),
        table.ids("crew"),
        table.ids("skippers"),
        table.ids("guests"),
        boats,
        int(table.number("workers", base.workers, low=1, high=64)),
        table.choice("acknowledge", base.acknowledge, ("reply", "reaction")),
        table.flag("board", base.board),
        table.number("max_file_mb", base.max_file_mb, low=0.01, high=20),
    )
    table.done()
    return found


def _folder(table: Table, name: str) -> Path:
    said = table.text(name, "").strip()
    if not said:
        raise table.wrong(name, "is empty; give the folder of that boat's log")
    return Path(said).expanduser()


def _serve(table: Table, home: Path) -> ServeSettings:
    base = ServeSettings()
    port = int(table.number("port", base.port, low=1, high=65535))
    cert, key = table.text("cert", ""), table.text("key", "")
    found = ServeSettings(
        table.text("host", base.host),
        port,
        home / Path(cert).expanduser() if cert else None,
        home / Path(key).expanduser() if key else None,
        table.flag("secure", base.secure),
    )
    table.done()
    return found


def _keeping(table: Table) -> KeepingSettings:
    many = int(table.number("backups", KeepingSettings().backups, low=0, high=1000))
    table.done()
    return KeepingSettings(many)


def _instruments(table: Table) -> InstrumentSettings:
    base = InstrumentSettings()
    found = InstrumentSettings(
        table.choice("kind", base.kind, INSTRUMENT_KINDS),
        table.text("host", base.host),
        int(table.number("port", base.port, low=1, high=65535)),
        table.text("device", base.device),
        int(table.number("baud", base.baud, low=300, high=4_000_000)),
        table.flag("track", base.track),
    )
    if found.kind == "tcp" and not found.host:
        raise table.wrong("host", "is missing; give the address of the multiplexer or plotter")
    if found.kind == "serial" and not found.device:
        raise table.wrong("device", 'is missing; give the port, e.g. "/dev/ttyUSB0" or "COM3"')
    if not found.kind and any(key in table for key in ("host", "port", "device", "baud")):
        raise table.wrong("kind", f"is missing; give one of: {', '.join(INSTRUMENT_KINDS)}")
    table.done()
    return found


def _reminders(table: Table) -> Reminders:
    base = Reminders()
    found = Reminders(
        table.number("weed_min", base.weed_min, low=0, high=1440),
        table.number("out_h", base.out_h, low=0, high=24),
        table.number("sunset_min", base.sunset_min, low=0, high=600),
        table.number("no_position_min", base.no_position_min, low=0, high=1440),
        table.flag("last_time_here", base.last_time_here),
    )
    table.done()
    return found


def _from_environment(found: Settings, env: Mapping[str, str]) -> Settings:
    telegram, speech = found.telegram, found.speech
    if api := env.get("DECKCALL_TELEGRAM_API"):
        if not api.startswith(("http://", "https://")):
            raise SettingsError("DECKCALL_TELEGRAM_API: must begin with https:// or http://")
        telegram = replace(telegram, api=api.rstrip("/"))
    if "DECKCALL_CREW" in env:
        said = [part.strip() for part in env["DECKCALL_CREW"].split(",")]
        crew = tuple(_id(part, "DECKCALL_CREW") for part in said if part)
        telegram = replace(telegram, crew=crew)
    if model := env.get("DECKCALL_MODEL"):
        speech = replace(speech, model=Path(model).expanduser())
    if engine := env.get("DECKCALL_ENGINE"):
        speech = replace(speech, engine=_engine(engine, "DECKCALL_ENGINE"))
    return replace(found, telegram=telegram, speech=speech)


def _from_options(found: Settings, given: Mapping[str, str]) -> Settings:
    speech, boat = found.speech, found.boat
    if "engine" in given:
        speech = replace(speech, engine=_engine(given["engine"], "--engine"))
    if "model" in given:
        speech = replace(speech, model=Path(given["model"]).expanduser())
    if "timezone" in given:
        _check_zone("--timezone", given["timezone"])
        boat = replace(boat, timezone=given["timezone"])
    return replace(found, speech=speech, boat=boat)


def _token(found: Settings, env: Mapping[str, str], given: Mapping[str, str]) -> str | None:
    """Return the bot's token from an option's file, the environment, or the file beside the log."""
    if said := given.get("token_file"):
        return _read_token(Path(said).expanduser())
    if token := env.get("DECKCALL_TELEGRAM_TOKEN", "").strip():
        return token
    path = found.home / TOKEN_FILE
    return _read_token(path) if path.exists() else None


def _read_token(path: Path) -> str:
    try:
        mode = path.stat().st_mode
        token = path.read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as exc:
        raise SettingsError(f"{path}: the token cannot be read; write it there alone") from exc
    if os.name == "posix" and stat.S_IMODE(mode) & 0o077:
        raise SettingsError(f"{path}: others could read the token; run: chmod 600 {path}")
    return token


def _engine(said: str, where: str) -> str:
    if said not in ENGINES:
        raise SettingsError(f'{where}: "{said}" is no engine; {hint(said, ENGINES)}')
    return said


def _id(said: str, where: str) -> int:
    try:
        return int(said)
    except ValueError:
        raise SettingsError(
            f'{where}: "{said}" is no chat or user id; give whole numbers, e.g. 1234,-1005678'
        ) from None


def _check_zone(where: str, said: str) -> None:
    try:
        ZoneInfo(said)
    except (KeyError, ValueError, OSError):
        near = get_close_matches(said, available_timezones(), 1, 0.6)
        meant = f'did you mean "{near[0]}"?' if near else 'give one such as "Pacific/Auckland"'
        raise SettingsError(f'{where}: "{said}" is no time zone; {meant}') from None
