"""What was said in pounds and feet is said back so. Factors: the international yard and pound (1959)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.calls.units_said import units_of
from bot.trip.call import Call
from bot.trip.said_units import measures, weight


@pytest.mark.parametrize(
    ("call", "said", "words"),
    [
        (Call("boat", weight_kg=20.4, length_cm=101.6), "45 pounds 40 inches",
         ["40 in (101.6 cm)", "45 lb (20.4 kg)"]),
        (Call("boat", weight_kg=20.4), "twenty point four kilos", ["20.4 kg"]),
        (Call("water", water_c=21.7), "water is 71 degrees", ["71 °F (21.7 °C)"]),
        (Call("water", water_c=21.0), "water 21", ["21 °C"]),
        (Call("water", depth_m=182.9), "depth 600 feet", ["600 ft (182.9 m) deep"]),
        (Call("water", depth_m=182.9), "a hundred fathoms", ["100 fathoms (182.9 m) deep"]),
        (Call("conditions", sea_m=1.52), "seas 4 to 6 feet", ["5 ft (1.52 m) of sea"]),
        (Call("drag", drag_kg=10.9), "drag 24lb", ["24 lb (10.9 kg)"]),
        (Call("boat", length_cm=101.6), '40" on the mat', ["40 in (101.6 cm)"]),
    ],
)  # fmt: skip
def test_a_measure_is_said_back_in_its_unit(call: Call, said: str, words: list[str]) -> None:
    assert measures(call, units_of(said)) == words


@given(st.integers(1, 2000))
def test_whole_pounds_come_back_as_they_were_said(pounds: int) -> None:
    kept = round(pounds * 0.45359237, 1)

    assert weight(kept, units_of(f"{pounds} lb")).startswith(f"{pounds} lb (")
