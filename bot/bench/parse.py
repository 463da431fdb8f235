"""`python -m bot.bench parse`: the parser against hassil, a general-purpose intent parser, side by side.

Both get the same lines of the corpora in the same run, the same words (see `parse_hassil`), and other
lines before the clock starts, as a desk that has run for a while. Lines right by the conventions of the
corpora, and milliseconds of CPU of this thread for a line: ours the first time that a line is read, and
again, with what it remembers of the words it heard.
"""

import argparse
import csv
import gc
import json
import platform
import random
import time
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from bot.bench.corpus import BOX, CORPORA, ROOT, corpus_language, same_calls
from bot.bench.parse_worst import Worst, worst_lines
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed_transcript

LINES: Final = 1500
"""Lines drawn for hassil and for us; 0 takes all (hassil needs minutes)."""
WORST: Final = 12
"""Lines of each kind that nobody says."""
BEFORE: Final = 250
"""Other lines that are read before, for us; hassil, which remembers nothing of lines, gets a tenth."""
KINDS: Final = ("all", "spoken", "typed", "misheard", "chatter", "multi", "correction", "question")
_FIRST: Final = "strike long rigger purple eight"

Parse = Callable[[str], list[dict[str, Any]]]


@dataclass(frozen=True, slots=True)
class Result:
    """What one parser made of the lines, in their order."""

    right: tuple[bool, ...]
    took_ms: tuple[float, ...]


def main(argv: Sequence[str] | None = None) -> int:
    """Run the bench; return 0, or 2 where hassil is not installed."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench parse", description=__doc__)
    parser.add_argument("--lines", type=int, default=LINES, help=f"0 for all that can be ({LINES})")
    parser.add_argument("--seed", type=int, default=1, help="which lines are drawn (1)")
    parser.add_argument("--ours", action="store_true", help="without hassil")
    parser.add_argument(
        "--worst", type=int, default=WORST, help=f"lines of each kind that nobody says ({WORST})"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")
    options = parser.parse_args(argv)
    rows, others = _rows(options.lines, options.seed)
    words = corpus_language(BOX)
    found = {"ours, first time": _measured(_ours(words), rows, others)}
    found["ours, again"] = _measured(_ours(words), rows, ())
    if not options.ours:
        try:
            found["hassil"] = _measured(_hassil(), rows, others[: BEFORE // 10])
        except ModuleNotFoundError as exc:
            print(f"{exc.name} is not installed: pip install hassil, or use --ours")
            return 2
    figures = {name: _figures(result, rows) for name, result in found.items()}
    worst = list(worst_lines(words, options.worst))
    if options.json:
        about = {
            "lines": len(rows),
            "python": platform.python_version(),
            "million_ms": _million_ms(),
        }
        print(json.dumps(about | figures | {"worst": [w._asdict() for w in worst]}))
        return 0
    _print(figures, rows)
    _print_worst(worst)
    return 0


_Rows = Sequence[Mapping[str, Any]]


def _rows(lines: int, seed: int) -> tuple[_Rows, _Rows]:
    """Return the lines to measure, and others to read before."""
    rows = [
        json.loads(line)
        for path in sorted(CORPORA.glob("*.jsonl"))
        for line in path.read_text("utf-8").splitlines()
    ]
    random.Random(seed).shuffle(rows)
    most = len(rows) - BEFORE
    lines = min(lines or most, most)
    return rows[:lines], rows[-BEFORE:]


def _ours(words: Language) -> Parse:
    return lambda line: [c.to_json() for c in understand(typed_transcript(line), words).calls]


def _hassil() -> Parse:
    from bot.bench.parse_hassil import hassil_of

    texts = {
        name: tomllib.loads((ROOT / "grammar" / f"{name}.toml").read_text("utf-8"))
        for name in ("words", "rules", "calls")
    }
    with BOX.open(encoding="utf-8", newline="") as file:
        names = {row["name"]: [row["name"].lower()] for row in csv.DictReader(file)}
    other = hassil_of(texts, names)
    return lambda line: [c.to_json() for c in other.calls(line)]


def _measured(parse: Parse, rows: _Rows, before: _Rows) -> Result:
    parse(_FIRST)
    for row in before:
        parse(row["text"])
    gc.collect()
    gc.freeze()  # what both have built stays; a sweep through it would land on some line by chance
    right, took_ms = [], []
    for row in rows:
        start = time.thread_time()
        calls = parse(row["text"])
        took_ms.append((time.thread_time() - start) * 1000)
        right.append(same_calls(row["calls"], calls))
    return Result(tuple(right), tuple(took_ms))


def _figures(result: Result, rows: Sequence[Mapping[str, Any]]) -> dict[str, dict[str, float]]:
    found = {}
    for kind in KINDS:
        inside = [n for n, row in enumerate(rows) if kind == "all" or kind in row["tags"]]
        if inside:
            took = sorted(result.took_ms[n] for n in inside)
            found[kind] = {
                "lines": len(inside),
                "exact": sum(result.right[n] for n in inside) / len(inside),
                "median_ms": took[len(took) // 2],
                "p99_ms": took[min(len(took) - 1, int(len(took) * 0.99))],
                "worst_ms": took[-1],
            }
    return found


def _million_ms() -> float:
    """Return what a million additions in a loop take, to tell a busy machine from an idle one."""
    start, total = time.thread_time(), 0
    for n in range(1_000_000):
        total += n
    return (time.thread_time() - start) * 1000


def _print_worst(worst: Sequence[Worst]) -> None:
    print(f"\n{'lines that nobody says':32}{'characters':>12}{'median':>10}{'worst':>10}")
    for each in worst:
        print(f"{each.kind:32}{each.characters:>12}{each.median_ms:>10.1f}{each.worst_ms:>10.1f}")


def _print(figures: Mapping[str, Mapping[str, Mapping[str, float]]], rows: _Rows) -> None:
    print(
        f"{len(rows)} lines, Python {platform.python_version()}, milliseconds of CPU a line;"
        f" a million additions in a loop took {_million_ms():.0f} ms\n"
    )
    print(f"{'':18}{'lines':>12}{'exact':>8}{'median':>10}{'p99':>10}{'worst':>10}")
    for name, kinds in figures.items():
        for kind, f in kinds.items():
            print(
                f"{name if kind == 'all' else '':18}{kind:>10} {f['lines']:>4.0f}"
                f"{f['exact']:>8.1%}{f['median_ms']:>9.2f}{f['p99_ms']:>10.2f}{f['worst_ms']:>10.2f}"
            )
    if "hassil" in figures:
        theirs = figures["hassil"]
        for name in ("ours, first time", "ours, again"):
            for kind in ("all", "misheard"):
                ours, other = figures[name].get(kind), theirs.get(kind)
                if ours and other:
                    faster = other["median_ms"] / ours["median_ms"]
                    tail = other["p99_ms"] / ours["p99_ms"]
                    wrong = (1 - other["exact"]) / max(1 - ours["exact"], 1e-9)
                    print(
                        f"\nhassil to {name}, {kind}: {faster:.0f} times the median, {tail:.0f} times"
                        f" the p99, {wrong:.1f} times as many lines wrong"
                    )
