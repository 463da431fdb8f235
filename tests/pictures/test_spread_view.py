"""The picture of the spread. Outside source: NIST Digital Library of Mathematical Functions, section 36.13:
the crests of Kelvin's waves end on lines 19.47122 degrees from the track."""

import struct
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations
from math import atan2, degrees, pi

import pytest
from hypothesis import given, settings, strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from bot.pictures import spread_view
from bot.pictures.canvas import DPI, HEIGHT_IN, PAINTS, WIDTH_IN, heading, sheet
from bot.pictures.shown import shown_plan, shown_trip
from bot.pictures.spread_view import ShownLure, spread_picture
from bot.pictures.wake_view import CUSP, crest_line
from bot.spread.planner import plan
from bot.spread.positions import distances_m, places
from bot.tackle.items import STANDARD_POSITIONS, Boat, Lure
from bot.water.wake import crew_count
from tests.builders import at, entry, trip

FIVE = (
    ShownLure("short corner", "Deck Chair", 12, ("black", "purple"), 19, -2.4, "cupped", 2.5),
    ShownLure("long corner", "Drain Pipe", 10, ("purple", "black"), 30, 2.4, "blunt", 2.5, 1),
    ShownLure("short rigger", "Bell Rope", 9, ("pink", "white"), 41, 7, "slanted", 1.2),
    ShownLure("long rigger", "Bath Plug", 7.5, ("grey", "blue"), 52, -7, "slanted", 0.4, 3),
    ShownLure("shotgun", "Garden Hose", 6, ("silver", "blue"), 73, 0, "slim", 2.5),
)
WORDY = ShownLure(
    "port corner", "The Name of This Lure Never Seems to End", 8, ("chartreuse", "orange", "rainbow"),
    12, -7, None, 11.5, 12,
)  # fmt: skip
LONG = tuple(
    replace(
        WORDY, position=f"{side} {kind}", back_m=12 + 18.0 * row + 9 * out, across_m=14 * out - 7
    )
    for row, kind in enumerate(("corner", "rigger", "flat line", "bridge rod"))
    for out, side in enumerate(("port", "starboard"))
)

POSITIONS = (
    "short corner", "long corner", "flat line", "whip line", "short rigger", "long rigger",
    "outer rigger", "shotgun", "bridge rod", "port kite", "starboard kite",
)  # fmt: skip


def pixels(data: bytes) -> tuple[int, int]:
    assert data.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = struct.unpack(">II", data[16:24])
    return width, height


def drawn(*lures: ShownLure) -> tuple[Figure, list[tuple[str, Bbox]]]:
    """Draw a spread as it is sent, and give all its texts with where they stand in pixels."""
    sheets: list[Figure] = []

    def kept(figure: Figure, _: str) -> bytes:
        sheets.append(figure)
        FigureCanvasAgg(figure).draw()  # type: ignore[no-untyped-call]
        return b""

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(spread_view, "encode", kept)
        spread_picture(lures, speed_kn=8, stamp="Driftwood, 14 March 2026, 09:40")
    figure = sheets[-1]
    texts = [text for text in figure.findobj(Text) if isinstance(text, Text)]
    return figure, [
        (text.get_text(), text.get_window_extent()) for text in texts if text.get_text().strip()
    ]


def frames(figure: Figure) -> list[Bbox]:
    """Return the frames of the labels, in pixels."""
    texts = [text for text in figure.findobj(Text) if isinstance(text, Text)]
    patches = [
        text.get_bbox_patch()
        for text in texts
        if any(line.endswith(" m") for line in text.get_text().split("\n"))
    ]
    return [patch.get_window_extent() for patch in patches if patch is not None]


def outlines(figure: Figure) -> list[Bbox]:
    """Return the extents of what is drawn of lures and stars, in pixels."""
    sea = figure.axes[0]
    lures = [patch.get_window_extent() for patch in sea.patches if patch.get_zorder() in (3, 9)]
    stars = [line.get_window_extent() for line in sea.get_lines() if line.get_marker() == "*"]
    counts = [text.get_window_extent() for text in sea.texts if text.get_text().startswith("×")]
    return [*lures, *stars, *counts]


def test_a_phone_held_upright_is_filled() -> None:
    assert pixels(spread_picture(FIVE, speed_kn=8)) == (1080, 1920)


def test_svg_is_xml_of_the_same_shape() -> None:
    root = ET.fromstring(spread_picture(FIVE, speed_kn=8, form="svg"))

    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert root.get("width") == f"{72 * WIDTH_IN:g}pt"
    assert root.get("height") == f"{72 * HEIGHT_IN:g}pt"


@pytest.mark.parametrize("form", ["png", "svg"])
def test_the_same_spread_is_the_same_file(form: str) -> None:
    first, second = (spread_picture(FIVE, speed_kn=8, form=form) for _ in range(2))  # type: ignore[arg-type]

    assert first == second


def test_what_changes_in_the_water_changes_the_picture() -> None:
    first = spread_picture(FIVE, speed_kn=8)
    changed = (
        replace(FIVE[0], strikes=1), replace(FIVE[0], colours=("black", "red")), replace(FIVE[0], size_in=10),
        replace(FIVE[0], head="slim"), replace(FIVE[0], hours=3.0), replace(FIVE[0], back_m=24),
        replace(FIVE[0], is_on=True),
    )  # fmt: skip

    pictures = {spread_picture((one, *FIVE[1:]), speed_kn=8) for one in changed}

    assert len(pictures | {first}) == 8


def test_speed_and_count_move_the_waves_and_without_speed_there_are_none() -> None:
    pictures = {
        spread_picture(FIVE, speed_kn=8),
        spread_picture(FIVE, speed_kn=7),
        spread_picture(FIVE, speed_kn=8, count=crew_count(14, 2, 8)),
        spread_picture(FIVE, speed_kn=None),
    }

    assert len(pictures) == 4
    assert pixels(spread_picture((), speed_kn=None)) == (1080, 1920)


@st.composite
def spreads(draw: st.DrawFn) -> tuple[ShownLure, ...]:
    """Return up to nine lures of any names, sizes, colours and strikes at the places of a boat."""
    names = draw(st.lists(st.sampled_from(POSITIONS), min_size=1, max_size=9, unique=True))
    across = {place.position: place.across_m for place in places(names)}
    back_m = distances_m(names, draw(st.sampled_from((6, 8, 12))))
    return tuple(
        ShownLure(
            name,
            draw(st.sampled_from(("", "Kettle", "The Second Best Umbrella Stand of All"))),
            draw(st.sampled_from((None, 6, 14))),
            draw(st.sampled_from(((), ("black",), ("chartreuse", "orange", "rainbow")))),
            back_m[name], across[name], draw(st.sampled_from((None, "cupped", "jet"))),
            draw(st.sampled_from((None, 0.0, 11.5))), draw(st.sampled_from((0, 1, 6, 30))),
        )
        for name in names
    )  # fmt: skip


def assert_nothing_is_hidden(lures: tuple[ShownLure, ...]) -> None:
    figure, texts = drawn(*lures)
    height = figure.get_figheight() * DPI

    for text, box in texts:
        assert box.x0 >= 0, text
        assert box.x1 <= WIDTH_IN * DPI, text
        assert box.y0 >= 0, text
        assert box.y1 <= height, text
    labels = frames(figure)
    assert len(labels) == len(lures)
    assert not any(one.overlaps(other) for one, other in combinations(labels, 2))
    shown = outlines(figure)
    assert len([x for x in figure.axes[0].get_lines() if x.get_marker() == "*"]) == sum(
        lure.strikes > 0 for lure in lures
    )
    assert not any(label.overlaps(other) for label in labels for other in shown)
    assert {text for text, _ in texts if text.startswith("×")} == {
        f"×{lure.strikes}" for lure in lures if lure.strikes > 1
    }


@pytest.mark.parametrize("lures", [FIVE, LONG])
def test_no_word_leaves_the_sheet_and_no_label_covers_another_or_a_lure(
    lures: tuple[ShownLure, ...],
) -> None:
    assert_nothing_is_hidden(lures)


@settings(max_examples=12, deadline=None)
@given(spreads())
def test_of_any_spread_no_label_covers_anything_and_all_strikes_are_shown(
    lures: tuple[ShownLure, ...],
) -> None:
    assert_nothing_is_hidden(lures)


def test_a_picture_tells_the_boat_the_date_and_the_time() -> None:
    _, texts = drawn(*FIVE)

    assert "Driftwood, 14 March 2026, 09:40" in [text for text, _ in texts]


def test_where_the_name_of_the_boat_is_long_date_and_time_stay_whole() -> None:
    with sheet() as figure:
        heading(figure, "Spread", "", f"{'The Motor Vessel ' * 4}Driftwood, 14 March 2026, 09:40")

        (stamp,) = [text.get_text() for text in figure.texts if "2026" in text.get_text()]

    assert stamp.startswith("The Motor Vessel")
    assert stamp.endswith("…, 14 March 2026, 09:40")


def test_a_fish_that_is_on_stands_in_the_label_of_its_line() -> None:
    day = trip(
        entry("06:00", "set", "short corner", "black 12"),
        entry("06:00", "set", "long rigger", "blue 8"),
        entry("06:00", "lines_in"),
        entry("07:00", "strike", "long rigger"),
        entry("07:01", "hookup"),
    )

    _, texts = drawn(*shown_trip(day, Boat(), at("08:00")))

    on = [text.split("\n")[0] for text, _ in texts if "FISH ON" in text.split("\n")]
    assert on == ["LONG RIGGER"]


def test_a_word_that_is_too_long_for_a_label_is_cut_and_not_broken() -> None:
    _, texts = drawn(replace(FIVE[0], name="Extraordinarily Long Umbrella Stand"))

    label = next(text for text, _ in texts if text.startswith("SHORT CORNER"))

    assert label.split("\n")[1:3] == ["Extraordinari…", "Long Umbrella…"]


def test_words_are_large_enough_to_be_read_on_a_phone() -> None:
    # a phone 65 mm wide: a line of a label is then over 1.8 mm high from one to the next
    _, texts = drawn(*FIVE)

    for text, box in texts:
        lines = text.count("\n") + 1
        if " m\n" in text:
            assert box.height / lines * 65 / (WIDTH_IN * DPI) > 1.8


def test_every_label_tells_size_distance_colours_hours_and_strikes() -> None:
    _, texts = drawn(*FIVE)

    label = next(text for text, _ in texts if text.startswith("LONG CORNER"))

    assert label.split("\n")[1:] == [
        "Drain Pipe",
        "10-inch, 30 m",
        "purple black",
        "2.5 h, 1 strike",
    ]


def test_crests_end_on_the_wedge_of_the_handbook() -> None:
    across, back = crest_line(30, [CUSP])

    assert degrees(atan2(across[0], back[0])) == pytest.approx(19.47122, abs=1e-3)


def test_no_part_of_a_crest_leaves_the_wedge_and_it_crosses_the_middle_where_it_should() -> None:
    across, back = crest_line(30, [step * pi / 2 / 50 for step in range(-50, 51)])

    assert (
        max(abs(degrees(atan2(a, b))) for a, b in zip(across, back, strict=True) if b > 1e-9)
        < 19.4713
    )
    assert (across[50], back[50]) == pytest.approx((0, 30))


def light(fill: str) -> float:
    """Return the relative luminance of a colour (W3C, WCAG 2.2)."""
    parts = [int(fill[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_any_two_paints_differ_in_pattern_or_are_black_and_white() -> None:
    # so that a picture can be read without telling colours apart; contrast after WCAG 2.2
    for (one, a), (other, b) in combinations(PAINTS.items(), 2):
        low, high = sorted((light(a.fill), light(b.fill)))
        contrast = (high + 0.05) / (low + 0.05)
        assert a.pattern != b.pattern or contrast > 3, (one, other)


def test_names_with_odd_signs_are_drawn_as_they_are() -> None:
    odd = replace(FIVE[0], name="$5 & <b> \u9b5a $\\alpha$")

    assert pixels(spread_picture((odd,), speed_kn=8)) == (1080, 1920)


def test_a_lure_of_which_nothing_is_known_is_drawn_all_the_same() -> None:
    unknown = ShownLure("shotgun", "", None, (), 60, 0)

    assert pixels(spread_picture((unknown,), speed_kn=8)) == (1080, 1920)


def test_a_plan_is_shown_as_it_stands() -> None:
    boat = Boat()
    found = plan([Lure(f"Mug {n}", 6 + n, ("red",)) for n in range(5)], boat, speed_kn=8)

    shown = shown_plan(found, boat)

    assert [s.position for s in shown] == list(STANDARD_POSITIONS)
    assert [s.back_m for s in shown] == [p.back_m for p in found.positions]
    assert all(s.hours is None for s in shown)


def test_a_trip_is_shown_with_hours_strikes_and_sides() -> None:
    day = trip(
        entry("06:00", "speed", speed_kn=8),
        entry("06:00", "set", "short corner", "black 12"),
        entry("06:00", "set", "long rigger", "blue 8", side="starboard"),
        entry("06:00", "set", "kite", "red 6"),
        entry("06:00", "lines_in"),
        entry("07:00", "strike", "short corner"),
        entry("07:01", "miss"),
    )

    shown = {s.position: s for s in shown_trip(day, Boat(), at("08:00"))}

    assert set(shown) == {"short corner", "long rigger", "kite"}
    assert shown["short corner"].hours == pytest.approx(2)
    assert shown["short corner"].strikes == 1
    assert shown["long rigger"].strikes == 0
    assert shown["short corner"].across_m < 0 < shown["long rigger"].across_m
    assert shown["short corner"].back_m == pytest.approx(18.99, abs=0.01)
    assert shown["kite"].back_m > shown["long rigger"].back_m


def test_before_lines_in_no_hours_are_shown() -> None:
    day = trip(entry("06:00", "set", "short corner", "black 12"))

    assert [s.hours for s in shown_trip(day, Boat(), at("08:00"))] == [None]


def test_two_lures_at_one_position_are_told_apart_by_side() -> None:
    day = trip(
        entry("06:00", "set", "long rigger", "blue 8", side="starboard"),
        entry("06:00", "set", "long rigger", "red 8", side="port"),
        entry("06:00", "lines_in"),
    )

    shown = {s.position: s.across_m for s in shown_trip(day, Boat(), at("08:00"))}

    assert set(shown) == {"port long rigger", "starboard long rigger"}
    assert shown["port long rigger"] < 0 < shown["starboard long rigger"]
