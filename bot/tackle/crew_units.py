"""The units in which a crew thinks, and how weights, lengths and warmth are written in them. Pure.

The log and all sums are metric. Which units a crew has is set, or told by its box: 272.16 kg was written
as 600 lb by somebody.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from bot.tackle.line_classes import class_of
from bot.units import KG_PER_POUND, M_PER_FOOT, fahrenheit_of

SLACK_KG: Final = 0.0051
"""How far a weight that was converted may lie from whole pounds, being kept to hundredths of a kilogram."""


@dataclass(frozen=True, slots=True)
class CrewUnits:
    """Metric units, or pounds, feet and degrees Fahrenheit."""

    imperial: bool = False
    fahrenheit: bool = False
    """True where the crew calls the warmth of the water so, whatever else it says."""

    def weight(self, kg: float, places: int | None = None) -> str:
        """Return a weight or a pull: `10.9 kg`, or `24 lb`; metric figures to so many places."""
        return f"{self.bare_weight(kg, places)} {'lb' if self.imperial else 'kg'}"

    def bare_weight(self, kg: float, places: int | None = None) -> str:
        """Return a weight without its unit."""
        if self.imperial:
            return _halves(kg / KG_PER_POUND)
        return f"{kg:g}" if places is None else f"{kg:.{places}f}"

    def line(self, kg: float) -> str:
        """Return a line class: `37 kg`, or by its label `80 lb`."""
        known = class_of(kg)
        return f"{known.lb_label} lb" if self.imperial and known.kg == kg else self.weight(kg)

    def distance(self, m: float) -> str:
        """Return a distance in whole metres, or feet."""
        return f"{m / M_PER_FOOT:.0f} ft" if self.imperial else f"{m:.0f} m"

    def length(self, m: float, places: int | None = None) -> str:
        """Return the length of a leader or a double: `4.5 m`, or `15 ft`."""
        if self.imperial:
            return f"{_halves(m / M_PER_FOOT)} ft"
        return f"{m:g} m" if places is None else f"{m:.{places}f} m"

    def warmths(self, low_c: float, high_c: float) -> str:
        """Return a range of temperatures: `22 to 23.4 °C`, or `72 to 74 °F`."""
        warm = self.imperial or self.fahrenheit
        ends = [_halves(fahrenheit_of(c)) if warm else f"{round(c, 1):g}" for c in (low_c, high_c)]
        return f"{' to '.join(dict.fromkeys(ends))} {'°F' if warm else '°C'}"


METRIC: Final = CrewUnits()
IMPERIAL: Final = CrewUnits(imperial=True)


def were_pounds(weights_kg: Iterable[float]) -> bool:
    """Return whether most of some weights were given in pounds: whole in these, and not in half kilograms."""
    pounds = [
        2 * kg != round(2 * kg) and abs(kg - round(kg / KG_PER_POUND) * KG_PER_POUND) <= SLACK_KG
        for kg in weights_kg
    ]
    return 2 * sum(pounds) > len(pounds)


def _halves(value: float) -> str:
    return f"{round(2 * value) / 2:g}"
