"""What was said in pounds and feet is said back so. Factors: the international yard and pound (1959)."""

import pytest
from hypothesis import given, strategies as st

from bot.trip.call import Call, from_json
from bot.trip.corrections import amend_call, correction
from bot.trip.entry import Entry
from bot.trip.meant import SaidUnits
from bot.trip.said_units import measures, units_of, weight
from bot.trip.together import place_double
from tests.builders import at
from tests.meanings import as_said


@pytest.mark.parametrize(
    ("call", "said", "words"),
    [
        (Call("boat", weight_kg=20.4, length_cm=101.6), "45 pounds 40 inches",
         ["40 in (101.6 cm)", "45 lb (20.4 kg)"]),
        (Call("boat", weight_kg=20.4), "twenty point four kilos", ["20.4 kg"]),
        (Call("boat", weight_kg=20.0), "20 kilos on fifty pound gear", ["20 kg"]),
        (Call("boat", weight_kg=18.1), "forty pounds, on 24 kilo gear", ["40 lb (18.1 kg)"]),
        (Call("boat", weight_kg=23.6), "52# in the box", ["52 lb (23.6 kg)"]),
        (Call("boat", weight_kg=18.1), "for tea pounds", ["40 lb (18.1 kg)"]),
        (Call("boat", weight_kg=0.7), "a pound and a half", ["1.5 lb (0.7 kg)"]),
        (Call("water", water_c=21.7), "water is 71 degrees", ["71 °F (21.7 °C)"]),
        (Call("water", water_c=21.7), "seventy one degrees", ["71 °F (21.7 °C)"]),
        (Call("water", water_c=23.4), "seventy four two", ["74 °F (23.4 °C)"]),
        (Call("water", water_c=21.0), "water 21", ["21 °C"]),
        (Call("water", depth_m=182.9), "depth 600 feet", ["600 ft (182.9 m) deep"]),
        (Call("water", depth_m=182.9), "a hundred fathoms", ["100 fathoms (182.9 m) deep"]),
        (Call("water", depth_m=100.0, water_c=21.7), "71 degrees in a hundred metres",
         ["71 °F (21.7 °C)", "100 m deep"]),
        (Call("conditions", sea_m=1.52), "seas 4 to 6 feet", ["5 ft (1.52 m) of sea"]),
        (Call("conditions", sea_m=0.46), "foot and a half of slop", ["1.5 ft (0.46 m) of sea"]),
        (Call("drag", drag_kg=10.9), "drag 24lb", ["24 lb (10.9 kg)"]),
        (Call("boat", length_cm=101.6), '40" on the mat', ["40 in (101.6 cm)"]),
        (Call("boat", length_cm=177.8), "5 ft 10 in", ["5 ft 10 in (177.8 cm)"]),
        (Call("boat", length_cm=167.6), "five foot six", ["5 ft 6 in (167.6 cm)"]),
        (Call("boat", length_cm=182.9), "six feet", ["6 ft (182.9 cm)"]),
        (Call("boat", length_cm=120.0), "120 on an 8 inch lure", ["120 cm"]),
    ],
)  # fmt: skip
def test_a_measure_is_said_back_in_its_unit(call: Call, said: str, words: list[str]) -> None:
    assert measures(as_said(call, said)) == words


@given(st.integers(1, 2000))
def test_whole_pounds_come_back_as_they_were_said(pounds: int) -> None:
    kept = round(pounds * 0.45359237, 1)

    assert weight(kept, "pound").startswith(f"{pounds} lb (")
    assert weight(kept).endswith(" kg")


def test_each_call_of_a_line_has_its_own_units() -> None:
    line = "forty pound wahoo and a 20 kilo mahi"
    wahoo, mahi = Call("boat", weight_kg=18.1), Call("boat", weight_kg=20.0)

    assert measures(as_said(wahoo, line)) == ["40 lb (18.1 kg)"]
    assert measures(as_said(mahi, line)) == ["20 kg"]


def test_the_log_keeps_the_units_and_an_old_call_has_none() -> None:
    call = as_said(Call("boat", weight_kg=20.4), "45 pounds")

    assert call.to_log()["meant"] == [{"kind": "measured", "weight": "pound"}]
    assert units_of(from_json(call.to_log())) == SaidUnits(weight="pound")
    assert measures(from_json({"act": "boat", "weight_kg": 20.4})) == ["20.4 kg"]


def test_a_unit_that_only_a_newer_program_knows_is_left_out() -> None:
    call = Call("boat", weight_kg=20.4, meant=(SaidUnits(weight="stone", length="rod"),))

    assert measures(call) == ["20.4 kg"]


def test_a_correction_brings_its_own_unit_and_leaves_the_others() -> None:
    call = as_said(Call("boat", weight_kg=20.4, length_cm=101.6), "45 pounds 40 inches")
    entry = Entry("1", "trip", at("07:00"), call, "Mate", "chat", "", "m")
    kilos = as_said(correction(weight_kg=22.0), "no, 22 kilos")

    assert measures(amend_call(entry, kilos)) == ["40 in (101.6 cm)", "22 kg"]
    assert measures(amend_call(entry, correction(species="wahoo"))) == measures(call)


def test_what_is_said_of_a_double_has_its_units_on_each_line() -> None:
    call = as_said(Call("hookup", count=2), "double hook-up")
    double = Entry("1", "trip", at("07:00"), call, "Mate", "chat", "", "m")
    said = as_said(Call("boat", position="short rigger", weight_kg=20.4), "45 pounds")

    assert [units_of(one) for one in place_double([said], double)] == [SaidUnits(weight="pound")]


@pytest.mark.parametrize(
    ("kg", "told"),
    [(11.5, "25.4 lb (11.5 kg)"), (20.4, "45 lb (20.4 kg)"), (5.1, "11.2 lb (5.1 kg)")],
)
def test_pounds_are_halves_where_a_half_comes_to_the_kilos(kg: float, told: str) -> None:
    # common practice, no source
    assert weight(kg, "pound") == told
