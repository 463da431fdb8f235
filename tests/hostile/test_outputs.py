"""Hostile names through every output: no formula is run, no markup taken in, no cursor moved."""

import csv
import io
import json
import re
import shutil
import sqlite3
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path

import pypdf
import pytest
from markdown_it import MarkdownIt

from bot.desk import Desk
from bot.tackle.cells import STARTS
from bot.transcript import plain_letters, shown_name
from tests.builders import at
from tests.hostile.rig import run

NAMES = {
    "a script": "<script>alert(1)</script>",
    "an image that runs": '<img src=x onerror="alert(1)">',
    "the end of an attribute": "\"><svg/onload=alert(1)>",
    "a link that runs": "[hooks](javascript:alert(1))",
    "a picture from elsewhere": "![x](http://evil.example/x.png)",
    "a formula": "=HYPERLINK(\"http://evil.example\")",
    "a formula with a plus": "+cmd|' /C calc'!A0",
    "a formula with a minus": "-2+3+cmd|' /C calc'!A0",
    "a formula with an at": "@SUM(1+1)*cmd|' /C calc'!A0",
    "a full-width formula": "＝1+1",
    "a table row": "a|b|c||--|--|",
    "the end of a CDATA": "]]><evil/>",
    "an entity": "&lt;&xxe;",
    "quotes": "\"'`\\\"",
    "a template": "{{7*7}} {% raw %} ${7*7}",
    "SQL": "'; DROP TABLE records; --",
    "percent": "%s%n%d {0} {boat}",
    "a heading": "# HEADING",
    "from right to left": "\u202egpj.exe",
    "zero width": "Bo\u200bat\u2060",
    "combining": "Z" + "\u0351" * 60,
    "a PDF operator": ") Tj ET (evil",
    "another script": "船長 рыбак صياد",
    "emoji": "👨‍👩‍👧‍👦 🐟",
    "mathematics": "$x^2$ \\frac{1}{2}",
}  # fmt: skip
CONTROL = {
    "clears the screen": "Ann\x1b[2JBo",
    "sets the title": "Ann\x1b]0;evil\x07Bo",
    "a link of a terminal": "\x1b]8;;http://evil.example\x1b\\Bo\x1b]8;;\x1b\\",
    "a return": "Ann\rBo",
    "a backspace": "Ann\b\b\bBo",
    "a bell": "Ann\x07",
    "C1": "Ann\x9b2JBo",
    "a nought": "Ann\x00Bo",
    "lines": "Ann\nBo\nCy",
    "line separators": "Ann\u2028Bo\u2029Cy\x85Di",
}
ESCAPES = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
READERS = (
    ("trips",), ("tally", "--by", "crew"), ("tally", "--by", "lure"), ("spread",), ("next",), ("plan",),
    ("report",), ("box", "list"), ("recording",),
)  # fmt: skip


def logged(home: Path, name: str) -> Path:
    """Log a day in which the name is that of the boat, of the crew, of a note and of a mark."""
    said = " ".join(name.split())
    (home / "deckcall.toml").write_text(
        f"[boat]\nname = {json.dumps(said, ensure_ascii=False)}\n", encoding="utf-8"
    )
    with Desk(home) as desk:
        for minute, call in enumerate((
            "lines in", "short corner purple 8 inch", "strike short corner", "hooked up",
            "boated mahi-mahi 12 kilos", f"note: {name}", f"mark this spot: {name}",
        )):  # fmt: skip
            desk.say(call, crew=name, at=at(f"07:{minute:02d}"))
    return home


@pytest.fixture(scope="module", params=list(NAMES.values()), ids=list(NAMES))
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory, name: str) -> Path:
    """Return a log with the name, which the tests only read."""
    return logged(tmp_path_factory.mktemp("named"), name)


def out(home: Path, *args: str) -> str:
    done = run(home, *args)
    assert done.code == 0, done
    assert "Traceback" not in done.err
    return done.out


class _Page(HTMLParser):
    """Collects tags and attributes that a browser would act on."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.events: list[str] = []
        self.links: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.events += [key for key, _ in attrs if key.startswith("on")]
        self.links += [value or "" for key, value in attrs if key in ("href", "src", "xlink:href")]

    def handle_data(self, data: str) -> None:
        self.text += data


def test_html_takes_no_markup_in(home: Path, name: str) -> None:
    page = _Page()
    page.feed(out(home, "report", "--format", "html"))

    assert {"script", "iframe", "object", "evil"}.isdisjoint(page.tags)
    assert page.events == []
    assert all(link.startswith(("data:", "#")) for link in page.links)
    shown = "".join(page.text.split())
    assert "".join(shown_name(name).split())[:20] in shown


def test_markdown_takes_no_markup_in(home: Path) -> None:
    page = _Page()
    page.feed(MarkdownIt("commonmark").enable("table").render(out(home, "report")))

    assert {"script", "img", "svg", "iframe", "a"}.isdisjoint(page.tags)
    assert page.events == []


def test_csv_runs_no_formula_and_loses_nothing(home: Path, name: str) -> None:
    rows = list(csv.DictReader(io.StringIO(out(home, "export"), newline="")))

    for row in rows:
        for cell in (row["crew"], row["text"], row["remark"], row["lure"]):
            assert not cell.startswith(STARTS)
    assert any(plain_letters(name).strip()[-12:] in row["text"] for row in rows)


def test_jsonl_goes_out_and_comes_in_the_same(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "out.jsonl"
    out(home, "export", "--format", "jsonl", "--out", str(file))
    other = tmp_path / "other"

    assert run(other, "import", str(file)).code == 0
    assert out(other, "export").count("\r\n") == out(home, "export").count("\r\n")


def test_xml_and_json_forms_can_be_parsed(home: Path) -> None:
    ET.fromstring(out(home, "export", "--format", "gpx"))
    json.loads(out(home, "export", "--format", "geojson"))
    json.loads(out(home, "report", "--json"))
    json.loads(out(home, "tally", "--by", "crew", "--json"))


def test_sqlite_holds_the_name_as_it_is(home: Path, name: str, tmp_path: Path) -> None:
    file = tmp_path / "out.sqlite"
    out(home, "export", "--out", str(file))

    db = sqlite3.connect(file)
    held = {crew for (crew,) in db.execute("SELECT crew FROM entries")}
    db.close()
    assert held == {shown_name(name)}


def test_a_pdf_is_whole_and_shows_text_only(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "out.pdf"
    out(home, "report", "--out", str(file))

    read = pypdf.PdfReader(file)
    assert len(read.pages) >= 1
    assert b"/JavaScript" not in file.read_bytes()
    assert b"/URI" not in file.read_bytes()
    assert b"/Launch" not in file.read_bytes()
    assert not any(page.get("/Annots") for page in read.pages)


def test_pictures_are_whole(home: Path, tmp_path: Path) -> None:
    for command in (("tally", "--by", "crew"), ("spread",)):
        file = tmp_path / f"{command[0]}.svg"
        out(home, *command, "--picture", str(file)) if command[0] == "tally" else run(
            home, *command, "--picture", str(file)
        )
        if file.exists():
            tags = {one.tag.rpartition("}")[2] for one in ET.parse(file).iter()}
            assert {"script", "image", "foreignObject", "evil"}.isdisjoint(tags)


@pytest.fixture(scope="module", params=list(CONTROL.values()), ids=list(CONTROL))
def code(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def controlled(tmp_path_factory: pytest.TempPathFactory, code: str) -> Path:
    """Return a log with control codes in its names, which the tests only read."""
    return logged(tmp_path_factory.mktemp("controlled"), code)


def test_control_codes_do_not_reach_the_terminal(
    controlled: Path, code: str, tmp_path: Path
) -> None:
    home = shutil.copytree(controlled, tmp_path / "home")

    for command in READERS:
        done = run(home, *command)
        assert done.code == 0, done
        found = ESCAPES.search(done.out + done.err)
        assert found is None, (command, found, done)
    said = run(home, "chat", said=f"note: {code.splitlines()[0]}\nlast note\nwhat's out\n")
    assert ESCAPES.search(said.out) is None, said


def test_control_codes_leave_every_form_whole(controlled: Path, tmp_path: Path) -> None:
    home = controlled

    ET.fromstring(out(home, "export", "--format", "gpx"))
    json.loads(out(home, "export", "--format", "geojson"))
    rows = list(csv.DictReader(io.StringIO(out(home, "export"), newline="")))
    assert len(rows) >= 7
    page = out(home, "report", "--format", "html")
    assert ESCAPES.search(page) is None
    file = tmp_path / "x.pdf"
    out(home, "report", "--out", str(file))
    assert pypdf.PdfReader(file).pages


def test_a_box_goes_out_guarded_and_comes_in_as_it_was(tmp_path: Path) -> None:
    file, back = tmp_path / "box.csv", tmp_path / "back.csv"
    names = ["=1+1", "+cmd", "-minus", "@at", "＝wide", "'quoted", "plain"]
    with file.open("w", encoding="utf-8", newline="") as text:
        csv.writer(text).writerows(
            [("name", "size_in", "colours"), *((n, 8, "red") for n in names)]
        )

    assert run(tmp_path / "a", "box", "import", str(file)).code == 0
    assert run(tmp_path / "a", "box", "export", "--out", str(back)).code == 0
    assert run(tmp_path / "b", "box", "import", str(back)).code == 0

    cells = [row[0] for row in csv.reader(io.StringIO(back.read_text("utf-8"), newline=""))]
    assert not any(cell.startswith(STARTS) for cell in cells)
    listed = json.loads(out(tmp_path / "b", "box", "list", "--json"))["lures"]
    assert {one["name"] for one in listed} == set(names)
