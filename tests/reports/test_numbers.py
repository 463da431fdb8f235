"""Every number of every form of a report is that of the tallies, of any trip.

The tallies are asked here by themselves, not by the report; exact intervals of counts are SciPy's (Garwood
1936: quantiles of chi-squared), those of shares statsmodels' (Wilson).
"""

import csv
import io
import json
import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st
from markdown_it import MarkdownIt
from pypdf import PdfReader
from scipy.stats import chi2
from statsmodels.stats.proportion import proportion_confint

from bot.answers.view import View
from bot.logbook.exchange import going_out
from bot.logbook.store import Logbook, MessageRecord
from bot.messages import Reply
from bot.reports.compose import compose
from bot.reports.exports import export_file
from bot.reports.forms import ReportForm, report_file
from bot.trip.call import Call
from bot.trip.entry import Advised, Entry, Record
from bot.trip.exposure import By
from bot.trip.fold import fold
from bot.trip.history import in_order
from bot.trip.state import Trip
from bot.trip.tally import TallyRow, tally
from tests.builders import TRIP, message
from tests.reports.days import a_day, day_view
from tests.reports.random_trips import quoted, records
from tests.reports.shown import Html

NOW = "19:00"
BYS: dict[str, By] = {
    "Position": "position", "Size": "size", "Colour": "colour", "Lure": "lure", "Hour": "hour",
    "Angler": "angler",
}  # fmt: skip
WORDS = ("position", "lure", "species", "head", "side", "angler")
Rows = list[list[str]]


def counted(view: View, by: By = "none") -> dict[str, TallyRow]:
    found = tally((view.trip,), by, view.now, UTC)
    return {row.key: row for row in found.rows} | {"all": found.total}


def garwood(strikes: int, hours: float) -> tuple[float, float]:
    low = float(chi2.ppf(0.025, 2 * strikes)) / 2 if strikes else 0.0
    return 10 * low / hours, 10 * float(chi2.ppf(0.975, 2 * strikes + 2)) / 2 / hours


def assert_near(shown: str, value: float, digits: int = 1) -> None:
    assert float(shown) == pytest.approx(value, abs=0.51 * 10**-digits, rel=1e-3)


def assert_rated(cells: list[str], row: TallyRow) -> None:
    assert cells[:3] == [str(row.strikes), str(row.hookups), str(row.caught)]
    if len(cells) == 3:
        return
    assert_near(cells[3], row.hours)
    if row.hours < 0.5:
        assert cells[4:] == ["-", "too little time" if row.hours > 1e-9 else "-"]
        return
    assert_near(cells[4], 10 * row.strikes / row.hours)
    low, high = cells[5].split(" to ")
    assert_near(low, garwood(row.strikes, row.hours)[0])
    assert_near(high, garwood(row.strikes, row.hours)[1])


def tables(rows: Rows) -> list[Rows]:
    """Return the rows of a page by tables, each with its heads."""
    found: list[Rows] = []
    for row in rows:
        if row[0] in (*BYS, "Fish", "Time", "What became of what", "Line", "No."):
            found.append([])
        found[-1].append(row)
    return found


def assert_rows_are_the_tallies(rows: Rows, view: View) -> None:
    total = counted(view)["all"]
    for heads, *body in tables(rows):
        match heads[:2]:
            case [key, "strikes"]:
                want = counted(view, BYS[key])
                for name, *cells in body:
                    assert_rated(cells, want[name.removesuffix("-inch") if key == "Size" else name])
            case ["Fish", "kept"]:
                kept, gone, tagged = map(int, body[-1][1:])
                assert kept + gone == total.caught
                assert [sum(int(row[n]) for row in body[:-1]) for n in (1, 2, 3)] == [
                    kept,
                    gone,
                    tagged,
                ]
            case ["What became of what", _]:
                assert_shares(body, total)
            case ["Line", _]:
                assert sum(float(row[4]) for row in body) == pytest.approx(
                    total.hours, abs=0.051 * len(body)
                )
                assert sum(int(row[5]) for row in body) <= total.strikes
            case ["Time", "Proposed"]:
                for _, _, why, done, came in body:
                    assert_proposal(why, done, came, view)


def assert_shares(body: Rows, total: TallyRow) -> None:
    wanted = {
        "strikes that hooked up": (total.events_on, total.strikes),
        "fish on, of which the end is known, that were caught": (total.caught, total.caught + total.lost),
    }  # fmt: skip
    for what, number, share, interval in body:
        some, of = map(int, number.split(" of "))
        assert wanted.get(what, (some, of)) == (some, of)
        if of < 5:
            assert (share, interval) == ("too few to say", "-")
            continue
        low, high = proportion_confint(some, of, method="wilson")
        assert_near(share.removesuffix(" %"), 100 * some / of, 0)
        for shown, value in zip(
            interval.removesuffix(" %").split(" to "), (low, high), strict=True
        ):
            assert_near(shown, 100 * value, 0)


def assert_proposal(why: str, done: str, came: str, view: View) -> None:
    """What a reason quotes is what the log, as it stands now, tells of the time before it."""
    held = [r for r in view.records if not isinstance(r, Advised)]
    said = [r for r in view.records if isinstance(r, Advised) and r.advice.reason]
    told = [r for r in said if why.casefold().startswith(r.advice.reason.casefold())]
    assert not told or any(quoted(held, f"{r.at:%H:%M}") == r.advice.reason for r in told)
    assert (came == "-") == (not done.startswith("yes"))


def assert_story(text: str, total: TallyRow) -> None:
    """Numbers in running text, by the word after them."""
    for pattern, value in (
        (r"(\d+) strikes?\b(?! show)", total.strikes), (r"(\d+) raises?\b", total.raises),
        (r"(\d+) fish on", total.hookups), (r"(\d+) caught", total.caught),
        (r"(\d+) lost after", total.lost),
    ):  # fmt: skip
        for shown in re.findall(pattern, text):
            assert int(shown) == value, pattern
    for shown in re.findall(r"([\d.]+) lure-hours", text):
        assert_near(shown, total.hours)


def assert_json(data: dict[str, Any], view: View) -> None:
    total = counted(view)["all"]
    for table in data["tallies"]:
        want = counted(view, table["by"])
        for row in table["rows"]:
            assert_values(row, want[row["key"]])
    assert_values(data["total"], total)
    assert (data["raises"], data["lost"]) == (total.raises, total.lost)
    assert sum(one["count"] for one in data["catches"]) == total.caught
    assert sum(one["kept"] + one["released"] for one in data["landed"]) == total.caught
    assert sum(one["hours"] for one in data["placements"]) == pytest.approx(total.hours, abs=1e-6)
    made = [one["made_at"] for one in data["outcomes"] if one["made_at"]]
    places = [(one["position"], one["made_at"]) for one in data["outcomes"] if one["made_at"]]
    assert len(set(places)) == len(made)  # a change is counted for one proposal
    assert_story(data["story"], total)


def assert_values(row: dict[str, Any], want: TallyRow) -> None:
    assert (row["strikes"], row["hookups"], row["caught"]) == (
        want.strikes,
        want.hookups,
        want.caught,
    )
    assert row["hours"] == pytest.approx(want.hours, abs=5e-4)
    if want.hours > 0.01:
        assert row["rate_per_10h"] == pytest.approx(10 * want.strikes / want.hours, abs=1e-3)
        assert (row["low"], row["high"]) == pytest.approx(
            garwood(want.strikes, want.hours), rel=1e-4, abs=1e-3
        )


def form(view: View, name: ReportForm) -> bytes:
    return report_file(compose(view, "Driftwood"), name, UTC)


def facts(html: Html) -> dict[str, str]:
    return dict(zip(html.of("dt"), html.of("dd"), strict=True))


@settings(max_examples=50, deadline=None)
@given(records())
def test_every_number_of_html_markdown_and_json_is_that_of_the_tallies(
    made: tuple[Record, ...],
) -> None:
    view = day_view(made, NOW)
    total = counted(view)["all"]
    html = Html(form(view, "html").decode())
    markdown = Html(
        MarkdownIt("commonmark").enable("table").render(form(view, "md").decode())
    )  # fmt: skip

    assert html.rows == markdown.rows
    assert_rows_are_the_tallies(html.rows, view)
    assert_story(html.of("p")[1], total)
    told = facts(html)
    assert [told[name] for name in ("Strikes", "Fish on", "Caught", "Lure-hours")] == [
        str(total.strikes), str(total.hookups), str(total.caught), f"{total.hours:.1f}",
    ]  # fmt: skip
    assert_json(json.loads(form(view, "json")), view)


@settings(max_examples=5, deadline=None)
@given(records())
def test_a_pdf_has_every_row_of_the_page_that_is_held_against_the_tallies(
    made: tuple[Record, ...],
) -> None:
    view = day_view(made, NOW)
    rows = Html(form(view, "html").decode()).rows
    reader = PdfReader(io.BytesIO(form(view, "pdf")))
    text = re.sub(r"\s+", "", "".join(page.extract_text() for page in reader.pages))

    assert_rows_are_the_tallies(rows, view)
    for row in rows:
        cells = re.sub(r"\s+", "", "".join(row))
        assert cells in text or all(re.sub(r"\s+", "", cell) in text for cell in row), row


def from_csv(text: str) -> Trip:
    """Return the trip that the rows of a table of entries tell, as somebody else would read them."""
    made = []
    for row in csv.DictReader(io.StringIO(text, newline="")):
        if row["void"] == "0":
            values: dict[str, Any] = {k: row[k] for k in WORDS if row[k]}
            values |= {k: float(row[k]) for k in ("size_in", "speed_kn") if row[k]}
            values |= {"count": int(row["count"])} if row["count"] else {}
            call = Call(row["act"], colours=tuple(row["colours"].split()), **values)  # type: ignore[arg-type]
            at = datetime.fromisoformat(row["at"])
            made.append(
                Entry(row["id"], row["trip"], at, call, row["crew"], row["source"], row["text"])
            )
    return fold(in_order(made))


@settings(
    max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(records(), st.uuids())
def test_a_table_of_the_log_gives_the_same_tallies(
    tmp_path: Path, made: tuple[Record, ...], name: object
) -> None:
    home = tmp_path / str(name)
    with Logbook.open(home) as log:
        log.record(MessageRecord(log.new_id(), message(), Reply(""), "logged", made, TRIP))
    told = from_csv(export_file(going_out(home, [TRIP]), "csv").decode())
    view = day_view(made, NOW)

    for by in BYS.values():
        assert tally((told,), by, view.now) == tally((view.trip,), by, view.now)


@pytest.mark.parametrize("column", [1, 2, 3, 4, 5, 6])
def test_a_wrong_number_in_a_table_would_be_found(column: int) -> None:
    view = day_view(tuple(one for one in a_day() if isinstance(one, Entry)), NOW)
    rows = Html(form(view, "html").decode()).rows
    first = next(number for number, row in enumerate(rows) if row[0] == "Position") + 1
    right = rows[first][column]
    assert_rows_are_the_tallies(rows, view)

    rows[first][column] = right.replace(right[-1], str((int(right[-1]) + 2) % 10))

    with pytest.raises(AssertionError):
        assert_rows_are_the_tallies(rows, view)
