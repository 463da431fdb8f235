"""A public function or class is named by a noun or a verb, not by a participle: not `told`, but `tell`."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

BOT: Final = Path(__file__).parents[1] / "bot"
IRREGULAR: Final = frozenset(
    "beaten begun bent bitten born bought bound broken brought built caught chosen done drawn driven"
    " eaten fallen felt forgotten fought found frozen given gone grown heard held hidden hung kept"
    " known laid learnt led left lent lost made meant met paid said seen sent shown sold spelt spent"
    " spoken stolen stood struck swept swum taken taught thought told torn understood woken won worn"
    " wound written".split()
)
"""Participles that do not end like the others, without those that are verbs as well ("read", "cut")."""
NO_PARTICIPLES: Final = frozenset({"bed", "feed", "need", "red", "seed", "shed", "speed", "weed"})
EVENTS: Final = {"trip/entry.py": frozenset({"Advised", "Asked", "Restored", "Voided"})}
"""Records of the log, which tell what has happened."""


def _is_participle(name: str) -> bool:
    if "_" in name or any(letter.isupper() for letter in name[1:]):
        return False  # of several words
    word = name.lower()
    for before in ("un", "re"):
        word = word.removeprefix(before) if word.removeprefix(before) in IRREGULAR else word
    return word in IRREGULAR or (word.endswith("ed") and word not in NO_PARTICIPLES)


def _bare(tree: ast.Module) -> Iterator[str]:
    """Yield the public functions and classes of a module that are named by a participle alone."""
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)
    names = (node.name for node in tree.body if isinstance(node, kinds))
    yield from (name for name in names if not name.startswith("_") and _is_participle(name))


@pytest.mark.parametrize(
    "path", sorted(BOT.rglob("*.py")), ids=lambda path: path.relative_to(BOT).as_posix()
)
def test_no_public_name_is_a_bare_participle(path: Path) -> None:
    found = set(_bare(ast.parse(path.read_text("utf-8"))))

    assert found == EVENTS.get(path.relative_to(BOT).as_posix(), set())


@pytest.mark.parametrize(
    ("name", "is_one"),
    [
        ("told", True), ("Heard", True), ("unheard", True), ("judged", True), ("understood", True),
        ("tell", False), ("read", False), ("speed", False), ("Hearing", False), ("weed", False),
    ],
)  # fmt: skip
def test_a_participle_is_known_by_its_form(name: str, is_one: bool) -> None:
    assert _is_participle(name) is is_one
