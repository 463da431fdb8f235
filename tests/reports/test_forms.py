"""The forms of a report: the same words and numbers in all of them, and nothing that could do harm."""

import json
import re
from datetime import UTC
from io import BytesIO
from zoneinfo import ZoneInfo

import pytest
from markdown_it import MarkdownIt
from PIL import Image
from pypdf import PdfReader

from bot.answers.questions import answer
from bot.answers.values import tally_json
from bot.answers.view import View
from bot.reports.blocks import Facts, Figures, Heading, Items, Notice, Page, Paragraph, Table
from bot.reports.compose import compose
from bot.reports.forms import FORMS, form_of, report_file
from bot.reports.page import page
from bot.trip.entry import Record
from tests.builders import call, entry
from tests.reports.days import a_day, day_view
from tests.reports.shown import Html

HOSTILE = "<script>alert(1)</script> | *bold* _x_ [a](b) & `c` 1. #"
EMPTY = (entry("06:00", "trip_start"),)


def _made(view: View, form: str, pictures: bool = False) -> bytes:
    report = compose(view, "Driftwood")
    return report_file(report, form_of(f"x.{form}"), view.tz, view if pictures else None)


def _page(view: View) -> Page:
    return page(compose(view, "Driftwood"), view.tz)


def _html(view: View) -> Html:
    return Html(_made(view, "html").decode())


def _markdown(view: View) -> Html:
    """Return the Markdown as a reader of it shows it (markdown-it, CommonMark with pipe tables)."""
    made = MarkdownIt("commonmark", {"html": True}).enable("table")
    return Html(made.render(_made(view, "md").decode()))


def _pdf(view: View) -> str:
    reader = PdfReader(BytesIO(_made(view, "pdf")))
    return "\n".join(sheet.extract_text() for sheet in reader.pages)


def _rows(laid: Page) -> list[list[str]]:
    tables = [block for block in laid.blocks if isinstance(block, Table)]
    return [list(row) for table in tables for row in (table.heads, *table.rows)]


def _texts(laid: Page) -> list[str]:
    found = [laid.title, laid.subtitle]
    for block in laid.blocks:
        match block:
            case Heading() | Paragraph():
                found.append(block.text)
            case Items() | Notice():
                found += block.texts
            case Facts():
                found += [word for pair in block.pairs for word in pair]
            case Table():
                found += [cell for row in (block.heads, *block.rows) for cell in row]
            case Figures():
                found += [one.alt for one in block.all]
    return found


def _bare(text: str) -> str:
    """Return text without the spaces: lines end where there is room."""
    return re.sub(r"\s+", "", text)


def test_every_cell_of_every_table_is_the_same_in_html_and_markdown() -> None:
    wanted = _rows(_page(day_view()))

    assert _html(day_view()).rows == wanted
    assert _markdown(day_view()).rows == wanted


def test_every_word_and_number_stands_in_every_form() -> None:
    wanted = [_bare(text) for text in _texts(_page(day_view()))]
    forms = {"html": _html(day_view()).text, "md": _markdown(day_view()).text}
    forms["pdf"] = _pdf(day_view())

    for form, text in forms.items():
        bare = _bare(text)
        assert [one for one in wanted if one not in bare] == [], form


def test_the_report_the_tally_for_programs_and_the_chat_say_the_same() -> None:
    view = day_view()
    said = answer(view, call("ask_tally", about="colour")).text
    row = next(row for row in tally_json(view, "colour")["rows"] if row["key"] == "blue")

    cells = next(cells for cells in _html(view).rows if cells[0] == "blue")

    assert cells[4] == f"{row['hours']:.1f}"
    assert cells[5:] == [f"{row['rate_per_10h']:.1f}", f"{row['low']:.1f} to {row['high']:.1f}"]
    assert (
        f"blue: 1 strike, 1 raise, 1 caught in {cells[4]} h, {cells[5]} per 10 h ({cells[6]})"
        in said
    )


def test_the_json_has_the_same_numbers() -> None:
    data = json.loads(_made(day_view(), "json"))

    by = {table["by"]: table["rows"] for table in data["tallies"]}
    assert by["position"] == tally_json(day_view(), "position")["rows"]
    assert data["total"]["strikes"] == 4
    assert data["catches"][0]["at"] == "2026-03-14T08:31:00+00:00"


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("records", [(), EMPTY])
def test_an_empty_trip_can_be_had_in_every_form(form: str, records: tuple[Record, ...]) -> None:
    assert len(_made(day_view(records, box=()), form, pictures=True)) > 100


def test_what_people_write_is_text_and_never_markup() -> None:
    day = (*a_day(), entry("12:10", "note", text=HOSTILE, crew=HOSTILE))
    html, markdown = _html(day_view(day)), _markdown(day_view(day))

    for shown in (html, markdown):
        assert "script" not in shown.tags
        assert shown.links == []
        cells = next(row for row in shown.rows if row[1] == "note" and row[0] == "12:10")
        assert cells == ["12:10", "note", HOSTILE, HOSTILE]
    assert _bare(HOSTILE) in _bare(_pdf(day_view(day)))


def test_names_in_any_script_stand_in_every_form() -> None:
    names = ("Māori Çedilla", "Ωμέγα", "Рыба", "魚の名前", "🐟 fish")
    day = (*a_day(), *(entry("12:10", "note", text=name) for name in names))
    pdf = _pdf(day_view(day))

    for name in names:
        assert name in _html(day_view(day)).text
        assert name in _markdown(day_view(day)).text
        assert _bare(name) in _bare(pdf)


def test_html_is_one_file_that_fetches_nothing_and_shows_the_pictures() -> None:
    view = day_view()
    found = Html(_made(view, "html", pictures=True).decode())

    assert found.tags.count("img") == 4  # by position, by colour, the spread, by the hour
    assert all(link.startswith("data:image/png;base64,") for link in found.links)
    assert not {"script", "link", "iframe", "object"} & set(found.tags)


def test_the_pdf_holds_its_letters_and_its_pictures() -> None:
    reader = PdfReader(BytesIO(_made(day_view(), "pdf", pictures=True)))

    pictures = [image for sheet in reader.pages for image in sheet.images]
    fonts = [
        font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"]
        for sheet in reader.pages
        for font in sheet["/Resources"]["/Font"].values()  # type: ignore[index]
    ]
    assert len(pictures) == 4
    assert Image.open(BytesIO(pictures[0].data)).width > 500
    assert fonts
    assert all("/FontFile2" in font for font in fonts)
    assert reader.metadata is not None
    assert reader.metadata.title == "Driftwood, Saturday 14 March 2026"


def test_a_long_trip_goes_over_many_pages_with_the_heads_on_each() -> None:
    notes = [entry("11:50", "note", text=f"remark number {number}") for number in range(220)]
    reader = PdfReader(BytesIO(_made(day_view((*a_day(), *notes)), "pdf")))
    sheets = [sheet.extract_text() for sheet in reader.pages]

    text = "\n".join(sheets)
    assert len(sheets) > 6
    assert all(f"remark number {number}" in text for number in range(220))
    with_notes = [sheet for sheet in sheets if sheet.count("remark number") > 3]
    assert all("About" in sheet for sheet in with_notes)
    assert all(f"{number} of {len(sheets)}" in sheet for number, sheet in enumerate(sheets, 1))


def test_times_are_those_of_the_boat_and_the_day_is_named_where_it_changes() -> None:
    auckland = day_view(tz=ZoneInfo("Pacific/Auckland"))  # 13 hours ahead of UTC in March

    text = _made(auckland, "md").decode()

    assert "Saturday 14 March 2026" in text
    assert "19:00 to 15 Mar 01:00" in text


def test_the_same_trip_gives_the_same_file() -> None:
    for form in ("html", "md", "json"):
        assert _made(day_view(), form) == _made(day_view(), form)


@pytest.mark.parametrize(
    ("name", "form"),
    [("a.pdf", "pdf"), ("a.HTML", "html"), ("a.htm", "html"), ("a.txt", "md"), (None, "md"),
     ("a.json", "json"), ("a.markdown", "md")],
)  # fmt: skip
def test_the_ending_of_a_file_name_asks_for_a_form(name: str | None, form: str) -> None:
    assert form_of(name) == form


def test_a_place_is_written_only_where_it_was_asked_for() -> None:
    for positions in (False, True):
        report = compose(day_view(), positions=positions)
        text = report_file(report, "md", UTC).decode()

        assert ("35°12.00' S 174°18.00' E" in text) is positions
        assert ("--positions" in text) is not positions
