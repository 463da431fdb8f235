"""The table of acts: one place to add an act, and few places that name one."""

import ast
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final, get_args

from bot.trip.acts import ACTS, ROWS, TABLE, Form, Kind, Stage
from bot.trip.call import Call

ROOT: Final = Path(__file__).parents[2]
CODEC: Final = {"bot/trip/acts.py", "bot/logbook/codec.py"}
MOST_FILES: Final = 15
_WORDS: Final = frozenset(
    "set clear boat strike raise note water speed ready no yes help plan mark miss drag leader bait"
    " conditions tray emergency angler release swap undo rework".split()
)
"""Acts that are ordinary words too: they count where they stand beside an act."""


def test_every_act_has_one_row_and_takes_slots_that_a_call_has() -> None:
    slots = set(Call.__dataclass_fields__) - {"act"}

    assert len(set(ACTS)) == len(ACTS) == len(TABLE)
    assert {slot for row in ROWS for slot in row.takes} <= slots
    assert {slot for row in ROWS for slot in row.reads.values()} <= slots
    assert {row.kind for row in ROWS} == set(get_args(Kind))
    assert {row.stage for row in ROWS} - {None} == set(get_args(Stage))
    assert {row.form for row in ROWS} == set(get_args(Form))
    assert all(row.label for row in ROWS)


def test_acts_are_named_in_few_files_beside_the_table_and_the_codec() -> None:
    named = {}
    for path in sorted((ROOT / "bot").rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        if name in CODEC or name.startswith("bot/bench/"):
            continue
        found = sorted(set(_named(ast.parse(path.read_text("utf-8")))))
        if found:
            named[name] = found

    assert len(named) <= MOST_FILES, named


def _named(tree: ast.AST) -> Iterator[str]:
    """Yield the acts that a file names: in any place, or an ordinary word where an act is meant."""
    for node in ast.walk(tree):
        match node:
            case ast.Constant(value=str(text)) if text in ACTS and text not in _WORDS:
                yield text
            case ast.Call(
                func=ast.Name(id="Call" | "Draft"), args=[ast.Constant(value=str(text)), *_]
            ):
                yield text
            case ast.Compare() if _is_act(node.left) or any(map(_is_act, node.comparators)):
                yield from (t for part in node.comparators for t in _texts(part))
            case ast.Match(subject=subject) if _is_act(subject):
                yield from (t for case in node.cases for t in _texts(case.pattern) if t in ACTS)


def _is_act(node: ast.AST) -> bool:
    name = (
        node.attr
        if isinstance(node, ast.Attribute)
        else node.id
        if isinstance(node, ast.Name)
        else ""
    )
    return name in ("act", "acts")


def _texts(node: ast.AST) -> Iterator[str]:
    for part in ast.walk(node):
        if isinstance(part, ast.Constant) and isinstance(part.value, str):
            yield part.value


_SCRIPT: Final = '''
import importlib.abc, importlib.util, json, sys, tempfile
from datetime import datetime, timedelta, UTC
from pathlib import Path

ROOT, ROW, WORDS = Path(sys.argv[1]), sys.argv[2], sys.argv[3]

class Copied(importlib.abc.MetaPathFinder, importlib.abc.InspectLoader):
    """Loads the table with one more row."""

    def find_spec(self, name, path=None, target=None):
        if name == "bot.trip.acts":
            return importlib.util.spec_from_loader(name, self, origin="copy")
        return None

    def get_source(self, name):
        text = (ROOT / "bot/trip/acts.py").read_text("utf-8")
        text = text.replace('"break_off", "boat", "release"', '"break_off", "boat", "release", "sharked"', 1)
        return text.replace("    # What is seen, measured and kept", ROW, 1)

sys.meta_path.insert(0, Copied())
sys.path.insert(0, str(ROOT))
import bot.fittings
texts = dict(bot.fittings.grammar_texts())
texts["calls.toml"] += WORDS
bot.fittings.grammar_texts = lambda: texts

from bot import Desk
from bot.calls.phrasing import question
from bot.trip.call import Call

start = datetime(2026, 3, 14, 7, tzinfo=UTC)
said = ["trip start", "purple eight on the long rigger", "lines in", "hooked up long rigger",
        "taxman took him"]
with tempfile.TemporaryDirectory() as home:
    with Desk(home) as desk:
        replies = []
        for n, text in enumerate(said):
            replies.append(desk.say(text, crew="Ann", at=start + timedelta(minutes=10 * n)))
            if replies[-1].ask:  # the learned reader knows no such act, so the grammar alone is asked about
                replies.append(desk.say("yes", crew="Ann", at=start + timedelta(minutes=10 * n, seconds=5)))
        at = start + timedelta(minutes=40, seconds=20)
        again = desk.say("taxman took him", crew="Ben", at=at)
        again = desk.say("yes", crew="Ben", at=at) if again.ask else again
    asked = question([tuple(Call(**c) for c in replies[-1].calls)])
    out = {"calls": replies[-1].calls, "text": replies[-1].text, "again": again.text, "asked": asked}
    from subprocess import run
    import sqlite3
    db = sqlite3.connect(Path(home, "deckcall.db"))
    out["entries"] = db.execute(
        "select act, position from entries where not void and act = 'sharked'").fetchall()
    db.close()
    from bot.cli import main
    import contextlib, io
    with contextlib.redirect_stdout(io.StringIO()) as shown:
        main(["tally", "--json", "--home", home])
    out["tally"] = shown.getvalue()
    main(["report", "--format", "md", "--home", home, "--out", home + "/report.md"])
    out["report"] = Path(home, "report.md").read_text("utf-8")
print("RESULT" + json.dumps(out))
'''

_ROW: Final = """    Row("sharked", "fish", _LOSS, label="eaten by a shark", stage="lost",
        form="ending", joins=True),
    # What is seen, measured and kept"""
_WORDING: Final = """
[sharked]
say = ["(taxman|shark) took (him|it)"]
ear = ["the taxman took him"]
example = [{ say = "taxman took him", gives = {} }]
"""


def test_an_act_that_is_added_to_the_table_goes_the_whole_way() -> None:
    run = subprocess.run(
        [sys.executable, "-c", _SCRIPT, str(ROOT), _ROW, _WORDING], capture_output=True, text=True
    )
    assert run.returncode == 0, run.stderr
    found = json.loads(run.stdout.split("RESULT", 1)[1])

    assert found["calls"] == [{"act": "sharked"}]
    assert found["asked"] == "Did you say: eaten by a shark?"
    assert found["text"].startswith("Eaten by a shark, long rigger. On for 10 min.")
    assert found["again"].startswith("Already logged by Ann")
    assert found["entries"] == [["sharked", "long rigger"]]
    total = json.loads(found["tally"])["total"]
    assert (total["strikes"], total["hookups"], total["caught"]) == (1, 1, 0)
    assert "eaten by a shark" in found["report"]
