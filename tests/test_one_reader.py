"""Only `bot/calls` reads what was said; who comes after it looks at values."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "bot"
READS_NOTHING = ("answers", "reminders", "trip", "replies", "spread", "advice", "desk")
SAID = frozenset({"text", "heard"})
"""Fields that hold what was said."""
MESSAGES = frozenset({"message", "heard", "found", "a"})
"""Names under which a message that is read now, and nothing of the log, holds its words."""
READS_MESSAGES = ROOT / "desk" / "understood.py"
"""The one place outside `calls` where words are given to be read."""
WAYS_TO_READ = frozenset(
    {"casefold", "lower", "split", "startswith", "endswith", "find", "count", "strip", "index"}
)
FILES = sorted(path for name in READS_NOTHING for path in (ROOT / name).rglob("*.py"))


def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_nobody_else_uses_regular_expressions(path: Path) -> None:
    imported = {
        name
        for node in ast.walk(_tree(path))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in (
            [node.module] if isinstance(node, ast.ImportFrom) else [a.name for a in node.names]
        )
    }

    assert imported.isdisjoint({"re", "regex", "fnmatch"})


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_nobody_else_looks_into_what_was_said(path: Path) -> None:
    assert list(_looks(_tree(path))) == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_nothing_that_was_said_is_given_to_be_read_again(path: Path) -> None:
    given = _given_to_calls(_tree(path))

    if path == READS_MESSAGES:
        assert given, "nothing is read here any more: take it off"
        given = [one for one in given if one.partition(".")[0] not in MESSAGES]
    assert given == []


def _given_to_calls(tree: ast.AST) -> list[str]:
    """Return the texts of something said that are handed to what is imported from `calls`."""
    readers = {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("bot.calls")
        for alias in node.names
    } | {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.Import)
        for alias in node.names
        if alias.name.startswith("bot.calls")
    }
    return [
        ast.unparse(inside)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and _name(node.func) in readers
        for given in (*node.args, *(keyword.value for keyword in node.keywords))
        for inside in ast.walk(given)
        if isinstance(inside, ast.Attribute) and inside.attr in SAID
    ]


def _name(node: ast.expr) -> str:
    """Return the first name of `question`, `phrasing.question` or `bot.calls.phrasing.question`."""
    text = ast.unparse(node)
    return next((part for part in (text.rpartition(".")[0], text.partition(".")[0]) if part), text)


def _looks(tree: ast.AST) -> list[str]:
    """Return the places where what was said is taken apart, or a word is looked for in it."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if node.func.attr in WAYS_TO_READ and _is_said(node.func.value):
                found.append(ast.unparse(node))
        elif isinstance(node, ast.Compare) and any(isinstance(op, ast.In) for op in node.ops):
            found += [ast.unparse(node) for one in node.comparators if _is_said(one)]
    return found


def _is_said(node: ast.expr) -> bool:
    if isinstance(node, ast.BoolOp):  # (call.text or "")
        return any(map(_is_said, node.values))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        return node.func.attr in WAYS_TO_READ and _is_said(node.func.value)
    return isinstance(node, ast.Attribute) and node.attr in SAID


@pytest.mark.parametrize(
    "line",
    ["call.text.split()", "(call.text or '').casefold() == 'lost'", "'weed' in entry.text",
     "'x' in found.heard.lower()"],
)  # fmt: skip
def test_a_look_into_what_was_said_is_found(line: str) -> None:
    assert _looks(ast.parse(line)) != []


@pytest.mark.parametrize(
    "line",
    ["from bot.calls.terms import read\nread(entry.text)",
     "from bot.calls.terms import read as look\nlook(next((r.text for r in records), ''))",
     "from bot.calls import terms\nterms.read(said=entry.text)",
     "import bot.calls.terms\nbot.calls.terms.read(found.heard)"],
)  # fmt: skip
def test_words_that_are_given_to_be_read_again_are_found(line: str) -> None:
    assert _given_to_calls(ast.parse(line)) != []
