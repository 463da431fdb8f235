"""The report where it is read: in Chromium at the sizes of a phone and a tablet; its first page on paper."""

import io
import os
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from bot.answers.view import View
from bot.reports.compose import compose
from bot.reports.forms import ReportForm, report_file
from tests.builders import entry
from tests.reports.days import a_day, day_view
from tests.reports.shown import OVER

LONG = "Grandmother's Second Best Umbrella Stand"
LEAST_PX = """() => Math.min(...[...document.querySelectorAll('td, dd, p, li')].map(
  e => parseFloat(getComputedStyle(e).fontSize)))"""
HEADS = """() => [...document.querySelectorAll('table.many td:not(:first-child)')].filter(
  e => e.offsetParent !== null && getComputedStyle(e, '::before').content === 'none').length"""
"""Values that stand without their head once the heads of the table are gone."""


def long_day() -> View:
    more = (
        entry("11:50", "note", text="a word" * 12),
        entry("11:51", "strike", "shotgun", latitude=-35.4, longitude=174.5),
        entry("11:52", "boat", "shotgun", species="shortbill spearfish", weight_kg=21.5, length_cm=160.0),
        entry("11:53", "set", "the outermost rigger", f"@{LONG}", colours=("chartreuse", "orange")),
    )  # fmt: skip
    return day_view((*a_day()[:-2], *more, *a_day()[-2:]))


def made(view: View, form: ReportForm) -> bytes:
    report = compose(view, "Driftwood", positions=True)
    return report_file(report, form, view.tz, view)


@pytest.mark.parametrize(("wide", "high"), [(390, 844), (768, 1024)])
def test_nothing_leaves_the_screen_of_a_phone_or_a_tablet(
    browser: Any, tmp_path: Path, wide: int, high: int
) -> None:
    file = tmp_path / "day.html"
    file.write_bytes(made(long_day(), "html"))
    page = browser.new_page(viewport={"width": wide, "height": high})
    page.goto(file.as_uri())

    assert page.evaluate("document.documentElement.scrollWidth") == wide
    assert page.evaluate(OVER) == []
    assert page.evaluate(LEAST_PX) >= 12
    if wide < 640:
        assert page.evaluate(HEADS) == 0
    pictures = [picture.bounding_box() for picture in page.locator("img").all()]
    assert len(pictures) == 5
    for box in pictures:
        assert box["width"] <= wide
        assert box["height"] <= high  # each can be seen as a whole
    if folder := os.environ.get("DECKCALL_SCREENSHOTS"):
        page.screenshot(path=f"{folder}/report-{wide}.png", full_page=True)
    page.close()


def test_the_first_page_on_paper_is_the_day_with_the_spread_and_the_track() -> None:
    reader = PdfReader(io.BytesIO(made(long_day(), "pdf")))
    first, rest = reader.pages[0], reader.pages[1:]

    text = first.extract_text()
    assert "The day" in text
    assert "The spread when the lines came out" in text
    assert "Places of fish and marks" in text
    assert "Strikes, one by one" not in text
    assert len(first.images) == 2
    assert "Caught and let go" in "".join(page.extract_text() for page in rest)


def test_without_places_the_hours_stand_beside_the_spread() -> None:
    view = long_day()
    data = report_file(compose(view, "Driftwood"), "pdf", view.tz, view)

    text = PdfReader(io.BytesIO(data)).pages[0].extract_text()

    assert "The spread when the lines came out" in text
    assert "Strikes hour by hour" in text
