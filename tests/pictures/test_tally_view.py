"""Pictures of tallies and of the next change: what is drawn, and that words stay on the sheet and apart."""

from collections.abc import Callable
from itertools import combinations

import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox
from statsmodels.stats.proportion import proportion_confint

from bot.advice.rates import chances
from bot.answers.drawing import tally_pictures
from bot.pictures import advice_view, conversion_view, tally_view
from bot.pictures.canvas import BITE, DPI, PAPER, WIDTH_IN
from bot.pictures.conversion_view import ShownConversion, ShownShare, conversion_picture
from bot.pictures.shown import (
    MOST_RATES,
    shown_contrast,
    shown_conversions,
    shown_hours,
    shown_rates,
)
from bot.pictures.tally_view import ShownHour, ShownRate, day_picture, rates_picture, scale_end
from bot.tackle.items import Lure
from bot.trip.tally import Tally, TallyRow, TallySums, tally
from tests.builders import DAY, at, day_of, trip
from tests.reports.days import day_view

RATES = (
    ShownRate("purple", 9, 14.2, 6.3, 2.9, 12.0, ("purple",)),
    ShownRate("black", 2, 9.0, 2.2, 0.3, 8.0, ("black",)),
    ShownRate("chartreuse, short corner", 0, 0.6, 0.0, 0.0, 61.5, ("chartreuse",)),
    ShownRate("unknown", 1, 0.0, None),
)
HOURS = tuple(
    ShownHour(f"{hour:02d}:00", 5.0 - hour % 3, strikes, min(strikes, 2), strikes // 3)
    for hour, strikes in zip(range(6, 18), (0, 1, 2, 9, 0, 30, 3, 1, 0, 0, 4, 2), strict=True)
)
SPREAD = trip(
    *day_of(["07:00 lines_in", "07:00 set | shotgun | purple 8", "07:30 strike | shotgun",
             "09:10 strike | shotgun", "10:00 lines_out"])
)  # fmt: skip


def drawn(monkeypatch: pytest.MonkeyPatch, module: object, draw: Callable[[], bytes]) -> Figure:
    """Return the sheet on which a picture was drawn."""
    sheets: list[Figure] = []
    real = module.encode  # type: ignore[attr-defined]

    def kept(figure: Figure, form: str) -> bytes:
        sheets.append(figure)
        found: bytes = real(figure, form)
        return found

    monkeypatch.setattr(module, "encode", kept)
    assert draw()
    return sheets[0]


def boxes(figure: Figure) -> list[tuple[str, Bbox]]:
    # tick labels are matplotlib's own business
    texts = [t for t in figure.findobj(Text) if isinstance(t, Text) and t.get_text().strip()]
    ticks = {label for axes in figure.axes for label in axes.get_xticklabels()}
    return [(t.get_text(), t.get_window_extent()) for t in texts if t not in ticks]


def assert_apart_and_on_the_sheet(figure: Figure) -> None:
    found = boxes(figure)
    wide, tall = figure.get_figwidth() * figure.dpi, figure.get_figheight() * figure.dpi
    for text, box in found:
        assert -1 <= box.x0 <= box.x1 <= wide + 1, text
        assert -1 <= box.y0 <= box.y1 <= tall + 1, text
    for (one, mine), (other, theirs) in combinations(found, 2):
        over = Bbox.intersection(mine, theirs)
        assert over is None or min(over.width, over.height) < 2, f"{one!r} is over {other!r}"


def test_rates_stand_apart_on_a_sheet_as_wide_as_a_phone(monkeypatch: pytest.MonkeyPatch) -> None:
    figure = drawn(
        monkeypatch,
        tally_view,
        lambda: rates_picture(RATES, title="Strikes by colour", overall=3.1),
    )

    assert figure.get_figwidth() * DPI == WIDTH_IN * DPI == 1080
    assert_apart_and_on_the_sheet(figure)


def test_hours_stand_apart_however_many_strikes(monkeypatch: pytest.MonkeyPatch) -> None:
    below = "This season, since 20 February, 24 trips, purple, short rigger and long rigger"
    figure = drawn(
        monkeypatch, tally_view, lambda: day_picture(HOURS, title="Strikes by hour", below=below)
    )

    assert_apart_and_on_the_sheet(figure)


@pytest.mark.parametrize(
    ("chance", "many", "of"), [(0.734, 7, 10), (0.96, 19, 20), (0.999, 99, 100)]
)
def test_the_next_change_shows_as_many_filled_squares_as_the_chances_that_are_said(
    monkeypatch: pytest.MonkeyPatch, chance: float, many: int, of: int
) -> None:
    figure = drawn(
        monkeypatch,
        advice_view,
        lambda: advice_view.advice_picture(
            lure="A Lure of Some Length, 12 in", position="short corner", chance=chance,
            gain_per_h=0.21, reason="Purple: 9 strikes in 14.2 lure-hours, black: 2 in 9.0. " * 2,
            out="Another Lure of No Little Length", rates=RATES, stamp="Driftwood, 09:40",
        ),
    )  # fmt: skip

    squares = figure.axes[0].patches
    assert len([one for one in squares if one.get_facecolor()[:3] != (1, 1, 1)]) == many
    assert len(squares) == of
    assert chances(chance) == f"{many} chances in {of}"
    assert f"{many} of {of}" in [text for text, _ in boxes(figure)]
    assert_apart_and_on_the_sheet(figure)


def test_few_strikes_are_drawn_hollow(monkeypatch: pytest.MonkeyPatch) -> None:
    figure = drawn(monkeypatch, tally_view, lambda: rates_picture(RATES, title="Strikes"))

    dots = [line for line in figure.axes[0].get_lines() if line.get_marker() == "o"]
    assert [dot.get_markerfacecolor() for dot in dots] == [
        BITE, PAPER, PAPER,
    ]  # fmt: skip


def test_the_same_tally_gives_the_same_bytes_in_both_forms() -> None:
    for form in ("png", "svg"):
        one = rates_picture(RATES, title="Strikes", form=form)
        assert one == rates_picture(RATES, title="Strikes", form=form)


def test_a_lure_bitten_in_its_first_minute_stretches_no_scale_and_is_given_no_rate(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    first = ShownRate("shotgun", 1, 1 / 60, 600.0, 15.2, 3343.0)
    early = ShownRate("long rigger", 1, 0.6, 16.7, 0.4, 92.9)
    figure = drawn(
        monkeypatch, tally_view, lambda: rates_picture((first, *RATES, early), title="Strikes", overall=2.0)
    )  # fmt: skip
    axes = figure.axes[0]

    texts = [text.get_text() for text in axes.texts]
    dots = [line for line in axes.get_lines() if line.get_marker() == "o"]
    assert scale_end((first,), None) == 1.0
    assert axes.get_xlim()[1] < 15
    assert "too little time to give a rate" in texts
    assert "1 strike, 1 min" in texts
    assert "17" in texts  # beyond the edge: the number beside the arrow
    assert len(dots) == 3  # purple, black, chartreuse
    assert_apart_and_on_the_sheet(figure)


def test_an_interval_that_goes_on_has_a_mark_at_the_edge(monkeypatch: pytest.MonkeyPatch) -> None:
    figure = drawn(monkeypatch, tally_view, lambda: rates_picture(RATES, title="Strikes"))
    axes = figure.axes[0]

    edge = axes.get_xlim()[1] / 1.02
    arrows = [line for line in axes.get_lines() if line.get_marker() == ">"]
    assert [float(arrow.get_xdata()[0]) for arrow in arrows] == pytest.approx([edge] * len(arrows))  # type: ignore[index,arg-type]
    assert len(arrows) == sum(row.rate is not None and row.high > edge for row in RATES) > 0


def test_hours_without_lines_in_are_left_out_with_a_word() -> None:
    day = trip(
        *day_of(["07:00 set | shotgun | purple 8", "07:00 lines_in", "07:40 lines_out",
                 "10:00 lines_in", "10:30 strike | shotgun", "11:00 lines_out"])
    )  # fmt: skip
    hours = shown_hours(tally((day,), "hour", at("12:00")))

    assert [hour.label for hour in hours] == ["07:00", "10:00"]
    with pytest.MonkeyPatch.context() as patched:
        figure = drawn(patched, tally_view, lambda: day_picture(hours, title="Strikes by hour"))
    assert "no lines in the water" in [text.get_text() for text in figure.axes[0].texts]
    assert_apart_and_on_the_sheet(figure)


def test_every_strike_of_an_hour_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    figure = drawn(monkeypatch, tally_view, lambda: day_picture(HOURS, title="Strikes by hour"))

    stars = sum(line.get_marker() == "*" for line in figure.axes[0].get_lines())
    told = [text.get_text() for text in figure.axes[0].texts if " strikes, " in text.get_text()]
    assert told == ["30 strikes, 2 on"]
    assert stars + 30 == sum(hour.strikes for hour in HOURS)


def test_months_begin_with_the_season_and_hours_with_the_evening() -> None:
    months = ("January", "February", "October", "December")
    season = TallySums("month", "none", {(month, ""): [1] * 6 for month in months})
    night = TallySums("hour", "none", {(f"{h:02d}:00", ""): [1] * 6 for h in (0, 1, 2, 21, 22, 23)})
    day = TallySums("hour", "none", {(f"{h:02d}:00", ""): [1] * 6 for h in (6, 20)})

    assert [row.key for row in season.tally("October").rows] == [
        "October", "December", "January", "February",
    ]  # fmt: skip
    assert [row.key[:2] for row in night.tally().rows] == ["21", "22", "23", "00", "01", "02"]
    assert [row.key[:2] for row in day.tally().rows] == ["06", "20"]


def test_conversions_have_wilsons_interval_and_say_nothing_of_what_is_known_of_fish_on() -> None:
    # reference: statsmodels, proportion_confint(method="wilson")
    rows = (TallyRow("wahoo", strikes=6, hookups=6, caught=4, events_on=6, lost=2),)
    total = TallyRow("total", strikes=14, hookups=6, caught=4, events_on=6, lost=2)

    (of_marlin, of_all) = shown_conversions(Tally("species", rows, total))
    (by_lure, _) = shown_conversions(Tally("lure", rows, total))

    assert of_marlin.hooked is None
    assert of_all.hooked is not None
    assert by_lure.hooked is not None
    assert (of_all.hooked.some, of_all.hooked.of) == (6, 14)
    assert (of_all.hooked.low, of_all.hooked.high) == pytest.approx(
        proportion_confint(6, 14, method="wilson"), abs=1e-6
    )
    assert of_marlin.landed is not None
    assert (of_marlin.landed.some, of_marlin.landed.of) == (4, 6)


def test_conversions_stand_apart_on_the_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = tuple(
        ShownConversion(f"chartreuse, the {n}th longest rigger of them all",
                        ShownShare(n, 7, 0.1, 0.9), ShownShare(0, 0, 0, 1), 7, ("chartreuse",))
        for n in range(5)
    )  # fmt: skip
    figure = drawn(
        monkeypatch, conversion_view, lambda: conversion_picture(rows, title="Hooked", stamp="A, 09:40")
    )  # fmt: skip

    assert_apart_and_on_the_sheet(figure)


def test_hours_without_a_word_between_are_shown_empty() -> None:
    hours = shown_hours(tally((SPREAD,), "hour", at("12:00")))

    assert [(hour.label, hour.strikes) for hour in hours] == [
        ("07:00", 1), ("08:00", 0), ("09:00", 1),
    ]  # fmt: skip
    assert shown_hours(Tally("hour", (), TallyRow("total"))) == ()


def test_of_many_rows_those_with_most_strikes_are_shown() -> None:
    rows = tuple(TallyRow(f"{n:02d}", strikes=n, hours=1.0) for n in range(20))

    shown = shown_rates(Tally("lure", rows, TallyRow("total")))

    assert [row.strikes for row in shown] == list(range(19, 19 - MOST_RATES, -1))


def test_a_picture_that_leaves_rows_out_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = tuple(TallyRow(f"Mug {n}", strikes=n, hours=2.0) for n in range(20))
    found = Tally("lure", rows, TallyRow("total", strikes=190, hours=40.0))

    figure = drawn(monkeypatch, tally_view, lambda: tally_pictures(day_view(), found, "")[0].data)

    words = [text for text, _ in boxes(figure)]
    assert f"this trip, the {MOST_RATES} of 20 with most strikes" in words


def test_what_comes_in_and_what_goes_out_are_shown_where_they_differ() -> None:
    out = SPREAD.spread["shotgun"]
    rates = shown_contrast(SPREAD, at("12:00"), DAY.tzinfo, out, Lure("Tea Cosy", 10, ("green",)))  # type: ignore[arg-type]

    assert [(row.label, row.strikes) for row in rates] == [
        ("10-inch", 0), ("8-inch", 2), ("green", 0), ("purple", 2),
    ]  # fmt: skip
