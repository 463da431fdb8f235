"""Corpora to the tagged examples that the network of the reader is trained on.

    python -m bot.bench reader_data OUT.json FILE.jsonl … [--box box.csv]

A corpus is one call a line (`text`, `calls`; `asked` where it answers a question), or conversations
(`lines`, `line_calls`), in which what
went on before a line belongs to its meaning.
"""

import argparse
import json
import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple

from bot.bench.reader_align import Alignment, align
from bot.calls.language import Language
from bot.calls.lattice import with_repairs
from bot.calls.reader.decode import Tag
from bot.calls.reader.labels import NO_ACT, NO_ROLE
from bot.calls.reader.network import BEFORE
from bot.calls.reader.situation import FLAGS, bits, bits_of
from bot.calls.reader.words import Words, in_turn, of_lattice, said_earlier, words_of
from bot.calls.weighed import LINES_BEFORE
from bot.fittings import language_of
from bot.settings import load
from bot.tackle.box import parse

_LONGEST_REPAIRED: Final = 25
_FRESH_MIN: Final = 10
"""Minutes for which the last thing logged colours what is said next."""
_BEFORE_MIN: Final = 3
"""Minutes for which the last thing said does, as `bot.desk.boat_words.FRESH`."""
_FEWEST_SCENES: Final = 15


def main(argv: Sequence[str] | None = None) -> int:
    """Write the examples of corpora as JSON."""
    ap = argparse.ArgumentParser(prog="python -m bot.bench reader_data", description=__doc__)
    ap.add_argument("out", type=Path)
    ap.add_argument("files", type=Path, nargs="+")
    ap.add_argument("--box", type=Path)
    args = ap.parse_args(argv)
    lures = parse(args.box.read_bytes(), {}).lures if args.box else ()
    with tempfile.TemporaryDirectory() as home:
        language = language_of(load(options={"home": home}), lures)
    found, lost = [], 0
    for path in args.files:
        for data in lines_of(path):
            for said in said_in(data):
                one = example(language, said, path.as_posix())
                if one is None:
                    lost += 1
                elif one["words"]:
                    found.append(one)
    slips = {k: list(v) for k, v in _turned(language.grammar.heard).items()}
    args.out.write_text(json.dumps({"examples": found, "slips": slips, "flags": len(FLAGS)}))
    whole = sum(e["whole"] for e in found)
    print(
        f"{len(found)} examples, {whole} with every slot found in the words, {lost} not laid over"
    )
    return 0


def lines_of(path: Path) -> Iterator[dict[str, Any]]:
    """Yield the lines of a corpus: JSON, or `[situation] said => act slot=value | act` in a file of text.

    In a file of text an empty line stands between scenes; within one, `before` are the lines before.
    """
    lines = path.read_text(encoding="utf-8").strip().splitlines()
    has_scenes = sum(not line.strip() for line in lines) >= _FEWEST_SCENES
    before: tuple[str, ...] = ()
    for line in lines:
        if not line.strip():
            before = ()
        elif path.suffix == ".jsonl":
            yield json.loads(line)
        else:
            found = _from_text(line)
            yield {**found, "before": before if has_scenes else ()}
            before = (*before, found["text"])[-LINES_BEFORE:]


_IN_WORDS: Final = frozenset({"tag", "text", "clock", "angler", "lure", "old_lure", "tray"})
_SLOT: Final = re.compile(r" (\w+)=((?:(?! \w+=).)*)")


def _from_text(line: str) -> dict[str, Any]:
    said, _, meant = line.strip().partition(" =>")
    situation, text = "", said
    if said.startswith("["):
        situation, _, text = said[1:].partition("]")
    calls = []
    for one in filter(str.strip, meant.split(" | ")):
        act, _, _ = one.strip().partition(" ")
        slots = {name: _value(name, value.strip()) for name, value in _SLOT.findall(one.strip())}
        calls.append({"act": act, **slots})
    found: dict[str, Any] = {"text": text.strip(), "calls": calls}
    if situation:
        found["situation"] = [name.strip() for name in situation.split(";")]
    return found


def _value(name: str, said: str) -> Any:
    if name in ("colours", "old_colours"):
        return said.split(",")
    if name == "tagged":
        return said == "True"
    try:
        number = float(said) if name not in _IN_WORDS else None
    except ValueError:
        return said
    if number is None:
        return said
    return {"line_class_kg": number} if name == "tackle" else number


class LineInContext(NamedTuple):
    """One line with what went on when it was said."""

    text: str
    calls: Sequence[Mapping[str, Any]]
    flags: int
    situated: bool
    """True where what was going on belongs to the meaning."""
    before: tuple[str, ...] = ()
    """What was said just before, the latest last."""


def said_in(data: Mapping[str, Any]) -> Iterator[LineInContext]:
    """Yield each line of an item."""
    if "line_calls" not in data:
        asked, situation = data.get("asked", ""), data.get("situation", ())
        flags = bits_of(situation) if situation else bits(0, True, "", asked)
        before = tuple(data.get("before", ()))
        yield LineInContext(data["text"], data["calls"], flags, bool(asked or situation), before)
        return
    on, last, last_at, fishing = 0, "", 0.0, True
    before = ()
    before_at = 0.0
    for (minute, _, text), calls in zip(data["lines"], data["line_calls"], strict=False):
        fresh = minute - last_at <= _FRESH_MIN
        before = before if minute - before_at <= _BEFORE_MIN else ()
        yield LineInContext(text, calls, bits(on, fishing, last if fresh else ""), True, before)
        before, before_at = (*before, text)[-LINES_BEFORE:], minute
        for call in calls:
            act = str(call.get("act", ""))
            if act == "hookup":
                on += int(call.get("count", 1))
            if act in ("pulled_hook", "break_off", "boat", "release"):
                on = max(0, on - int(call.get("count", 1)))
            if act == "lines_out":
                fishing = False
            if act == "lines_in":
                fishing = True
            if not act.startswith("ask_") and act not in ("help", "yes", "no", "amend"):
                last, last_at = act, float(minute)


def example(language: Language, said: LineInContext, source: str) -> dict[str, Any] | None:
    """Return a line with its tags in the form that training reads, or None where they cannot be laid."""
    text, calls = said.text, said.calls
    words = words_of(text, language.grammar)
    found = align(words, calls)
    if calls and (found is None or not found.whole) and len(words.tokens) <= _LONGEST_REPAIRED:
        repairs = language.repairer.repairs(words.tokens)
        wide = of_lattice(text, with_repairs(words.lattice, repairs), language.grammar)
        better = align(wide, calls)
        if better is not None and (found is None or better.whole):
            found = better
    if found is None:
        return None
    return {
        "words": list(_rows(words, found)),
        "flags": said.flags,
        "whole": found.whole,
        "source": source,
        "situated": said.situated,
        "before": _earlier(said.before, language),
    }


def _earlier(before: Sequence[str], language: Language) -> list[tuple[str, int, int]]:
    """Return the words of the lines before: text, what is known of it as bits, whether it is punctuation."""
    marked = said_earlier(in_turn(before, language.grammar))
    return [
        (said, sum(1 << n for n, is_known in enumerate(row) if is_known), int(is_mark))
        for said, row, is_mark in marked[-BEFORE:]
    ]


def _rows(words: Words, found: Alignment) -> Iterator[tuple[str, int, str, int, str, int]]:
    for token, known, tag in zip(words.tokens, words.known, found.tags, strict=True):
        if token.stop and token.mark:
            yield token.mark, 0, NO_ACT, 0, NO_ROLE, 1
        mask = sum(1 << n for n, is_known in enumerate(known) if is_known)
        yield _row(token.text, mask, tag)
    if words.end:
        yield words.end, 0, NO_ACT, 0, NO_ROLE, 1


def _row(text: str, mask: int, tag: Tag) -> tuple[str, int, str, int, str, int]:
    return text, mask, tag.act, int(tag.begins), tag.role, 0


def _turned(heard: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for slip, meant in heard.items():
        for one in meant:
            if " " not in one:
                found.setdefault(one, []).append(slip)
    return found
