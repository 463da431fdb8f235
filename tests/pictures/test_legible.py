"""Pictures in the sun, without colour, and to people who see colours otherwise.

Contrast: W3C, WCAG 2.2, success criteria 1.4.6 (text, 7 to 1; large text, 4.5 to 1) and 1.4.11 (what is
drawn, 3 to 1). Other eyes: Machado, Oliveira and Fernandes 2009, "A Physiologically-based Model for
Simulation of Color Vision Deficiency" (IEEE TVCG 15, 1291-1298), by the library colorspacious (CAM02-UCS).
"""

from collections.abc import Callable, Mapping
from itertools import combinations

import pytest
from colorspacious import cspace_convert, deltaE
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from bot.pictures import tally_view, track_view
from bot.pictures.canvas import BITE, CREST, INK, PAINTS, PAPER, SEA
from bot.pictures.conversion_view import ShownConversion, ShownShare, conversion_picture
from bot.pictures.tally_view import BAND, ShownHour, ShownRate, day_picture, rates_picture
from bot.pictures.track_view import ShownSpot, track_picture

EYES: Mapping[str, Callable[[str], tuple[float, float, float]]] = {
    "as most see": to_rgb,
    "without red cones": lambda colour: seen(colour, "protanomaly"),
    "without green cones": lambda colour: seen(colour, "deuteranomaly"),
    "without blue cones": lambda colour: seen(colour, "tritanomaly"),
    "in grey": lambda colour: (grey(to_rgb(colour)),) * 3,
}
PAIRS = (
    (BITE, PAPER, 4.5), (BITE, SEA, 3.0), (BITE, BAND, 3.0), (INK, PAPER, 7.0), (INK, SEA, 7.0),
    (INK, BAND, 7.0), (CREST, PAPER, 4.5), (CREST, SEA, 4.5), (CREST, BAND, 3.0),
)  # fmt: skip
"""What is drawn on what, and the contrast that it needs."""


def linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def luminance(colour: tuple[float, float, float]) -> float:
    red, green, blue = map(linear, colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def grey(colour: tuple[float, float, float]) -> float:
    light = luminance(colour)
    return 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055


def contrast(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def seen(colour: str, kind: str) -> tuple[float, float, float]:
    """Return a colour as somebody without one kind of cones sees it."""
    space = {"name": "sRGB1+CVD", "cvd_type": kind, "severity": 100}
    red, green, blue = cspace_convert(to_rgb(colour), space, "sRGB1").clip(0, 1)
    return float(red), float(green), float(blue)


def drawn(monkeypatch: pytest.MonkeyPatch, module: object, draw: Callable[[], bytes]) -> Axes:
    sheets: list[Figure] = []

    def kept(figure: Figure, _: str) -> bytes:
        sheets.append(figure)
        return b""

    monkeypatch.setattr(module, "encode", kept)
    draw()
    return sheets[-1].axes[0]


def test_the_formula_gives_the_contrasts_that_the_standard_names() -> None:
    # WCAG 2.2: from 1 to 21, black on white; #767676 is the lightest grey with 4.5 on white (known example)
    assert contrast(to_rgb("#000000"), to_rgb("#ffffff")) == pytest.approx(21)
    assert contrast(to_rgb("#767676"), to_rgb("#ffffff")) == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("eyes", EYES)
def test_what_is_drawn_stands_out_from_what_it_is_drawn_on(eyes: str) -> None:
    for mark, ground, least in PAIRS:
        found = contrast(EYES[eyes](mark), EYES[eyes](ground))
        # the standard is about colours as they are; to other eyes what is drawn has 3 to 1 all the same
        assert found >= (least if eyes == "as most see" else 3.0), (mark, ground, found)


@pytest.mark.parametrize("eyes", EYES)
def test_hollow_and_filled_are_told_apart_by_all_eyes(eyes: str) -> None:
    look = EYES[eyes]

    assert contrast(look(BITE), look(PAPER)) >= 4.5
    assert deltaE(look(BITE), look(PAPER), input_space="sRGB1") > 30


@pytest.mark.parametrize("eyes", EYES)
def test_two_paints_that_look_alike_to_some_have_other_patterns(eyes: str) -> None:
    alike = 0
    for (one, a), (other, b) in combinations(PAINTS.items(), 2):
        if deltaE(EYES[eyes](a.fill), EYES[eyes](b.fill), input_space="sRGB1") < 20:
            alike += 1
            assert a.pattern != b.pattern, (one, other)
    assert alike  # so that the check is one


def test_a_pattern_stands_out_from_its_paint() -> None:
    for name, paint in PAINTS.items():
        if paint.pattern and name != "clear":  # clear is to be faint; its word stands beside
            assert contrast(to_rgb(paint.line), to_rgb(paint.fill)) >= 3.0, name


def test_sure_and_unsure_rates_differ_in_more_than_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = (ShownRate("purple", 9, 14, 6, 3, 12), ShownRate("black", 2, 9, 2, 0.3, 8))

    lines = drawn(monkeypatch, tally_view, lambda: rates_picture(rows, title="Strikes")).get_lines()

    bars = [line for line in lines if line.get_marker() == "None" and line.get_linewidth() > 2]
    dots = [line for line in lines if line.get_marker() == "o"]
    assert bars[0].get_linewidth() >= 1.5 * bars[1].get_linewidth()
    assert [dot.get_markerfacecolor() for dot in dots] == [BITE, PAPER]


def test_a_fish_on_and_one_that_was_missed_differ_in_filling(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hour = (ShownHour("09:00", 5.0, 3, 2, 1),)

    lines = drawn(monkeypatch, tally_view, lambda: day_picture(hour, title="Strikes")).get_lines()

    stars = [line.get_markerfacecolor() for line in lines if line.get_marker() == "*"]
    assert stars == [BITE, BITE, PAPER]


def test_hooked_and_landed_differ_in_shape(monkeypatch: pytest.MonkeyPatch) -> None:
    from bot.pictures import conversion_view

    share = ShownShare(3, 6, 0.2, 0.8)
    row = (ShownConversion("all", share, share, 6),)

    axes = drawn(monkeypatch, conversion_view, lambda: conversion_picture(row, title="Hooked"))

    assert {line.get_marker() for line in axes.get_lines()} >= {"o", "s"}


def test_fish_and_marks_first_and_last_place_differ_in_shape(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    spots = (ShownSpot(-35, 174), ShownSpot(-35.1, 174, 1, True), ShownSpot(-35.2, 174.2, 2),
             ShownSpot(-35.3, 174.4))  # fmt: skip

    axes = drawn(monkeypatch, track_view, lambda: track_picture(spots))

    frames = [text.get_bbox_patch() for text in axes.texts if text.get_text() in ("1", "2")]
    shapes = [type(frame.get_boxstyle()).__name__ for frame in frames if frame is not None]
    markers = [line.get_marker() for line in axes.get_lines() if line.get_marker() != "None"]
    assert shapes == ["Round", "Square"]
    assert len(set(markers)) == len(markers) == 2
