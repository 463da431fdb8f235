"""README, guide and DEVELOPERS.md against the program: what they say is tried, not believed."""

import re
import shlex
import textwrap
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bot.bench.__main__ import BENCHES
from bot.build import open_desk
from bot.cli.guide import ALSO, TOPICS, pages
from bot.cli.options import parser
from bot.settings import OutfitSettings, Settings, load
from bot.tackle.box import COLUMNS
from bot.tackle.cautions import CAUTIONS, DEFER

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
GUIDE = tuple(sorted((ROOT / "bot" / "guide").glob("*.md")))
DEVELOPERS = ROOT / "DEVELOPERS.md"
PAPERS = (README, *GUIDE, DEVELOPERS)
RESULTS = tuple(sorted((ROOT / "bot" / "bench" / "results").glob("*.md")))
WIDTH = 112
_LINE = re.compile(r"^(\d\d:\d\d)  (\S+) +(.+)$")
_COMMAND = re.compile(r"`(deckcall [^`]+)`")
_BLOCK = re.compile(r"^```(\w*)\n(.*?)^```", re.M | re.S)


def test_papers_are_short() -> None:
    assert len(README.read_text(encoding="utf-8").splitlines()) <= 150
    assert len(DEVELOPERS.read_text(encoding="utf-8").splitlines()) <= 250


def test_every_page_of_the_guide_is_listed_and_says_first_what_it_is_about() -> None:
    assert {path.stem for path in GUIDE} == set(TOPICS)
    assert set(ALSO.values()) <= set(TOPICS)
    for page in pages():
        assert page.text.startswith("# ")
        assert 20 < len(page.summary) < 200, page.topic


def _commands() -> Iterator[tuple[str, str]]:
    for paper in PAPERS:
        text = paper.read_text(encoding="utf-8")
        for kind, block in _BLOCK.findall(text):
            if kind != "toml":
                lines = block.splitlines()
                yield from (
                    (paper.name, x.split("  #")[0]) for x in lines if x.startswith("deckcall ")
                )
        prose = _BLOCK.sub("", text).replace("\\|", "|")
        yield from ((paper.name, " ".join(x.split())) for x in _COMMAND.findall(prose))


@pytest.mark.parametrize("line", sorted({line for _, line in _commands()}))
def test_every_command_line_can_be_typed(line: str) -> None:
    typed = [x for x in shlex.split(re.sub(r"\[[A-Z]+\]", "", line).replace("…", "")) if x][1:]
    if typed[:1] in (["COMMAND"], ["--help"], ["--version"]):
        return
    named = typed
    known: Any = parser()
    while named and (
        inner := next((a.choices for a in known._actions if isinstance(a.choices, dict)), None)
    ):
        assert named[0] in inner, line
        known, named = inner[named[0]], named[1:]
    if not named or named == ["--format"] or named == ["--jsgf"]:
        return  # a command that is only named

    parser().parse_args(typed)


def test_every_command_is_on_the_page_of_commands() -> None:
    choices: Any = next(a.choices for a in parser()._actions if a.choices)
    page = (ROOT / "bot/guide/commands.md").read_text(encoding="utf-8")

    assert [name for name in choices if f"deckcall {name}" not in page] == []


def _toml_blocks() -> Iterator[tuple[str, str]]:
    for paper in PAPERS:
        for kind, block in _BLOCK.findall(paper.read_text(encoding="utf-8")):
            if kind == "toml":
                yield paper.stem, block


@pytest.mark.parametrize("block", [block for _, block in _toml_blocks()])
def test_every_block_of_settings_loads(tmp_path: Path, block: str) -> None:
    (tmp_path / "deckcall.toml").write_text(block, encoding="utf-8")
    (tmp_path / "plain.toml").write_text(re.sub("^# ([a-z]+ = )", r"\1", block, flags=re.M))

    load({}, {"home": tmp_path})
    tomllib.loads((tmp_path / "plain.toml").read_text())  # what is commented out is TOML too


def test_every_setting_stands_in_the_guide() -> None:
    said: dict[str, Any] = {}
    for _, block in _toml_blocks():
        for table, value in tomllib.loads(
            re.sub("^# ([a-z]+ = )", r"\1", block, flags=re.M)
        ).items():
            held = said.setdefault(table, {})
            held.update(value if isinstance(value, dict) else value[0])
    known = {
        "boat": {"name", "timezone", "positions", "latitude", "longitude"},
        "advice": {"min_chance", "changes_a_day", "usual_strikes_per_10h", "day_h"},
        "outfit": {field.name for field in fields(OutfitSettings)},
    }  # fmt: skip
    for one in fields(Settings):
        value = getattr(Settings(Path()), one.name)
        if is_dataclass(value) and one.name not in known:
            known[one.name] = {field.name for field in fields(value)} - {"token"}

    assert {
        table: known[table] - set(said[table]) for table in known if known[table] - set(said[table])
    } == {}


@pytest.mark.parametrize("paper", [README, *GUIDE], ids=lambda path: path.stem)
def test_every_extra_that_is_named_exists(paper: Path) -> None:
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"][
        "optional-dependencies"
    ]

    assert set(re.findall(r"pip install '(?:deckcall|\.)\[(\w+)\]'", paper.read_text())) <= set(
        extras
    )


def test_every_column_of_the_box_is_explained() -> None:
    for paper in (README, ROOT / "bot/guide/tackle-box.md"):
        rows = [x.split("|")[1] for x in paper.read_text().splitlines() if x.startswith("| `")]
        named = {name for row in rows for name in re.findall(r"`(\w+)`", row)}

        assert set(COLUMNS) <= named, paper.name


def test_the_page_on_safety_holds_every_caution() -> None:
    page = (ROOT / "bot/guide/safety.md").read_text(encoding="utf-8")

    assert [text for text in (DEFER, *CAUTIONS.values()) if text not in page] == []


def test_the_conversation_of_the_readme_is_what_the_program_answers(tmp_path: Path) -> None:
    text = README.read_text(encoding="utf-8")
    setting, shown = re.findall(r"<!-- conversation: (.*?)-->\n```\n(.*?)```", text, re.S)[0]
    files, _, before = setting.partition("\n")
    boat, box = (ROOT / name.strip() for name in files.split(","))

    answered = _played(tmp_path, boat, box, before.splitlines(), shown.splitlines())

    assert shown == answered, f"the README shows another conversation; now it is:\n{answered}"


def _played(home: Path, boat: Path, box: Path, before: Sequence[str], shown: Sequence[str]) -> str:
    """Return the conversation with the replies as they are, replies indented, long lines wrapped."""
    (home / "deckcall.toml").write_bytes(boat.read_bytes())
    found, out = load({}, {"home": home}), []
    with open_desk(found) as desk:
        desk.box_import(box)
        for number, line in enumerate([*before, *shown]):
            if not (said := _LINE.match(line)):
                continue
            at = datetime.fromisoformat(f"2026-02-07 {said[1]}").replace(
                tzinfo=ZoneInfo(found.boat.timezone)
            )
            reply = desk.say(said[3], crew=said[2], at=at)
            if number < len(before):
                assert reply.calls, f"not understood: {line}"
                continue
            out.append(line)
            for part in reply.text.splitlines():
                out += textwrap.wrap(
                    part, WIDTH, initial_indent=" " * 17, subsequent_indent=" " * 19
                )
    return "\n".join(out) + "\n"


def test_the_map_of_modules_is_the_tree() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    rows = text[text.index("## Module map") : text.index("## Adding an act")].splitlines()
    told = {
        n
        for row in rows
        if row.startswith("| `")
        for n in re.findall(r"`([\w/]+)`", row.split("|")[1])
    }
    tree = {path.stem for path in (ROOT / "bot").glob("[a-z]*.py")}
    tree |= {f"{path.name}/" for path in (ROOT / "bot").glob("[a-z]*/")}

    assert told == tree


def test_the_benches_that_are_told_of_exist() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    told = set(re.findall(r"bot\.bench (\w+)", text)) | {
        p.stem for p in RESULTS if p.stem in BENCHES
    }
    rows = text[text.index("| `python -m bot.bench …") :].splitlines()[2:]
    for row in rows:
        if not row.startswith("| `"):
            break
        told |= set(re.findall(r"`(\w+)`", row.split("|")[1]))

    assert told - {"NAME"} <= set(BENCHES)
    assert set(BENCHES) <= told


def test_every_file_that_developers_are_sent_to_is_there() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    named = re.findall(r"`([a-z_]+/[\w/.]*\w)`", text)

    gone = [
        n
        for n in named
        if not any((ROOT / at / f"{n}{end}").exists() for at in ("", "bot") for end in ("", ".py"))
    ]
    assert gone == []


def _examples() -> Iterator[tuple[str, tuple[str, ...]]]:
    for paper in (README, ROOT / "bot/guide/calls.md"):
        text = paper.read_text(encoding="utf-8")
        for row in text[text.index("| to | say") :].split("\n\n")[0].splitlines()[2:]:
            to, said = row.strip("| ").split("|", 1)
            yield f"{paper.stem}: {to.strip()}", tuple(re.findall(r'"([^"]+)"', said))


@pytest.mark.parametrize(("row", "examples"), list(_examples()))
def test_everything_that_is_said_to_be_understood_is_answered(
    tmp_path: Path, row: str, examples: tuple[str, ...]
) -> None:
    (tmp_path / "deckcall.toml").write_bytes((ROOT / "fixtures/demo/deckcall.toml").read_bytes())
    at = datetime(2026, 2, 7, 18, tzinfo=ZoneInfo("UTC"))
    with open_desk(load({}, {"home": tmp_path})) as desk:
        desk.box_import(ROOT / "fixtures/calls/box.csv")
        for said in (
            "set long rigger church hat",
            "set shotgun rusty nail",
            "lines in",
            "strike shotgun",
        ):
            at += timedelta(minutes=5)
            assert desk.say(said, crew="Ana", at=at).text
        for said in examples:
            at += timedelta(minutes=5)
            reply = desk.say(said, crew="Ana", at=at)

            assert reply.text, f"{row}: {said}"
            assert not reply.text.startswith("Not "), f"{row}: {said}"
