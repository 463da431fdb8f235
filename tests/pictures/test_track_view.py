"""The picture of places: where they come to lie, and that anything can be drawn."""

from io import BytesIO
from itertools import combinations

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings, strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.transforms import Bbox
from PIL import Image

from bot.pictures.canvas import sheet
from bot.pictures.track_view import (
    HEIGHT_IN,
    ShownSpot,
    draw_track,
    flat_nm,
    scale_nm,
    track_picture,
)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ((-35.2, 174.3), (-35.3, 174.5)),
        ((21.0, -157.0), (20.9, -156.9)),
        ((-17.0, 179.9), (-17.1, -179.8)),
        ((0.0, 0.0), (0.2, -0.2)),
    ],
)
def test_places_lie_as_far_apart_as_on_the_earth(
    one: tuple[float, float], other: tuple[float, float]
) -> None:
    # reference: geographiclib (WGS 84), 1852 m to the nautical mile; flat is good to 1 % here
    (_, (east, north)) = flat_nm([ShownSpot(*one), ShownSpot(*other)])

    metres = float(Geodesic.WGS84.Inverse(*one, *other)["s12"])

    assert (east**2 + north**2) ** 0.5 == pytest.approx(metres / 1852, rel=0.01)
    assert north == pytest.approx((other[0] - one[0]) * 60)


def test_a_scale_bar_is_a_round_length_that_fits() -> None:
    for wide, length in ((0.64, 0.2), (1.0, 0.2), (3.0, 1.0), (16.0, 5.0), (40.0, 10.0)):
        assert scale_nm(wide) == pytest.approx(length)


@pytest.mark.parametrize("many", [1, 2, 40])
def test_any_number_of_places_can_be_drawn(many: int) -> None:
    spots = [ShownSpot(-35 + n / 90, 174 + n / 70, n + 1, n % 2 == 0) for n in range(many)]

    with Image.open(BytesIO(track_picture(spots))) as picture:
        assert picture.width == 1080
        assert len(set(picture.convert("L").tobytes())) > 10


def test_the_same_places_give_the_same_picture() -> None:
    spots = [ShownSpot(-35, 174), ShownSpot(-35.1, 174.1, 1, True)]

    assert track_picture(spots) == track_picture(spots)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 0.2), st.floats(0, 0.2), st.booleans()), min_size=1, max_size=14)
)  # fmt: skip
def test_no_number_hides_another_and_none_is_left_out(
    at: list[tuple[float, float, bool]],
) -> None:
    spots = [
        ShownSpot(-35 + north, 174 + east, number, fish)
        for number, (north, east, fish) in enumerate(at, 1)
    ]
    with sheet(HEIGHT_IN) as figure:
        draw_track(figure, spots, stamp="Driftwood, 14 March 2026, 09:40")
        FigureCanvasAgg(figure).draw()  # type: ignore[no-untyped-call]
    badges = [text for text in figure.axes[0].texts if "nm" not in text.get_text()]
    frames = [badge.get_bbox_patch() for badge in badges]
    boxes = [frame.get_window_extent() for frame in frames if frame is not None]

    shown: list[int] = []
    for badge in badges:
        for part in badge.get_text().split(", "):
            first, _, last = part.partition("-")
            shown += range(int(first), int(last or first) + 1)
    assert sorted(shown) == list(range(1, len(spots) + 1))
    assert len(boxes) == len(badges)
    for one, other in combinations(boxes, 2):
        over = Bbox.intersection(one, other)
        assert over is None or min(over.width, over.height) < 4  # a rim of pixels
