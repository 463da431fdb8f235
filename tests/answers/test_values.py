"""Answers for programs, against the keys of the contract and worked values."""

import json
from datetime import UTC

from scipy.stats import chi2

from bot.answers.values import next_json, spread_json, tally_json
from tests.answers.views import BOX, make_plan, view
from tests.builders import at, call, log_of

DAY = log_of(
    ("06:00", call("lines_in")),
    ("06:00", call("set", "short corner", "black 12")),
    ("06:00", call("set", "shotgun", "red 6")),
    ("08:00", call("strike", "short corner"), call("hookup")),
    ("08:30", call("boat", species="wahoo")),
    ("10:00", call("strike", "short corner")),
    ("10:01", call("miss")),
)


def test_the_spread_has_the_keys_of_the_contract_and_lure_hours() -> None:
    found = spread_json(view(DAY, "11:00"))

    assert found == {
        "positions": [
            {
                "position": "short corner", "lure": None, "size_in": 12, "colours": ["black"],
                "since": at("06:00").astimezone(UTC).isoformat(), "hours": 4.5,
            },
            {
                "position": "shotgun", "lure": None, "size_in": 6, "colours": ["red"],
                "since": at("06:00").astimezone(UTC).isoformat(), "hours": 5.0,
            },
        ]
    }  # fmt: skip


def test_the_tally_counts_by_position_with_the_exact_interval() -> None:
    found = tally_json(view(DAY, "11:00"), "position")

    row = next(row for row in found["rows"] if row["key"] == "short corner")
    assert (row["strikes"], row["hookups"], row["caught"], row["hours"]) == (2, 1, 1, 4.5)
    assert row["rate_per_10h"] == round(2 / 4.5 * 10, 3)
    # Garwood (1936) through the chi-square distribution: 2 strikes in 4.5 hours.
    assert row["low"] == round(float(chi2.ppf(0.025, 4)) / 2 / 4.5 * 10, 3)
    assert row["high"] == round(float(chi2.ppf(0.975, 6)) / 2 / 4.5 * 10, 3)
    assert found["total"]["hours"] == 9.5
    assert found["by"] == "position"


def test_without_hours_there_is_no_rate() -> None:
    found = tally_json(view(), "colour")

    assert found["rows"] == []
    assert found["total"]["rate_per_10h"] is None
    assert found["total"]["low"] is None


def test_next_is_a_hold_with_its_reason_or_a_change() -> None:
    nothing = next_json(view())

    assert nothing["advice"] is None
    assert nothing["hold"]


def test_a_change_has_the_keys_of_the_contract() -> None:
    record = log_of(
        ("06:00", call("lines_in")),
        ("06:00", call("set", "short corner", "black 12")),
        ("06:00", call("set", "long rigger", "purple 8")),
        *(
            message
            for clock in ("07:10", "08:20", "09:05", "09:50")
            for message in ((clock, call("strike", "long rigger")), (clock, call("miss")))
        ),
    )

    found = next_json(view(record, "10:00", BOX))

    assert set(found) == {"advice", "hold"}
    assert found["hold"] is None
    assert set(found["advice"]) == {"position", "lure", "reason", "chance", "gain_per_h"}
    assert found["advice"]["position"] == "short corner"
    assert found["advice"]["lure"] in {lure.name for lure in BOX}
    assert 0.5 < found["advice"]["chance"] < 1
    assert found["advice"]["gain_per_h"] > 0


def test_a_plan_has_the_keys_of_the_contract() -> None:
    found = make_plan(view(box=BOX), "medium", 8.0).to_json()

    assert set(found) == {"positions", "speed_kn", "findings"}
    assert found["speed_kn"] == 8
    assert {p["lure"] for p in found["positions"]} <= {lure.name for lure in BOX}
    for planned in found["positions"]:
        assert set(planned) == {
            "position", "lure", "size_in", "colours", "head", "reason", "spare", "back_m",
        }  # fmt: skip
    for finding in found["findings"]:
        assert set(finding) == {"severity", "position", "text", "source"}


def test_every_answer_is_plain_json() -> None:
    seen = view(DAY, "11:00", BOX)

    for found in (
        spread_json(seen),
        tally_json(seen, "size"),
        next_json(seen),
        make_plan(seen).to_json(),
    ):
        assert json.loads(json.dumps(found, allow_nan=False)) == found
