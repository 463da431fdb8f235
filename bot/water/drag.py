"""How hard a trolled lure pulls on its line.

Drag equation on the face of the head, friction on skirt, leader and the line in the water. Shapes and
sizes of heads are estimates, air behind the head and diving change all of it: a factor of two either
way. So every answer has a low, a nominal and a high value, and a spring balance on the line is better.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import log10, pi
from typing import Final

from bot.tackle.items import Head, Lure
from bot.water.sea import VISCOSITY_M2_S, dynamic_pressure_pa, kgf, speed_ms

HEAD_MM: Final = ((6, 15.0), (8, 22.0), (10, 30.0), (12, 38.0), (14, 46.0))
"""Diameter of a lure's head by the length of the lure in inches (common practice, estimate)."""
LEAST_HEAD_MM: Final = 6.0
HEAD_CD: Final[Mapping[Head | None, tuple[float, float, float]]] = {
    None: (0.40, 0.85, 1.42),
    "slim": (0.34, 0.51, 0.85),
    "slanted": (0.40, 0.85, 1.20),
    "blunt": (0.40, 0.87, 1.20),
    "cupped": (0.85, 1.20, 1.42),
    "jet": (0.34, 0.70, 0.99),
    "plug": (0.40, 0.85, 1.42),
}
"""Drag coefficient on frontal area, low, nominal, high: cone of 30 and 60 degrees 0.34 and 0.51, round
nose 0.40, cylinder end-on 0.85 to 0.99, flat face 1.2, open cup 1.42 (Aeronautical Engineer's Data Book,
fig. 5.13; Cengel & Cimbala, tables 11-1 and 11-2). Which head is which shape is an estimate: a jet
lies between a cone and a cylinder, a plug pulls by its lip and is known least."""
SKIRT_SHARE: Final = 0.75
"""Share of a lure's length that is skirt (estimate)."""
SKIRT_TIMES: Final = (0.5, 1.0, 2.0)
LINE_CF: Final = 0.02 / pi
"""Friction of line along the stream (Hoerner, Fluid-Dynamic Drag 1965, chapter 3)."""
LEADER_M: Final = 4.5
LEADER_MM: Final = 2.0
WET_LINE_M: Final = 10.0
LINE_MM: Final = 0.75
METRES_PER_INCH: Final = 0.0254


@dataclass(frozen=True, slots=True)
class Load:
    """A towing load in kgf; the truth lies between low and high most of the time."""

    low_kg: float
    nominal_kg: float
    high_kg: float

    def __add__(self, kg: float) -> "Load":
        return Load(self.low_kg + kg, self.nominal_kg + kg, self.high_kg + kg)


def towing_load(lure: Lure, speed_kn: float) -> Load:
    """Return the pull of a lure with leader and ten metres of line in the water."""
    head = head_load(lure.size_in, speed_kn, lure.head)
    skirt = _skirt_kg(lure.size_in, speed_kn)
    leader_m = LEADER_M if lure.leader_m is None else lure.leader_m
    lines = line_kg(leader_m, LEADER_MM, speed_kn) + line_kg(WET_LINE_M, LINE_MM, speed_kn)
    low, nominal, high = (skirt * times for times in SKIRT_TIMES)
    return Load(head.low_kg + low, head.nominal_kg + nominal, head.high_kg + high) + lines


def head_load(size_in: float, speed_kn: float, head: Head | None = None) -> Load:
    """Return the pull of the head alone."""
    area_m2 = pi / 4 * (head_mm(size_in) / 1000) ** 2
    low, nominal, high = (kgf(dynamic_pressure_pa(speed_kn) * cd * area_m2) for cd in HEAD_CD[head])
    return Load(low, nominal, high)


def head_mm(size_in: float) -> float:
    """Return the diameter of the head of a lure of this length, between and beyond the table's sizes."""
    for (low, low_mm), (high, high_mm) in pairwise(HEAD_MM):
        if size_in <= high or high == HEAD_MM[-1][0]:
            return max(LEAST_HEAD_MM, low_mm + (size_in - low) * (high_mm - low_mm) / (high - low))
    raise AssertionError("the table of heads has two rows at least")


def line_kg(length_m: float, line_mm: float, speed_kn: float) -> float:
    """Return the friction of line or leader that lies along the stream, in kgf."""
    return kgf(dynamic_pressure_pa(speed_kn) * LINE_CF * pi * line_mm / 1000 * length_m)


def plate_friction(reynolds: float) -> float:
    """Return the friction of a smooth plate (ITTC 1957 line); for Reynolds numbers from 1e5."""
    return 0.075 / (log10(reynolds) - 2) ** 2


def _skirt_kg(size_in: float, speed_kn: float) -> float:
    if speed_kn <= 0:
        return 0.0
    length_m = SKIRT_SHARE * size_in * METRES_PER_INCH
    area_m2 = 4 * pi * head_mm(size_in) / 1000 * length_m
    friction = plate_friction(max(1e5, speed_ms(speed_kn) * length_m / VISCOSITY_M2_S))
    flutter = 2.0
    return kgf(dynamic_pressure_pa(speed_kn) * friction * area_m2 * flutter)
