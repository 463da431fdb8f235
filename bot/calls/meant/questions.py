"""What a question asks for beyond its slots: what a tally is by, of which trips, in what conditions. Pure."""

from bot.calls.meant.reader import Line, only_with
from bot.calls.meant.signs import Sign
from bot.calls.meant.wishes import without_only
from bot.calls.numbers import numbers_at
from bot.trip.meant import (
    AnotherPlan,
    Asks,
    Choice,
    DropsPlan,
    MayAskChange,
    NamesReading,
    TallyQuestion,
)
from bot.units import celsius_of

_ALSO_WHICH = frozenset({"month", "light", "water", "place", "head", "side", "speed"})
"""Keys of a tally that "which ..." or "best ..." asks for; other keys are a slot of the call."""
MOST_NAMING = 4
"""Most words of a name."""
HOTTEST_C = 45.0
"""A temperature above this is in degrees Fahrenheit."""


def asks_in(line: Line) -> Asks | None:
    """Return what else a line asks for, or None."""
    names = {sign.name for sign in line.signs if sign.table == "asks"}
    names |= {sign.name for sign in line.signs if sign.table == "opens" and sign.start == 0}
    return Asks(tuple(sorted(names))) if names else None


def tally_question(line: Line) -> TallyQuestion:
    """Return what a tally is asked for."""
    span, month, light = line.first("span"), line.first("month"), line.first("light")
    return TallyQuestion(
        keys=_keys(line),
        span=span.name if span else "",
        month=month.name if month else None,
        lights=tuple(light.name.split(", ")) if light else (),
        water_c=_water_c(line),
    )


@only_with("choice")
def choice(line: Line) -> Choice | None:
    """Return which of several readings a line chooses, where it says nothing else."""
    found = _whole(line, "choice")
    return Choice(int(found.name)) if found else None


def naming_words(line: Line) -> NamesReading | None:
    """Return the few words of a line that may name something, or None for more than a few."""
    if not 0 < line.lattice.size <= MOST_NAMING:
        return None
    place, fish = _whole(line, "position"), _whole(line, "species")
    return NamesReading(
        " ".join(token.text for token in line.tokens),
        place.name if place else None,
        fish.name if fish else None,
    )


@only_with("another", "wish")
def another_plan(line: Line) -> AnotherPlan | None:
    """Return the meaning of a line that only asks for another plan, or says what is wrong in it; else None.

    "No green" says so while a plan is on offer.
    """
    if _whole(line, "another"):
        return AnotherPlan()
    without = without_only(line)
    return AnotherPlan(without) if without else None


@only_with("drops_plan")
def drops_plan(line: Line) -> DropsPlan | None:
    """Return that a line only says that a plan on offer is not wanted; None for any other line."""
    if _whole(line, "drops_plan") is None:
        return None
    return DropsPlan(any(s[:2] == ("drops_plan", "plan") and s.start == 0 for s in line.signs))


@only_with("may_change")
def may_ask_change(line: Line) -> MayAskChange | None:
    """Return that a whole line asks whether a line is to be changed, or to go slow; None for any other.

    "Should we change the shotgun" may be asked of the program or of somebody else aboard.
    """
    signs = [s for s in line.signs if s.table == "may_change" and s.cost == 0.0]
    opens = [s for s in signs if s.name in ("line", "slow") and s.start <= 1]
    ends = [s.end for s in opens if s.name == "line"]
    place = next((one for end in ends if (one := line.at_any(end, "position"))), None)
    slow = place is None and any(s.name == "slow" for s in opens)
    parts = [*opens, *([place] if place else []), *(s for s in signs if s.name == "beside")]
    said = {n for sign in parts for n in range(sign.start, sign.end)}
    if len(said) < line.lattice.size or not (place or slow):
        return None
    return MayAskChange(place.name if place else None, slow)


def _whole(line: Line, table: str) -> Sign | None:
    """Return the sign that makes up the whole line as heard, or None."""
    size = line.lattice.size
    fits = (s for s in line.signs if s.table == table and (s.start, s.end) == (0, size))
    return next((sign for sign in fits if sign.cost == 0), None)


def _keys(line: Line) -> tuple[str, ...]:
    """Return the keys to count by: joined pairs first, then what follows "by" or "which"."""
    keys = line.of("tally")
    pairs = [
        name
        for one in keys
        for other in keys
        if _joined(line, one.end, other.start)
        for name in (one.name, other.name)
    ]
    by = [key.name for key in keys if _led(line, "by", key)]
    which = [key.name for key in keys if key.name in _ALSO_WHICH and _led(line, "which", key)]
    water = ["water"] if line.has("tally_word", "in_water") else []
    return tuple(dict.fromkeys((*pairs, *by, *which, *water)))


def _joined(line: Line, start: int, end: int) -> bool:
    return any(s[:4] == ("tally_word", "joint", start, end) for s in line.signs)


def _led(line: Line, word: str, key: Sign) -> bool:
    return any(s[:2] == ("tally_word", word) and s.end == key.start for s in line.signs)


def _water_c(line: Line) -> float | None:
    """Return the temperature that a line names with the word degrees, in °C; it may be said in °F."""
    lattice = line.lattice
    for start in range(lattice.size):
        ends = [f for f in numbers_at(lattice, start) if line.at(f.end, "degrees", "degrees")]
        if ends:
            value = max(ends, key=lambda one: one.end).value
            return celsius_of(value) if value > HOTTEST_C else value
    return None
