"""The conditions that a question asks for: month, light, water or place."""

from dataclasses import replace
from typing import Final

from bot.answers.view import View
from bot.trip.call import Call
from bot.trip.conditions import water_key
from bot.trip.entry import Place
from bot.trip.exposure import Only
from bot.trip.meant import TallyQuestion
from bot.trip.whereabouts import cell_of, middle_of, neighbours
from bot.water.bearing import leg

HERE_NM: Final = 5.0
"""Distance in nautical miles within which a place is "here"."""


def in_conditions(view: View, only: Only, call: Call) -> Only:
    """Return a filter narrowed to the conditions asked for, and to `here` where that is known."""
    asked = call.meaning(TallyQuestion) or TallyQuestion()
    water = () if asked.water_c is None else (water_key(asked.water_c),)
    cells = cells_about(view.here) if view.here is not None and call.asks("here") else ()
    return replace(only, month=asked.month, light=asked.lights, water=water, cells=cells)


def condition_words(only: Only) -> list[str]:
    """Return the conditions of a filter in words, e.g. `October`, `dawn and low morning sun`, `24 °C`."""
    words = [only.month] if only.month else []
    words += [" and ".join(only.light)] if only.light else []
    words += [" and ".join(only.water)] if only.water else []
    return words + ([f"within {HERE_NM:g} nm of here"] if only.cells else [])


def cells_about(place: Place, within_nm: float = HERE_NM) -> tuple[str, ...]:
    """Return the cell of a place and those around it whose middles are near."""
    own = cell_of(place)
    near = (
        cell for cell in neighbours(place) if leg(place, middle_of(cell)).distance_nm <= within_nm
    )
    return tuple(dict.fromkeys((own, *near)))
