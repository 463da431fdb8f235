"""`python -m bot.bench reader_fit OUT NETWORK=FILE,FILE … --box BOX`: fit how far a reading is trusted.

Each network is tried on lines that it was not trained on; what it and the grammar read there, right and
wrong, gives the weights of `bot/calls/reader/trust.json`.
"""

import argparse
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from bot.bench.corpus import same_calls
from bot.bench.reader_data import lines_of, said_in
from bot.calls.language import Language
from bot.calls.reader.network import load as load_network
from bot.calls.reader.trust import NAMES, Trust, as_json, beside
from bot.calls.understand import ways_of
from bot.calls.weigh import Hints
from bot.calls.weighed import in_json
from bot.fittings import language_of
from bot.settings import load
from bot.tackle.box import parse
from bot.trip.acts import QUESTIONS

_RIDGE: Final = 2.0
"""How strongly the weights are held to zero; larger trusts the data less."""
_WRONG_COSTS: Final = 6.0
_ASKED_COSTS: Final = 0.9
_MISSED_COSTS: Final = 2.0
"""What a wrong entry, a question and a lost call cost, for choosing where to ask."""
_TRIAL: Final = Trust((0.0,) * len(NAMES), (0.0,) * len(NAMES), 0.6, 0.5, 0.3)


@dataclass(frozen=True, slots=True)
class Row:
    """One line: the figures, and which reading was right."""

    text: str
    figures: tuple[float, ...]
    learned_right: bool
    grammar_right: bool
    same: bool
    learned_logs: bool
    grammar_logs: bool
    learned_calls: bool
    grammar_calls: bool
    has_calls: bool


def main(argv: Sequence[str] | None = None) -> int:
    """Fit the weights and write them."""
    ap = argparse.ArgumentParser(prog="python -m bot.bench reader_fit", description=__doc__)
    ap.add_argument("out", type=Path)
    ap.add_argument("trials", nargs="+", help="NETWORK+NETWORK=FILE,FILE: not trained on these")
    ap.add_argument("--box", type=Path)
    args = ap.parse_args(argv)
    lures = parse(args.box.read_bytes(), {}).lures if args.box else ()
    rows: list[Row] = []
    with tempfile.TemporaryDirectory() as home:
        base = language_of(load(options={"home": home}), lures)
    for trial in args.trials:
        network, _, files = trial.partition("=")
        networks = tuple(load_network(Path(n).read_bytes()) for n in network.split("+"))
        words = replace(base, networks=networks, trust=_TRIAL)
        for name in files.split(","):
            rows += _rows(Path(name), words)
    either = _share(r.learned_right or r.grammar_right for r in rows)
    print(
        f"{len(rows)} lines; network right {_share(r.learned_right for r in rows)}, grammar right",
        end="",
    )
    print(f" {_share(r.grammar_right for r in rows)}, one of them {either}")
    x = np.array([r.figures for r in rows])
    learned = logistic(x, np.array([r.learned_right for r in rows], float))
    apart = [n for n, r in enumerate(rows) if not r.same]
    chance = 1 / (1 + np.exp(-(x @ learned)))
    x = np.array([beside(r.figures, float(p)) for r, p in zip(rows, chance, strict=True)])
    grammar = logistic(x[apart], np.array([rows[n].grammar_right for n in apart], float))
    log_from, answer_from, ask_from = _thresholds(rows, learned, grammar)
    trust = Trust(
        tuple(map(float, learned)), tuple(map(float, grammar)), log_from, answer_from, ask_from
    )
    args.out.write_text(as_json(trust) + "\n", encoding="utf-8")
    return 0


def _share(values: Iterator[bool]) -> str:
    found = list(values)
    return f"{100 * sum(found) / max(1, len(found)):.1f} %"


def _rows(path: Path, words: Language) -> Iterator[Row]:
    for data in lines_of(path):
        for text, want, flags, _ in said_in(data):
            ways, _ = ways_of(text, words, Hints(flags=flags))
            by = {w.by: w for w in ways}
            if "both" not in by and "network" not in by:
                continue  # the grammar decides such lines by itself
            first = by.get("both") or by["network"]
            second = by.get("both") or by.get("grammar", first)
            right = [same_calls(want, in_json(way.calls)) for way in (first, second)]
            yield Row(
                text,
                first.figures,
                right[0],
                right[1],
                second is first,
                _logs(first.calls),
                _logs(second.calls),
                bool(first.calls),
                bool(second.calls),
                bool(want),
            )


def _logs(calls: Sequence[Any]) -> bool:
    return any(c.act not in QUESTIONS for c in calls)


def logistic(x: Any, y: Any, ridge: float = _RIDGE) -> Any:
    """Return the weights of a logistic model by Newton's method, held to zero by a ridge."""
    weights = np.zeros(x.shape[1])
    hold = ridge * np.eye(x.shape[1])
    hold[0, 0] = 1e-3
    for _ in range(60):
        p = 1 / (1 + np.exp(-np.clip(x @ weights, -30, 30)))
        slope = x.T @ (p - y) + hold @ weights
        curve = (x * (p * (1 - p))[:, None]).T @ x + hold
        step = np.linalg.solve(curve, slope)
        weights = weights - step
        if np.abs(step).max() < 1e-7:
            break
    return weights


def _decided(
    row: Row, learned: Any, grammar: Any, ask_from: float
) -> tuple[float, bool, bool, bool]:
    """Return of what is chosen: its probability, whether it is right, logs, and is a call at all."""
    figures = np.array(row.figures)
    p = 1 / (1 + np.exp(-(figures @ learned)))
    best = (float(p), row.learned_right, row.learned_logs, row.learned_calls)
    if row.same:
        return best
    q = 1 / (1 + np.exp(-(np.array(beside(row.figures, float(p))) @ grammar)))
    other = (float(q), row.grammar_right, row.grammar_logs, row.grammar_calls)
    first, second = (best, other) if best[0] >= other[0] else (other, best)
    if not first[3] and second[3] and second[0] >= ask_from:
        return second
    return first


def _thresholds(rows: Sequence[Row], learned: Any, grammar: Any) -> tuple[float, float, float]:
    best: tuple[float, tuple[float, float, float]] | None = None
    for ask_from in np.arange(0.15, 0.5, 0.05):
        chosen = [(_decided(r, learned, grammar, ask_from), r) for r in rows]
        for log_from in np.arange(0.4, 0.95, 0.02):
            cost = 0.0
            for (p, right, logs, calls), row in chosen:
                if not calls or p < ask_from:
                    cost += _MISSED_COSTS * row.has_calls
                elif p < (log_from if logs else min(0.5, log_from)):
                    cost += _ASKED_COSTS * (1 + (not right))
                elif not right:
                    cost += _WRONG_COSTS if logs else 2.0
            found = (round(float(log_from), 2), 0.5, round(float(ask_from), 2))
            if best is None or cost < best[0]:
                best = cost, found
    assert best is not None
    log_from, answer_from, ask_from = best[1]
    tally = {
        "right": 0,
        "wrong and logged": 0,
        "asked": 0,
        "missed": 0,
        "talk acted on": 0,
        "talk asked": 0,
    }
    calls_n = sum(r.has_calls for r in rows)
    for row in rows:
        p, right, logs, calls = _decided(row, learned, grammar, ask_from)
        asks = calls and ask_from <= p < (log_from if logs else answer_from)
        acts = calls and not asks and p >= ask_from
        if row.has_calls:
            key = (
                "asked"
                if asks
                else "missed"
                if not acts
                else "right"
                if right
                else "wrong and logged"
            )
            tally[key] += 1
        else:
            tally["talk asked"] += asks
            tally["talk acted on"] += acts
    talk = max(1, len(rows) - calls_n)
    print(
        {
            k: f"{100 * v / (talk if k.startswith('talk') else calls_n):.1f} %"
            for k, v in tally.items()
        },
        best[1],
    )
    return log_from, answer_from, ask_from


if __name__ == "__main__":
    raise SystemExit(main())
