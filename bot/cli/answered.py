"""What may be answered to the questions of `setup`: text to the value that the settings keep.

Each raises `Bad` for what cannot be taken, with one line that says what to type.
"""

import re
import sys
from difflib import get_close_matches
from typing import Final
from zoneinfo import available_timezones

from bot.cli.coordinates import coordinates
from bot.settings.regions import parts_of_region, zone_of_region
from bot.settings.zone import is_far
from bot.tackle.line_classes import LINE_CLASSES, class_of_label
from bot.units import KG_PER_POUND

NEAR_ZONE: Final = 0.75
"""How alike a slip and a zone must be for the zone to be proposed; less proposes places far away."""
TOKEN: Final = re.compile(r"\d{5,}:[\w-]{20,}")
"""As BotFather gives it."""
POUNDS: Final = re.compile(r"(\d+(?:\.\d+)?) ?(?:lbs?|pounds?)")


class Bad(Exception):
    """An answer that cannot be taken, with what to do."""


def text(said: str) -> str:
    """Return a name of at most 60 letters."""
    if not said.isprintable() or len(said) > 60:
        raise Bad("At most 60 letters that can be printed.")
    return said


def zone(said: str) -> str:
    """Return the time zone of an answer: its name, a big city, or a state that lies in one."""
    zones = available_timezones()
    by_city: dict[str, str] = {}
    for zone in sorted(zones):
        by_city.setdefault(zone.rsplit("/", 1)[-1].casefold().replace("_", " "), zone)
    by_name = {zone.casefold(): zone for zone in zones}
    found = by_name.get(said.casefold().replace(" ", "_")) or by_city.get(said.casefold())
    if found:
        return found
    if region := zone_of_region(said):
        print(f"  {said}: {region}.", file=sys.stderr)
        return region
    if parts := parts_of_region(said):
        raise Bad(
            f"{said} lies in two time zones: type {parts[0]} or {parts[1]}, whose time it keeps."
        )
    near = get_close_matches(said.casefold(), [*by_city, *by_name], 1, NEAR_ZONE)
    meant = by_city.get(near[0]) or by_name[near[0]] if near else ""
    hint = f"Did you mean {meant}?" if meant else "E.g. Pacific/Auckland."
    raise Bad(
        f"No such time zone. {hint} Not every city has one: name a big city that keeps the same time,"
        " e.g. Los Angeles, Brisbane, or the state, e.g. North Carolina."
    )


def positions(said: str) -> list[str]:
    """Return the positions of a spread, from the boat outwards, each once."""
    found = _parts(said.casefold())
    if not found or len(set(found)) != len(found):
        raise Bad("Each position once, parted by commas, e.g. short corner, long corner, shotgun.")
    return found


def names(said: str) -> list[str]:
    """Return the names of a crew, each once."""
    found = _parts(said)
    if not found or not all(n.isprintable() and len(n) <= 40 and not n[0].isdigit() for n in found):
        raise Bad("Names, parted by commas, e.g. Ana, Ben.")
    return list(dict.fromkeys(found))


def _parts(said: str) -> list[str]:
    return [part for part in (" ".join(p.split()) for p in said.split(",")) if part]


def place(said: str) -> tuple[float, float]:
    """Return latitude and longitude in degrees."""
    found = coordinates(said)
    if found is None:
        raise Bad(
            "Two numbers in degrees, as the plotter or a chart shows them, and no name of a place:"
            " e.g. 35 46.7 N 75 31.8 W, or 35.78 -75.53. Enter leaves it open."
        )
    return found


def near_zone(
    place: tuple[float, float], timezone: str, doubted: set[tuple[float, float]]
) -> tuple[float, float]:
    """Return a place; one on the other side of the world from the boat's time only when said twice."""
    latitude, longitude = place
    if place in doubted or not is_far(longitude, timezone):
        return place
    doubted.add(place)
    other = f"{latitude:g} {-longitude:g}"
    raise Bad(f"That is far from {timezone}: is it {other}? Type the same again to keep it.")


def is_in_pounds(said: str) -> bool:
    """Return whether a line class or a drag was said in pounds, or as a class that only pounds have."""
    return POUNDS.fullmatch(said.casefold()) is not None or _is_class_in_pounds(said)


def _is_class_in_pounds(said: str) -> bool:
    bare = float(said) if re.fullmatch(r"\d+", said) else 0.0
    return class_of_label(bare) is not None and bare not in [one.kg for one in LINE_CLASSES]


def line_class(said: str) -> float:
    """Return a line class in kg; a number without unit that is a class in pounds alone is in pounds."""
    pounds = POUNDS.fullmatch(said.casefold())
    bare = float(said) if re.fullmatch(r"\d+", said) else None
    known = class_of_label(float(pounds[1]) if pounds else bare or 0.0)
    if pounds:
        return known.kg if known else _number(f"{float(pounds[1]) * KG_PER_POUND:.1f}", 0.5, 100)
    if known is not None and bare not in [one.kg for one in LINE_CLASSES]:
        print(f"  Taken as {bare:g} lb, the {known.kg:g} kg class.", file=sys.stderr)
        return known.kg
    try:
        return _number(re.sub(r" ?(kg|kilos?)$", "", said.casefold()), 0.5, 100)
    except Bad:
        raise Bad("A line class between 0.5 and 100 kg, e.g. 37, or in pounds: 80 lb.") from None


def drag_kg(said: str, most: float) -> float:
    """Return a drag in kg, said in kilos or pounds."""
    pounds = POUNDS.fullmatch(said.casefold())
    if pounds:
        said = f"{float(pounds[1]) * KG_PER_POUND:.1f}"
    return _number(re.sub(r" ?(kg|kilos?)$", "", said.casefold()), 0.1, most)


def usual_drag(drag_kg: float, line_class_kg: float, doubted: set[float]) -> float:
    """Return a drag; one of more than half the line's class only when it is said a second time."""
    if drag_kg > line_class_kg / 2 and drag_kg not in doubted:
        doubted.add(drag_kg)
        share = round(100 * drag_kg / line_class_kg)
        raise Bad(
            f"{drag_kg:g} kg is {share} % of the line's {line_class_kg:g} kg; a quarter to a third is usual. "
            "Type it again to keep it, or with its unit: 24 lb."
        )
    return drag_kg


def _number(said: str, low: float, high: float) -> float:
    try:
        value = float(said.replace(",", "."))
    except ValueError:
        raise Bad(
            f"A number between {low:g} and {high:.4g}, in kg or with its unit: 24 lb."
        ) from None
    if not low <= value <= high:
        raise Bad(f"It must be between {low:g} and {high:.4g}.")
    return int(value) if value.is_integer() else value


def token(said: str) -> str:
    """Return a token of a bot, as BotFather gives it."""
    if not TOKEN.fullmatch(said):
        raise Bad("That is no token; it looks like 123456:ABC…, one line from @BotFather.")
    return said
