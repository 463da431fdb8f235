"""Pictures of tallies and of the next change: what is drawn, and that words stay on the sheet and apart."""

from collections.abc import Callable
from itertools import combinations

import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from bot.pictures import advice_view, tally_view
from bot.pictures.canvas import BITE, DPI, PAPER, WIDTH_IN
from bot.pictures.shown import MOST_RATES, shown_contrast, shown_hours, shown_rates
from bot.pictures.tally_view import ShownHour, ShownRate, day_picture, rates_picture
from bot.tackle.items import Lure
from bot.trip.tally import Tally, TallyRow, tally
from tests.builders import DAY, at, day_of, trip

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
    real = module.encoded  # type: ignore[attr-defined]

    def kept(figure: Figure, form: str) -> bytes:
        sheets.append(figure)
        found: bytes = real(figure, form)
        return found

    monkeypatch.setattr(module, "encoded", kept)
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


def test_the_next_change_shows_as_many_filled_squares_as_its_chance(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    figure = drawn(
        monkeypatch,
        advice_view,
        lambda: advice_view.advice_picture(
            lure="A Lure of Some Length, 12-inch", position="short corner", chance=0.734,
            gain_per_h=0.21, reason="Purple: 9 strikes in 14.2 lure-hours, black: 2 in 9.0. " * 2,
            rates=RATES,
        ),
    )  # fmt: skip

    squares = [patch for patch in figure.axes[0].patches if patch.get_facecolor()[:3] != (1, 1, 1)]
    assert len(squares) == 73
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


def test_what_comes_in_and_what_goes_out_are_shown_where_they_differ() -> None:
    out = SPREAD.spread["shotgun"]
    rates = shown_contrast(SPREAD, at("12:00"), DAY.tzinfo, out, Lure("Tea Cosy", 10, ("green",)))  # type: ignore[arg-type]

    assert [(row.label, row.strikes) for row in rates] == [
        ("10-inch", 0), ("8-inch", 2), ("green", 0), ("purple", 2),
    ]  # fmt: skip
