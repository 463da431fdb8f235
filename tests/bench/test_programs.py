"""The programs that run beside a GPU know nothing of the package, so mypy does not see what they import."""

import ast
from pathlib import Path

import pytest

BENCH = Path(__file__).parents[2] / "bot" / "bench"


def _names(path: Path) -> set[str]:
    """Return the names that a module has at its top level."""
    found: set[str] = set()
    for node in ast.parse(path.read_text("utf-8")).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.add(node.name)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            found |= {n.id for n in ast.walk(node) if isinstance(n, ast.Name)}
    return found


def _imports(path: Path) -> list[tuple[str, str]]:
    """Return the names that a program imports from the programs beside it."""
    return [
        (node.module, alias.name)
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.ImportFrom)
        and node.module
        and (BENCH / f"{node.module}.py").exists()
        for alias in node.names
    ]


PROGRAMS = [path for path in sorted(BENCH.glob("*.py")) if _imports(path)]


def test_there_are_such_programs() -> None:
    assert {"reader_net", "reader_train"} <= {path.stem for path in PROGRAMS}


@pytest.mark.parametrize("path", PROGRAMS, ids=lambda path: path.stem)
def test_what_a_program_imports_from_another_is_there(path: Path) -> None:
    missing = [
        f"{module}.{name}"
        for module, name in _imports(path)
        if name not in _names(BENCH / f"{module}.py")
    ]

    assert missing == []
