"""Make fixtures/nmea/morning.nmea: what the instruments of a made-up boat say on a made-up morning.

Nothing of it was recorded. The boat goes along legs through a current; instruments have noise; some lines are
damaged as a bad wire damages them, the receiver loses its satellites once, and once all is silent. Seeded:
the same file every time. Sentences are put together here by hand, not by the library that reads them.
"""

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import reduce
from math import cos, radians, sin
from operator import xor
from pathlib import Path
from typing import Final

import numpy as np
from geographiclib.geodesic import Geodesic

FILE: Final = Path(__file__).parents[2] / "fixtures" / "nmea" / "morning.nmea"
BEGIN: Final = datetime(2026, 2, 6, 17, 0, tzinfo=UTC)
"""06:00 of the boat's own time."""
EVERY_S: Final = 10
START: Final = (-35.0921, 174.3874)
LEGS: Final = (
    (900, 52.0, 7.6),
    (900, 118.0, 7.8),
    (600, 118.0, 6.2),
    (900, 301.0, 7.7),
    (600, 20.0, 8.1),
)
"""Seconds, heading in degrees true, speed through the water in knots."""
CURRENT: Final = (0.9, 140.0)
"""Knots, and whither it sets."""
VARIATION_DEG: Final = 19.5
NO_SATELLITES: Final = (1500, 1620)
SILENT: Final = (2700, 2880)
"""Seconds after the beginning."""
KN_MS: Final = 1852 / 3600


@dataclass(frozen=True, slots=True)
class Moment:
    """The truth at one time."""

    at: datetime
    place: tuple[float, float]
    heading_deg: float
    stw_kn: float
    cog_deg: float
    sog_kn: float
    water_c: float
    depth_m: float


def with_checksum(body: str) -> str:
    """Put the checksum to a sentence: all letters between $ and * exclusive-or (NMEA 0183)."""
    return f"${body}*{reduce(xor, body.encode(), 0):02X}"


def moments() -> Iterator[tuple[int, Moment]]:
    """Yield the truth every ten seconds."""
    place, second = START, 0
    for length, heading, speed in LEGS:
        for _ in range(0, length, EVERY_S):
            north = speed * cos(radians(heading)) + CURRENT[0] * cos(radians(CURRENT[1]))
            east = speed * sin(radians(heading)) + CURRENT[0] * sin(radians(CURRENT[1]))
            over_ground = float(np.hypot(north, east))
            course = float(np.degrees(np.arctan2(east, north)) % 360)
            yield second, Moment(
                BEGIN + timedelta(seconds=second), place, heading, speed, course, over_ground,
                21.4 + 1.3 / (1 + np.exp(-(second - 1700) / 250)), 95 + second / 3900 * 240,
            )  # fmt: skip
            way = Geodesic.WGS84.Direct(*place, course, over_ground * KN_MS * EVERY_S)
            place, second = (way["lat2"], way["lon2"]), second + EVERY_S


def sentences(second: int, now: Moment, dice: np.random.Generator) -> list[str]:
    """Return what the instruments say at one time."""
    lost = NO_SATELLITES[0] <= second < NO_SATELLITES[1]
    clock, day = f"{now.at:%H%M%S}.00", f"{now.at:%d%m%y}"
    where = ",,," if lost else _where(now, dice)
    moving = "," if lost else f"{now.sog_kn + dice.normal(0, 0.1):.1f},{_turn(now.cog_deg, dice)}"
    status, mode = ("V", "N") if lost else ("A", "A")
    heading = (now.heading_deg - VARIATION_DEG + dice.normal(0, 1.0)) % 360
    return [
        with_checksum(f"GPRMC,{clock},{status},{where},{moving},{day},,,{mode}"),
        with_checksum(f"GPGGA,{clock},{where},{'0,00' if lost else '1,09'},{'' if lost else '0.9'},,M,,M,,"),
        with_checksum(f"HCHDG,{heading:.1f},,,{VARIATION_DEG:.1f},E"),
        with_checksum(f"IIVHW,,T,,M,{max(0.0, now.stw_kn + dice.normal(0, 0.1)):.2f},N,,K"),
        with_checksum(f"IIMTW,{now.water_c + dice.normal(0, 0.03):.1f},C"),
        with_checksum(f"SDDPT,{now.depth_m - 0.4 + dice.normal(0, 0.8):.1f},0.4,600.0"),
    ]  # fmt: skip


def damage(line: str, dice: np.random.Generator) -> str:
    """Damage a line: a letter changed, the end cut off, or the checksum gone."""
    kind = int(dice.integers(3))
    if kind == 0:
        at = int(dice.integers(7, len(line) - 3))
        other = "0123456789"[(ord(line[at]) + 1 + int(dice.integers(8))) % 10]
        return (
            line[:at] + other + line[at + 1 :] if other != line[at] else line[:at] + line[at + 1 :]
        )
    return line[: int(dice.integers(5, len(line) - 3))] if kind == 1 else line.partition("*")[0]


def record(seed: int = 20260207) -> str:
    """Return the whole file."""
    dice = np.random.default_rng(seed)
    lines = []
    for second, now in moments():
        if SILENT[0] <= second < SILENT[1]:
            continue
        if second % 300 == 0:
            lines.append(with_checksum(f"GPZDA,{now.at:%H%M%S}.00,{now.at:%d,%m,%Y},00,00"))
        for line in sentences(second, now, dice):
            lines.append(damage(line, dice) if dice.random() < 0.02 else line)
    return "\r\n".join(lines) + "\r\n"


def main(argv: list[str] | None = None) -> int:
    """Write the file."""
    argparse.ArgumentParser(prog="python -m bot.bench nmea", description=__doc__).parse_args(argv)
    FILE.write_bytes(record().encode("ascii"))
    print(f"fixtures/nmea/{FILE.name}: {FILE.stat().st_size} bytes")
    return 0


def _where(now: Moment, dice: np.random.Generator) -> str:
    latitude, longitude = (value + dice.normal(0, 2e-5) for value in now.place)
    north, east = "N" if latitude >= 0 else "S", "E" if longitude >= 0 else "W"
    return f"{_angle(latitude, 2)},{north},{_angle(longitude, 3)},{east}"


def _angle(degrees: float, figures: int) -> str:
    thousandths = round(abs(degrees) * 60_000)
    whole, rest = divmod(thousandths, 60_000)
    return f"{whole:0{figures}d}{rest / 1000:06.3f}"


def _turn(degrees: float, dice: np.random.Generator) -> str:
    return f"{(degrees + dice.normal(0, 1.5)) % 360:.1f}"
