"""One line of NMEA 0183 to what it measures, or why it is dropped. Pure; the sentences are read by pynmea2.

Only what is sure is taken: a checksum that is right, a status that says valid, values that can be.
pynmea2 gives 0 for a place without its N, S, E or W, and keeps text that is no number: both are looked at.
"""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Final, Literal

import pynmea2

DropReason = Literal["no checksum", "wrong checksum", "unreadable", "not valid", "not used"]
"""`not valid`: the instrument itself says so; `not used`: a good sentence that says nothing wanted here."""
DROP_REASONS: Final[tuple[DropReason, ...]] = (
    "no checksum", "wrong checksum", "unreadable", "not valid", "not used",
)  # fmt: skip
MOST_LETTERS: Final = 1024
"""A sentence has up to 82; some instruments send more, noise has no end."""

_TAG_BLOCK: Final = re.compile(r"^\\[^\\]*\\")
_ANGLE: Final = re.compile(r"(\d{1,3})(\d\d(?:\.\d+)?)")
_SURE_MODES: Final = ("", "A", "D", "F", "P", "R")
"""Modes of a fix by satellites; not estimated (E), typed in (M), simulated (S) or none (N)."""
_SURE_QUALITIES: Final = (1, 2, 3, 4, 5)
_RANGES: Final[Mapping[str, tuple[float, float]]] = {
    "cog_deg": (0, 360), "sog_kn": (0, 100), "stw_kn": (0, 100), "heading_deg": (0, 360),
    "water_c": (-5, 45), "depth_m": (0, 12_000), "hdop": (0, 99.9), "variation_deg": (-180, 180),
}  # fmt: skip
"""What can be measured at sea; beyond is a fault of the instrument."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """What one sentence says."""

    kind: str
    """Its three letters, e.g. `RMC`."""
    place: tuple[float, float] | None = None
    values: Mapping[str, float] = field(default_factory=dict)
    """By the names of `Stamp`, and `hdop`, `variation_deg` (east positive), `magnetic_deg`."""
    time: datetime | None = None
    """UTC; only of sentences that carry a date."""


def read(line: str) -> Sentence | DropReason:
    """Read one line."""
    bare = _TAG_BLOCK.sub("", line.strip("\0 \t\r\n"))
    if bare.startswith("!"):
        return "not used"  # AIS and the like: other boats
    if not bare.startswith("$") or len(bare) > MOST_LETTERS:
        return "unreadable"
    body, star, tail = bare.partition("*")
    try:
        found = pynmea2.parse(f"{body}{star}{tail.upper()}", check=True)
        return _read(found)
    except pynmea2.ChecksumError:
        return "wrong checksum" if star else "no checksum"
    except pynmea2.SentenceTypeError:
        return "not used"
    except (ValueError, AttributeError, TypeError, ArithmeticError):
        return "unreadable"


def _read(found: Any) -> Sentence | DropReason:
    kind = getattr(found, "sentence_type", "")
    reader = _READERS.get(kind)
    if reader is None:
        return "not used"
    said = reader(found)
    if said is None:
        return "not valid"
    for name, value in said.values.items():
        low, high = _RANGES.get(name, (-1e6, 1e6))
        if not low <= value <= high:
            return "unreadable"
    return said


def _rmc(found: Any) -> Sentence | None:
    time = datetime.combine(found.datestamp, found.timestamp).astimezone(UTC)
    if found.status != "A" or _text(found, "mode_indicator") not in _SURE_MODES:
        return Sentence("RMC", time=time)  # no satellites, but the receiver's clock goes on
    values = _values(cog_deg=_get(found, "true_course"), sog_kn=_get(found, "spd_over_grnd"))
    variation = _number(_get(found, "mag_variation"))
    if variation is not None and _text(found, "mag_var_dir") in ("E", "W"):
        values["variation_deg"] = -variation if found.mag_var_dir == "W" else variation
    return Sentence("RMC", _place(found), values, time)


def _gga(found: Any) -> Sentence | None:
    if _number(found.gps_qual) not in _SURE_QUALITIES:
        return None
    return Sentence("GGA", _place(found), _values(hdop=_get(found, "horizontal_dil")))


def _gll(found: Any) -> Sentence | None:
    if _text(found, "status") != "A" or _text(found, "faa_mode") not in _SURE_MODES:
        return None
    return Sentence("GLL", _place(found))


def _vtg(found: Any) -> Sentence | None:
    if _text(found, "faa_mode") not in _SURE_MODES:
        return None
    return Sentence(
        "VTG",
        None,
        _values(cog_deg=_get(found, "true_track"), sog_kn=_get(found, "spd_over_grnd_kts")),
    )


def _vhw(found: Any) -> Sentence | None:
    return Sentence(
        "VHW",
        None,
        _values(
            heading_deg=_get(found, "heading_true"),
            magnetic_deg=_get(found, "heading_magnetic"),
            stw_kn=_get(found, "water_speed_knots"),
        ),
    )


def _mtw(found: Any) -> Sentence | None:
    if _text(found, "units") != "C":
        return None
    return Sentence("MTW", None, _values(water_c=found.temperature))


def _dbt(found: Any) -> Sentence | None:
    return Sentence("DBT", None, _values(depth_m=_get(found, "depth_meters")))


def _dbs(found: Any) -> Sentence | None:
    return Sentence("DBS", None, _values(depth_m=_get(found, "depth_meter")))


def _dpt(found: Any) -> Sentence | None:
    depth, offset = _number(_get(found, "depth")), _number(_get(found, "offset"))
    if depth is None:
        return Sentence("DPT")
    # an offset above nought is the way from transducer to surface, below nought that to the keel
    return Sentence("DPT", None, {"depth_m": depth + max(offset or 0.0, 0.0)})


def _hdt(found: Any) -> Sentence | None:
    return Sentence("HDT", None, _values(heading_deg=found.heading))


def _hdm(found: Any) -> Sentence | None:
    return Sentence("HDM", None, _values(magnetic_deg=found.heading))


def _hdg(found: Any) -> Sentence | None:
    heading = _number(found.heading)
    if heading is None:
        return Sentence("HDG")
    magnetic = (heading + _signed(found, "deviation", "dev_dir")) % 360
    values = {"magnetic_deg": magnetic}
    if _number(_get(found, "variation")) is not None:
        variation = _signed(found, "variation", "var_dir")
        values |= {"variation_deg": variation, "heading_deg": (magnetic + variation) % 360}
    return Sentence("HDG", None, values)


def _zda(found: Any) -> Sentence | None:
    day = datetime(int(found.year), int(found.month), int(found.day))
    return Sentence("ZDA", time=datetime.combine(day, found.timestamp).astimezone(UTC))


_READERS: Final[Mapping[str, Callable[[Any], Sentence | None]]] = {
    "RMC": _rmc, "GGA": _gga, "GLL": _gll, "VTG": _vtg, "VHW": _vhw, "MTW": _mtw, "DBT": _dbt,
    "DBS": _dbs, "DPT": _dpt, "HDT": _hdt, "HDM": _hdm, "HDG": _hdg, "ZDA": _zda,
}  # fmt: skip


def _get(found: Any, name: str) -> Any:
    """Return a field; None where the sentence is shorter."""
    return getattr(found, name) if found.name_to_idx[name] < len(found.data) else None


def _text(found: Any, name: str) -> str:
    return str(_get(found, name) or "")


def _number(value: Any) -> float | None:
    """Return a number, None for an empty field; raises ValueError for what is none."""
    if value is None or value == "":
        return None
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{value} is no number")
    return number


def _values(**said: Any) -> dict[str, float]:
    found = {name: _number(value) for name, value in said.items()}
    return {name: value for name, value in found.items() if value is not None}


def _signed(found: Any, name: str, direction: str) -> float:
    """Return an angle, east positive; 0 where the field is empty. Raises ValueError without E or W."""
    value, way = _number(_get(found, name)), _text(found, direction)
    if value is None:
        return 0.0
    if way not in ("E", "W"):
        raise ValueError(f"{name} is neither E nor W")
    return -value if way == "W" else value


def _place(found: Any) -> tuple[float, float] | None:
    if not found.lat and not found.lon:
        return None
    return (
        _angle(found.lat, found.lat_dir, ("N", "S"), 90.0),
        _angle(found.lon, found.lon_dir, ("E", "W"), 180.0),
    )


def _angle(said: str, direction: str, known: tuple[str, str], most_deg: float) -> float:
    """Read degrees and minutes as one figure (`3612.345`); raises ValueError."""
    match = _ANGLE.fullmatch(said)
    if match is None or direction not in known or float(match[2]) >= 60:
        raise ValueError(f"{said} {direction} is no place")
    degrees = int(match[1]) + float(match[2]) / 60
    if degrees > most_deg:
        raise ValueError(f"{said} is off the globe")
    return -degrees if direction == known[1] else degrees
