"""What may stand at each place of a line: words of the vocabulary, and numbers with their units.

Gives for every node the labels that begin there ("{position}", "{weight}", ...), with their end, cost
and the slots they fill. The labels are what templates are written in. Pure.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple

from bot.calls.grammar import Grammar, Lists
from bot.calls.grammar_text import RANGE_KINDS, Units, factor, words_of
from bot.calls.lattice import Lattice
from bot.calls.numbers import TOGETHER, Number, may_start, numbers_at, tens_and_tenths
from bot.calls.tags import tags_at
from bot.calls.times import ago_at, clocks_at
from bot.tackle.line_classes import class_of_label
from bot.units import BEHIND, CM_PER_FOOT, CM_PER_INCH, CM_PER_M, INCHES_PER_FOOT, celsius_of

Slots = tuple[tuple[str, Any], ...]


class Term(NamedTuple):
    """Something with a meaning that begins at a node."""

    end: int
    cost: float
    slots: Slots


Terms = list[dict[str, list[Term]]]
"""What may stand at each node, by label."""

HOUR_COST: Final = 0.2
"""Cost of reading a number alone as an hour: "at ten"."""
TOGETHER_COST: Final = 0.09
"""Cost of reading two positions as one phrase, where each could be a phrase of its own."""
TENTHS_COST: Final = 0.25
"""Cost of reading a typed decimal as a temperature of the water: "22.8"."""
SHALLOWEST_M: Final = 3.0
"""Least depth in metres; nobody trolls in less, and six foot of something is no depth of water."""
SENTENCES: Final = 3
"""Number of stops at which free text may end; it may also end with the line."""
_WATER_WHATS: Final = ("weed", "current line", "temperature break")


def terms(lattice: Lattice, grammar: Grammar) -> Terms:
    """Find every term of a line."""
    size = lattice.size
    found: Terms = [{} for _ in range(size + 1)]
    ranged = words_of(grammar.units, RANGE_KINDS)
    for start in range(size):
        _vocabulary(lattice, grammar, start, found[start])
        _times(lattice, start, found[start])
        for tag in tags_at(lattice, start):
            label = "{tagno}" if tag.named else "{tagdigits}"
            keep(
                found[start],
                label,
                Term(tag.end, tag.cost, (("tag", tag.number), ("tagged", True))),
            )
        if may_start(lattice, start):
            _numbers(lattice, start, grammar.units, ranged, found[start])
    for place in found:
        for label, listed in place.items():
            if any(t.end > size for t in listed):
                place[label] = [t for t in listed if t.end <= size]
    for start in range(size):
        _joined_places(lattice, grammar.lists, found, start)
    stops = [end for end in range(1, size) if lattice.tokens[end].stop]
    for start in range(size):
        _colours(lattice, grammar.lists, found, start)
        _special(found[start])
        first = bisect_right(stops, start)
        _text(found[start], start, [*stops[first : first + SENTENCES], size])
    return found


def _joined_places(lattice: Lattice, lists: Lists, found: Terms, start: int) -> None:
    """Read "short corner and shotgun" as both, where one act takes them together."""
    for one in found[start].get("{position}", ()):
        for join, at, cost in lattice.edges[one.end] if one.end < lattice.size else ():
            if join not in lists["both"] or at >= lattice.size:
                continue
            ways = [
                (at, cost),
                *((e, cost + c) for w, e, c in lattice.edges[at] if w in lists["before_second"]),
            ]
            for second, spent in ways:
                for other in found[second].get("{position}", ()) if second < lattice.size else ():
                    names = (one.slots[0][1], other.slots[0][1])
                    if names[0] == names[1]:
                        continue
                    cost_both = one.cost + spent + other.cost + TOGETHER_COST
                    keep(
                        found[start],
                        "{both}",
                        Term(other.end, cost_both, (("positions", names),)),
                    )


def keep(place: dict[str, list[Term]], label: str, term: Term) -> None:
    """Keep a term unless a cheaper one with the same end and meaning is there."""
    listed = place.setdefault(label, [])
    for n, other in enumerate(listed):
        if other.end == term.end and other.slots == term.slots:
            if term.cost < other.cost:
                listed[n] = term
            return
    listed.append(term)


def _vocabulary(
    lattice: Lattice, grammar: Grammar, start: int, place: dict[str, list[Term]]
) -> None:
    automaton, size = grammar.terms, len(lattice.tokens)
    stack = [(automaton.start, start, 0.0)]
    while stack:
        state, node, cost = stack.pop()
        ways = automaton.open(state)
        for word, end, extra in lattice.edges[node]:
            if word not in ways:
                continue
            step = automaton.into(ways, word)
            stack.append((step, end, cost + extra))
            if end > size:
                continue
            for kind, meaning in step.accepts:
                if kind == "side" and is_no_side(lattice, end, grammar.lists):
                    continue  # "right, shotgun's away": no side
                keep(place, f"{{{kind}}}", Term(end, cost + extra, _meaning(kind, meaning)))


def _meaning(kind: str, meaning: str) -> Slots:
    if kind == "both":
        return (("positions", tuple(p.strip() for p in meaning.split(","))),)
    if kind == "tackle" and meaning.isdigit():
        return (("tackle", float(meaning)),)
    if kind == "name":
        return (("lure", meaning),)
    return ((kind, meaning),)


def _numbers(
    lattice: Lattice, start: int, units: Units, ranged: frozenset[str], place: dict[str, list[Term]]
) -> None:
    found = numbers_at(lattice, start)
    for number in found:
        _bare(place, number)
        _with_units(lattice, number, units, place)
    typed = lattice.tokens[start].text
    if "." in typed and (tenths := _celsius(_decimal(typed), "")) is not None and tenths >= 10:
        keep(place, "{tenths}", Term(start + 1, TENTHS_COST, (("water_c", tenths),)))
    for number in found:
        whole = number.value == int(number.value)
        if not whole and (spoken := _celsius(number.value, "")) is not None and spoken >= 10:
            spent = number.cost + TENTHS_COST
            keep(place, "{tenths}", Term(number.end, spent, (("water_c", spoken),)))
    for number in tens_and_tenths(lattice, start):
        _degrees(lattice, number, units["water_c"], place)
        celsius = _celsius(number.value, "")
        if celsius is not None:
            slots: Slots = (("water_c", celsius),)
            keep(place, "{degreesbare}", Term(number.end, number.cost + 0.05, slots))
            keep(place, "{tenths}", Term(number.end, number.cost + 0.1, slots))
    _feet_and_inches(lattice, found, units, place)
    _metre_and_centimetres(lattice, found, units, place)
    _ago(lattice, start, found, place)
    for clock in clocks_at(lattice, start, ranged):
        slots = (("clock", clock.clock),)
        if clock.hour:
            keep(place, "{hour}", Term(clock.end, clock.cost + HOUR_COST, slots))
            continue
        keep(place, "{clock}", Term(clock.end, clock.cost, slots))
        if clock.sure:
            keep(place, "{sureclock}", Term(clock.end, clock.cost, slots))
        elif len(typed) == 4 and typed.isdigit() and clock.end == start + 1:
            keep(place, "{sureclock}", Term(clock.end, clock.cost + 0.25, slots))


def _decimal(text: str) -> float:
    """Return the value of a typed decimal, or one that is no temperature."""
    try:
        return float(text)
    except ValueError:
        return -99.0


def _bare(place: dict[str, list[Term]], number: Number) -> None:
    value, end, cost = number.value, number.end, number.cost
    keep(place, "{number}", Term(end, cost, (("number", value),)))
    keep(place, "{bare}", Term(end, cost + 0.2, (("number", value),)))
    if 2 <= value <= 24 and (value * 4) == int(value * 4):
        keep(place, "{size}", Term(end, cost, (("size_in", value),)))
    if 1 <= value <= 40 and value == int(value):
        keep(place, "{count}", Term(end, cost, (("count", int(value)),)))
    if 1 < value <= 25:
        keep(place, "{knotsbare}", Term(end, cost + 0.02, (("speed_kn", value),)))
    celsius = _celsius(value, "")
    if celsius is not None:
        keep(place, "{degreesbare}", Term(end, cost + 0.02, (("water_c", celsius),)))


def _with_units(
    lattice: Lattice, number: Number, units: Units, place: dict[str, list[Term]]
) -> None:
    value = number.value
    for word, end, extra in lattice.edges[number.end]:
        if end > lattice.size:
            continue
        cost = number.cost + extra
        if word in units["size_in"] and 2 <= value <= 300:
            keep(place, "{inches}", Term(end, cost, (("size_in", value),)))
        if (cm := factor(units, word, ("length_cm",))) is not None:
            keep(place, "{length}", Term(end, cost, (("length_cm", round(value * cm, 1)),)))
        m = factor(units, word, ("depth_m",))
        if m is not None and value * m >= SHALLOWEST_M:
            keep(place, "{depth}", Term(end, cost, (("depth_m", round(value * m, 1)),)))
        if (kg := factor(units, word, ("weight_kg",))) is not None:
            keep(place, "{weight}", Term(end, cost, (("weight_kg", round(value * kg, 1)),)))
            _and_ounces(lattice, end, value * kg, cost, units, place)
        if word in units["speed_kn"] and value <= 40:
            keep(place, "{knots}", Term(end, cost, (("speed_kn", value),)))
            keep(place, "{knotsbare}", Term(end, cost, (("speed_kn", value),)))
        _tackle(place, units["gear"].get(word), value, Term(end, cost, ()))
    _degrees(lattice, number, units["water_c"], place)


def _and_ounces(
    lattice: Lattice, at: int, kg: float, spent: float, units: Units, place: dict[str, list[Term]]
) -> None:
    """Put the weight with a smaller unit behind it: "25 lb 6 oz", "two kilos four hundred grams"."""
    for rest in numbers_at(lattice, at) if at < lattice.size else ():
        for word, end, extra in lattice.edges[rest.end]:
            small = factor(units, word, BEHIND)
            if small is None or end > lattice.size or not 0 < rest.value * small < kg:
                continue
            total = round(kg + rest.value * small, 1)
            term = Term(end, spent + rest.cost + extra, (("weight_kg", total),))
            keep(place, "{weight}", term)


def _tackle(place: dict[str, list[Term]], unit: str | None, value: float, term: Term) -> None:
    line_class = None
    if unit == "kilo":
        line_class = value
    elif unit == "pound":
        label = class_of_label(value)
        line_class = label.kg if label else None
    if line_class is not None:
        keep(place, "{tackle}", term._replace(slots=(("tackle", float(line_class)),)))


def _degrees(
    lattice: Lattice, number: Number, units: Mapping[str, str], place: dict[str, list[Term]]
) -> None:
    spots = [(number.end, number.cost, False)]
    for word, end, extra in lattice.edges[number.end]:
        if units.get(word) == "degree":
            spots.append((end, number.cost + extra, True))
    for at, cost, marked in spots:
        if marked and at <= lattice.size:
            _put_degrees(place, number.value, "", at, cost)
        for word, end, extra in lattice.edges[at]:
            unit = units.get(word)
            if unit in ("celsius", "fahrenheit") and end <= lattice.size:
                _put_degrees(place, number.value, unit, end, cost + extra)


def _put_degrees(
    place: dict[str, list[Term]], value: float, unit: str, end: int, cost: float
) -> None:
    celsius = _celsius(value, unit)
    if celsius is not None:
        for label in ("{degrees}", "{degreesbare}"):
            keep(place, label, Term(end, cost, (("water_c", celsius),)))


def _celsius(value: float, unit: str) -> float | None:
    if unit == "fahrenheit" or (not unit and 45 < value <= 105):
        return round(celsius_of(value), 1)
    return round(value, 1) if -2 <= value <= 45 else None


def _feet_and_inches(
    lattice: Lattice, found: list[Number], units: Units, place: dict[str, list[Term]]
) -> None:
    """Read "six foot two", "five feet four inches" and 5'4" as a length."""
    for feet in found:
        for word, end, extra in lattice.edges[feet.end]:
            if units["length_cm"].get(word) != "foot" or feet.value > 30:
                continue
            for inches in numbers_at(lattice, end):
                if inches.value >= INCHES_PER_FOOT:
                    continue
                cm = round(feet.value * CM_PER_FOOT + inches.value * CM_PER_INCH, 1)
                cost = feet.cost + extra + inches.cost
                keep(place, "{length}", Term(inches.end, cost, (("length_cm", cm),)))
                for unit, last, more in lattice.edges[inches.end]:
                    if unit in units["size_in"] and last <= lattice.size:
                        keep(place, "{length}", Term(last, cost + more, (("length_cm", cm),)))


def _metre_and_centimetres(
    lattice: Lattice, found: list[Number], units: Units, place: dict[str, list[Term]]
) -> None:
    """Read "one metre ten" as 110 cm."""
    for metres in found:
        for word, end, extra in lattice.edges[metres.end]:
            if units["length_cm"].get(word) != "metre" or not 1 <= metres.value <= 9:
                continue
            for rest in numbers_at(lattice, end):
                if 5 <= rest.value < 100:
                    cm = metres.value * CM_PER_M + rest.value
                    cost = metres.cost + extra + rest.cost
                    keep(place, "{length}", Term(rest.end, cost, (("length_cm", cm),)))


def _times(lattice: Lattice, start: int, place: dict[str, list[Term]]) -> None:
    for word, end, cost in lattice.edges[start]:
        if end > lattice.size:
            continue
        if word.startswith("x") and word[1:].isdigit() and 1 < int(word[1:]) < 100:
            keep(place, "{times}", Term(end, cost, (("count", int(word[1:])),)))
        if word in TOGETHER:
            keep(place, "{pair}", Term(end, cost, (("count", TOGETHER[word]),)))


def _ago(lattice: Lattice, start: int, found: list[Number], place: dict[str, list[Term]]) -> None:
    for minutes, end, cost in ago_at(lattice, start, found):
        keep(place, "{ago}", Term(end, cost, (("ago_min", minutes),) if minutes else ()))


def _colours(lattice: Lattice, lists: Lists, found: Terms, start: int) -> None:
    """Join colours said together, in the order said, whatever joins them."""
    stack: list[tuple[int, float, tuple[str, ...]]]
    stack = [(t.end, t.cost, (t.slots[0][1],)) for t in found[start].get("{colour}", ())]
    while stack:
        end, cost, colours = stack.pop()
        keep(found[start], "{colours}", Term(end, cost, (("colours", colours),)))
        if len(colours) >= 4 or end >= lattice.size:
            continue
        spots = [(end, 0.0, "")]
        spots += [
            (stop, extra, word)
            for word, stop, extra in lattice.edges[end]
            if word in lists["colours_joined"] and stop < lattice.size
        ]
        for at, extra, join in spots:
            for more in found[at].get("{colour}", ()):
                spent, colour = cost + extra + more.cost, more.slots[0][1]
                if colour not in colours:
                    stack.append((more.end, spent, (*colours, colour)))
                elif colour == colours[-1] and join in lists["colour_again"]:
                    stack.append((more.end, spent, colours))  # "blue over blue" is blue


def _special(place: dict[str, list[Term]]) -> None:
    for term in place.get("{colour}", ()):
        if term.slots[0][1] in ("blue", "black"):
            fish = f"{term.slots[0][1]} marlin"
            keep(place, "{colourfish}", Term(term.end, term.cost + 0.15, (("species", fish),)))
    for term in list(place.get("{what}", ())):
        if term.slots[0][1] in _WATER_WHATS:
            keep(place, "{waterwhat}", term)
        if term.slots[0][1] == "boat":
            keep(place, "{boatword}", Term(term.end, term.cost, ()))
    if "{what}" in place:
        place["{what}"] = [t for t in place["{what}"] if t.slots[0][1] != "boat"]


def _text(place: dict[str, list[Term]], start: int, ends: Sequence[int]) -> None:
    """Offer the rest of the line, or of the sentence, as free text."""
    spans: list[tuple[int, Slots]] = [(e, (("text", (start, e)),)) for e in ends]
    place["{text}"] = [Term(e, 0.15 + 0.18 * (e - start), s) for e, s in spans]
    place["{worktext}"] = [Term(e, 0.1 + 0.1 * (e - start), s) for e, s in spans]
    last, slots = spans[-1]
    place["{alltext}"] = [Term(last, 0.02 * (last - start), slots)]


def is_no_side(lattice: Lattice, end: int, lists: Mapping[str, frozenset[str]]) -> bool:
    """Return whether a word that could be a side is none.

    "Right" as the first word or between words like "okay" only opens a line; before "behind" or "there" it
    means just so; and "left" after "we" is a verb.
    """
    texts = [t.text for t in lattice.tokens[: end + 1]]
    if end > lattice.size or not texts:
        return False
    word, before = texts[end - 1], texts[end - 2] if end > 1 else ""
    if word in lists["left"] and before in lists["who_left"]:
        return True
    if end < lattice.size and word in lists["right"] and texts[end] in lists["right_so"]:
        return before not in lists["sided"] and not lattice.tokens[end].stop
    if word not in lists["right"] or not lists["openers"].issuperset(texts[: end - 1]):
        return False
    return (
        end == 1 or texts[end:] == [] or texts[end] in lists["openers"] or lattice.tokens[end].stop
    )
