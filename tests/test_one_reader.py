"""Only `bot/calls` reads what was said; who comes after it looks at values."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "bot"
READS_NOTHING = ("answers", "reminders", "trip", "replies", "spread", "advice", "desk")
SAID = frozenset({"text", "heard"})
"""Fields that hold what was said."""
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
