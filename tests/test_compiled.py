import hashlib
import pickle
from pathlib import Path

import pytest

from bot.calls.grammar import Grammar, load
from bot.calls.understand import Language, understand
from bot.compiled import FILE, kept_grammar
from bot.shipped import grammar_texts
from bot.transcript import typed


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    return load(grammar_texts(), {"name": {"Tea Cosy": ("tea cosy",)}})


def _never() -> Grammar:
    raise AssertionError("compiled again")


def test_what_was_compiled_is_read_back_as_it_was(tmp_path: Path, grammar: Grammar) -> None:
    kept_grammar(tmp_path, "words", lambda: grammar, keep=True)

    found = kept_grammar(tmp_path, "words", _never, keep=False)

    assert found.words == grammar.words
    assert found.ears == grammar.ears
    assert found.examples == grammar.examples
    assert found.vocabulary == grammar.vocabulary
    state = found.wordings.step(found.wordings.start, "strike")
    assert state is not None
    assert {cue.act for cue in state.accepts if not isinstance(cue, str)} == {"strike"}
    assert (tmp_path / FILE).stat().st_mode & 0o077 == 0


def test_calls_are_understood_with_it_as_with_a_new_one(tmp_path: Path, grammar: Grammar) -> None:
    kept_grammar(tmp_path, "words", lambda: load(grammar_texts()), keep=True)
    read = Language(kept_grammar(tmp_path, "words", _never, keep=False))
    made = Language(grammar)
    lines = [one.say for one in grammar.examples[::7]] + [
        "tally by colour",
        "well the coffee is good",
    ]

    assert [understand(typed(x), read).calls for x in lines] == [
        understand(typed(x), made).calls for x in lines
    ]


def test_other_words_are_compiled_anew(tmp_path: Path, grammar: Grammar) -> None:
    kept_grammar(tmp_path, "words", lambda: grammar, keep=True)

    with pytest.raises(AssertionError, match="compiled again"):
        kept_grammar(tmp_path, "other words", _never, keep=True)


@pytest.mark.parametrize("damage", ["short", "changed"])
def test_a_damaged_file_is_compiled_anew(tmp_path: Path, grammar: Grammar, damage: str) -> None:
    kept_grammar(tmp_path, "words", lambda: grammar, keep=True)
    data = (tmp_path / FILE).read_bytes()
    other = data[:5000] if damage == "short" else data[:5000] + b"?" + data[5001:]
    (tmp_path / FILE).write_bytes(other)

    assert kept_grammar(tmp_path, "words", lambda: grammar, keep=False) is grammar


def test_a_file_that_would_run_something_runs_nothing(tmp_path: Path, grammar: Grammar) -> None:
    class Evil:
        def __reduce__(self) -> tuple[object, tuple[Path]]:
            return Path.touch, (tmp_path / "ran",)

    kept_grammar(tmp_path, "words", lambda: grammar, keep=True)
    name = (tmp_path / FILE).read_bytes()[:32]
    body = pickle.dumps(Evil())
    (tmp_path / FILE).write_bytes(name + hashlib.sha256(body).digest() + body)

    assert kept_grammar(tmp_path, "words", lambda: grammar, keep=False) is grammar
    assert not (tmp_path / "ran").exists()


def test_a_home_that_is_not_there_is_not_made(tmp_path: Path, grammar: Grammar) -> None:
    home = tmp_path / "home"

    assert kept_grammar(home, "words", lambda: grammar, keep=True) is grammar
    assert not home.exists()
