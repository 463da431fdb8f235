"""The corpora of calls that the benches and tests judge the parser by, and what counts as right.

The same rule as the conventions of the corpora: all calls, in order, all slots; numbers may differ by
0.6 %; free text without capitals and punctuation.
"""

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from bot.calls.language import Language, language
from bot.fittings import learned_reader, word_model
from bot.speech.pronunciations import pronunciations, sounded_out

ROOT = Path(__file__).resolve().parents[2]
CORPORA = ROOT / "fixtures" / "calls"
BOX = CORPORA / "box.csv"


@cache
def corpus_language(box: Path | None = BOX, networks: bool = True) -> Language:
    """Return the language with the names of a tackle box, made once; without networks where not wanted."""
    texts = {p.name: p.read_text("utf-8") for p in (ROOT / "grammar").glob("*.toml")}
    extra = {}
    if box is not None and box.exists():
        with box.open(encoding="utf-8", newline="") as file:
            extra = {"name": {row["name"]: [row["name"].lower()] for row in csv.DictReader(file)}}
    known = pronunciations()
    made = language(
        texts,
        extra,
        known,
        lambda word: sounded_out(word, known),
        *(learned_reader() if networks else ()),
    )
    return replace(made, word_model=word_model if networks else None)


def same_calls(want: Sequence[Mapping[str, Any]], got: Sequence[Mapping[str, Any]]) -> bool:
    """Return whether calls are right by the conventions."""
    return len(want) == len(got) and all(map(_same_call, want, got))


def _same_call(want: Mapping[str, Any], got: Mapping[str, Any]) -> bool:
    return want.keys() == got.keys() and all(same_value(k, want[k], got[k]) for k in want)


def same_value(slot: str, want: Any, got: Any) -> bool:
    """Return whether a slot holds what a label wants: numbers within 0.6 %, text without marks."""
    if isinstance(want, bool) or isinstance(got, bool):
        return want is got
    if isinstance(want, int | float) and isinstance(got, int | float):
        return abs(want - got) <= 0.006 * abs(want) + 1e-9
    if isinstance(want, dict) and isinstance(got, dict):
        return want.keys() == got.keys() and all(same_value(k, want[k], got[k]) for k in want)
    if slot == "text" and isinstance(got, str):
        return plain_text(str(want)) == plain_text(got)
    if slot == "lure" and isinstance(got, str):
        return str(want).casefold() == got.casefold()
    return bool(want == got)


def plain_text(text: str) -> str:
    """Return free text without capitals, marks and what begins it."""
    text = re.sub(r"[^\w\s'.]|(?<!\w)['.]|['.](?!\w)", " ", text.lower().replace("\u2019", "'"))
    return re.sub(r"^(?:(?:that|a|an|the|to|of|some)\s+)+", "", " ".join(text.split()))
