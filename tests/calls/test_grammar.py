"""What is wrong in a grammar file is said with file, line and the mend; the boat's own words join."""

import pytest

from bot.bench.corpus import ROOT
from bot.calls.grammar import load
from bot.calls.language import Language
from bot.calls.template import parse_template
from bot.calls.understand import understand
from bot.errors import GrammarError
from bot.transcript import typed_transcript

TEXTS = {p.name: p.read_text("utf-8") for p in (ROOT / "grammar").glob("*.toml")}


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        (
            "calls.toml",
            '"{tenths}"',
            '"{tenthz}"',
            r"calls\.toml:\d+: no slot",
        ),
        ("calls.toml", "[help]", "[halp]", r"calls\.toml:\d+: there is no act 'halp'"),
        (
            "rules.toml",
            "[<prep>]",
            "[<prepp>]",
            r"rules\.toml:\d+: no shared part is called <prepp>",
        ),
        ("parts.toml", "[<fuel>]", "[<fuel>", r"parts\.toml:\d+: .*never closed"),
        (
            "parts.toml",
            "[<fuel>]",
            "[<dock>]",
            r"parts\.toml: the shared part <dock> contains itself",
        ),
        ("parts.toml", "\nberth = [", "\nslip = [", r"parts\.toml:\d+: <slip> stands there twice"),
        (
            "parts.toml",
            '\ndock = ["[<fuel>] <slip>"]',
            '\ndock = "slip"',
            r"parts\.toml:\d+: dock is no list",
        ),
        ("words.toml", "[side]", "[sides]", r"words\.toml has no \[side\]"),
        ("words.toml", "[unit.gear]", "[unit.gears]", r"words\.toml has no \[unit\.gear\]"),
        ("words.toml", "\nyard =", "\nell =", r"\[unit\.length_cm\] has 'ell'.*use foot"),
    ],
)
def test_a_broken_file_is_named_with_its_line(file: str, old: str, new: str, said: str) -> None:
    assert old in TEXTS[file]
    broken = TEXTS | {file: TEXTS[file].replace(old, new, 1)}

    with pytest.raises(GrammarError, match=said):
        load(broken)


def test_a_template_says_what_is_wrong_with_it() -> None:
    with pytest.raises(GrammarError, match="never closed"):
        parse_template("[the (strike|bite)")


def test_the_boats_own_words_join_the_language() -> None:
    extra = {"position": {"centre rigger": ["centre rigger"]}, "name": {"Blue Door": ["blue door"]}}
    own = Language(load(TEXTS, extra))

    (call,) = understand(typed_transcript("blue door on the centre rigger"), own).calls

    assert call.to_json() == {"act": "set", "position": "centre rigger", "lure": "Blue Door"}
