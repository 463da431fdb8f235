import hashlib
import pickle
from pathlib import Path

import pytest

from bot.calls.grammar import Grammar, load
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.compiled import FILE, kept_grammar
from bot.logbook.store import FILE as LOG
from bot.shipped import grammar_texts
from bot.transcript import typed_transcript


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    return load(grammar_texts(), {"name": {"Tea Cosy": ("tea cosy",)}})


@pytest.fixture
def home(tmp_path: Path) -> Path:
    (tmp_path / LOG).touch()
    return tmp_path


def _never() -> Grammar:
    raise AssertionError("compiled again")


def test_what_was_compiled_is_read_back_as_it_was(home: Path, grammar: Grammar) -> None:
    kept_grammar(home, "words", lambda: grammar, keep=True)

    found = kept_grammar(home, "words", _never, keep=False)

    assert found.words == grammar.words
    assert found.ears == grammar.ears
    assert found.examples == grammar.examples
    assert found.vocabulary == grammar.vocabulary
    state = found.wordings.step(found.wordings.start, "strike")
    assert state is not None
    assert {cue.act for cue in state.accepts if not isinstance(cue, str)} == {"strike"}
    assert (home / FILE).stat().st_mode & 0o077 == 0


def test_calls_are_understood_with_it_as_with_a_new_one(home: Path, grammar: Grammar) -> None:
    kept_grammar(home, "words", lambda: load(grammar_texts()), keep=True)
    read = Language(kept_grammar(home, "words", _never, keep=False))
    made = Language(grammar)
    lines = [one.say for one in grammar.examples[::7]] + [
        "tally by colour",
        "well the coffee is good",
    ]

    assert [understand(typed_transcript(x), read).calls for x in lines] == [
        understand(typed_transcript(x), made).calls for x in lines
    ]


def test_other_words_are_compiled_anew(home: Path, grammar: Grammar) -> None:
    kept_grammar(home, "words", lambda: grammar, keep=True)

    with pytest.raises(AssertionError, match="compiled again"):
        kept_grammar(home, "other words", _never, keep=True)


@pytest.mark.parametrize("damage", ["short", "changed"])
def test_a_damaged_file_is_compiled_anew(home: Path, grammar: Grammar, damage: str) -> None:
    kept_grammar(home, "words", lambda: grammar, keep=True)
    data = (home / FILE).read_bytes()
    other = data[:5000] if damage == "short" else data[:5000] + b"?" + data[5001:]
    (home / FILE).write_bytes(other)

    assert kept_grammar(home, "words", lambda: grammar, keep=False) is grammar


def test_a_file_that_would_run_something_runs_nothing(home: Path, grammar: Grammar) -> None:
    class Evil:
        def __reduce__(self) -> tuple[object, tuple[Path]]:
            return Path.touch, (home / "ran",)

    kept_grammar(home, "words", lambda: grammar, keep=True)
    name = (home / FILE).read_bytes()[:32]
    body = pickle.dumps(Evil())
    (home / FILE).write_bytes(name + hashlib.sha256(body).digest() + body)

    assert kept_grammar(home, "words", lambda: grammar, keep=False) is grammar
    assert not (home / "ran").exists()


def test_a_folder_without_a_log_is_left_alone(tmp_path: Path, grammar: Grammar) -> None:
    assert kept_grammar(tmp_path, "words", lambda: grammar, keep=True) is grammar
    assert kept_grammar(tmp_path / "none", "words", lambda: grammar, keep=True) is grammar
    assert not list(tmp_path.iterdir())
