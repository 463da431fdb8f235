"""Numbers with their units as lists for hassil: every form in which they are said, with its value."""

from collections.abc import Iterable, Iterator
from typing import Final

from num2words import num2words

from bot.tackle.line_classes import class_of_label

Pairs = Iterator[tuple[str, float | str]]

_POUND_KG: Final = 0.45359237
_UNITS: Final = {
    "weight": (("pound pounds lb lbs pounder", _POUND_KG), ("kilo kilos kg kgs", 1.0)),
    "length": (
        ("foot feet ft", 30.48), ("inch inches in", 2.54), ("metre metres", 100.0),
        ("cm centimetre centimetres", 1.0),
    ),
    "depth": (("fathom fathoms", 1.8288), ("foot feet ft", 0.3048), ("metre metres m", 1.0)),
}  # fmt: skip
_LARGEST: Final = {"weight": 1000, "length": 300, "depth": 1000}
_SPOKEN_AGO: Final = {
    "half an hour": 30, "an hour": 60, "an hour and a half": 90, "a quarter of an hour": 15,
    "a couple of minutes": 2, "couple of minutes": 2, "a minute": 1, "a few minutes": 0,
    "three quarters of an hour": 45, "two hours": 120,
}  # fmt: skip


def number_lists() -> Iterator[tuple[str, Pairs]]:
    """Yield each list: its name, and (as said, value)."""
    yield "size", _sizes()
    for name, units in _UNITS.items():
        yield name, _measures(_LARGEST[name], units)
    yield "degrees", ((f"{said} {unit}", _celsius(n, unit)) for n, said in _degrees() for unit in (
        "degrees", "degrees c", "degrees celsius", "celsius", "c", "degrees f", "f",
        "degrees fahrenheit", "fahrenheit",
    ))  # fmt: skip
    yield "degreesbare", ((said, _celsius(n, "")) for n, said in _degrees())
    yield "knots", ((f"{said} {unit}", n) for n, said in _speeds() for unit in (
        "knots", "knot", "kts", "kn", "kt",
    ))  # fmt: skip
    yield "knotsbare", ((said, n) for n, said in _speeds())
    yield "ago", _ago()
    yield "clock", _clocks()
    yield "sureclock", ((said, face) for face in _faces() for said in _typed(face))
    yield "half", ((said, half) for half, forms in _HALVES.items() for said in forms)
    yield "count", ((said, n) for n in range(1, 21) for said in _whole(n))
    yield "number", ((said, n) for n in range(1, 60) for said in _whole(n))
    yield "pair", ((w, 2) for w in ("pair", "double", "couple"))
    yield "times", ((f"x{n}", n) for n in range(2, 21))


_HALVES: Final = {
    "am": ("am", "a m", "in the morning", "this morning"),
    "pm": ("pm", "p m", "in the afternoon", "this afternoon", "in the evening", "tonight"),
}


def _whole(n: int) -> Iterable[str]:
    words = num2words(n).replace("-", " ").replace(",", "")
    return dict.fromkeys((str(n), words, words.replace(" and ", " ")))


def _with_parts(start: int, stop: int, tenths: bool) -> Iterator[tuple[float, str]]:
    """Yield numbers with halves or tenths in the ways they are said."""
    for n in range(start, stop + 1):
        for said in _whole(n):
            yield float(n), said
        words = num2words(n).replace("-", " ")
        yield n + 0.5, f"{words} and a half"
        yield n + 0.5, f"{n} and a half"
        for tenth in range(1, 10) if tenths else (5,):
            value = round(n + tenth / 10, 1)
            yield value, f"{value:g}"
            yield value, f"{words} point {num2words(tenth)}"
            yield value, f"{words} decimal {num2words(tenth)}"


def _sizes() -> Pairs:
    for n, said in _with_parts(2, 24, tenths=False):
        yield said, n
    for n in range(2, 25):
        yield f"{num2words(n).replace('-', ' ')} and a quarter", n + 0.25
        yield f"{num2words(n).replace('-', ' ')} and three quarters", n + 0.75


def _measures(largest: int, units: tuple[tuple[str, float], ...]) -> Pairs:
    for n in range(1, largest + 1):
        forms = list(_whole(n))
        if 100 < n < 1000 and n % 100 >= 10:
            short = f"{num2words(n // 100)} {num2words(n % 100)}".replace("-", " ")
            forms.append(short)  # "two twenty"
        for names, factor in units:
            for unit in names.split():
                for said in forms:
                    yield f"{said} {unit}", round(n * factor, 1)
                if n <= 30:
                    yield f"{forms[1]} and a half {unit}", round((n + 0.5) * factor, 1)
                    yield f"{n + 0.5:g} {unit}", round((n + 0.5) * factor, 1)


def _degrees() -> Iterator[tuple[float, str]]:
    yield from _with_parts(0, 105, tenths=True)
    for n in range(11, 40):
        for tenth in range(1, 10):
            if n % 10:
                yield n + tenth / 10, f"{num2words(n)} {num2words(tenth)}".replace("-", " ")


def _celsius(n: float, unit: str) -> float:
    hot = unit.endswith(("f", "fahrenheit")) or (not unit.endswith(("c", "celsius")) and n > 45)
    return round((n - 32) / 1.8, 1) if hot else round(n, 1)


def _speeds() -> Iterator[tuple[float, str]]:
    return _with_parts(1, 25, tenths=True)


def _ago() -> Pairs:
    for n in range(1, 121):
        for said in _whole(n):
            yield f"{said} minutes", n
            yield f"{said} minute", n
    for said, minutes in _SPOKEN_AGO.items():
        yield said, minutes


def _faces() -> Iterator[str]:
    return (f"{h:02d}:{m:02d}" for h in range(24) for m in range(60))


def _typed(face: str) -> Iterable[str]:
    return dict.fromkeys((face, face.removeprefix("0"), face.replace(":", "")))


def _clocks() -> Pairs:
    for h in range(24):
        hour = num2words(h).replace("-", " ")
        yield hour, f"{h:02d}:00"
        yield str(h), f"{h:02d}:00"
        yield f"{hour} o clock", f"{h:02d}:00"
        for past, minute in (("quarter past", 15), ("half past", 30)):
            yield f"{past} {hour}", f"{h:02d}:{minute}"
        yield f"quarter to {hour}", f"{(h - 1) % 24:02d}:45"
        for m in range(60):
            face = f"{h:02d}:{m:02d}"
            yield f"{h}:{m:02d}", face
            yield f"{h:02d}{m:02d}", face
            said = num2words(m).replace("-", " ")
            yield f"{hour} {said if m > 9 else 'oh ' + said}", face
            if 0 < m < 30:
                yield f"{said} past {hour}", face
                yield f"{said} to {hour}", f"{(h - 1) % 24:02d}:{60 - m:02d}"
    yield from (("noon", "12:00"), ("midday", "12:00"))


def tackle_classes() -> Pairs:
    """Yield line classes: a label in pounds is its class, kilograms are themselves."""
    for n in range(2, 151):
        label = class_of_label(n)
        for said in _whole(n):
            if label is not None:
                yield from ((f"{said} {unit}", float(label.kg)) for unit in ("pound", "lb"))
            yield from ((f"{said} {unit}", float(n)) for unit in ("kilo", "kg"))
