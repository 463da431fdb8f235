"""`python -m bot.bench reader_fit OUT NETWORK=FILE,FILE … --box BOX`: fit how far a reading is trusted.

Each network is tried on lines that it was not trained on; what it and the grammar read there, right and
wrong, gives `bot/calls/reader/trust.json` and the trees of `trust.npz` beside it. Wants scikit-learn.
The lines of the first trial count whole, those of others half: of networks that were trained on them since.
"""

import argparse
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from bot.bench.corpus import same_calls
from bot.bench.reader_data import lines_of, said_in
from bot.calls.language import Language
from bot.calls.reader.forest import Forest, as_bytes
from bot.calls.reader.network import load as load_network
from bot.calls.reader.trust import NAMES, Trust, as_json, grammar_figures, likely
from bot.calls.understand import ways_of
from bot.calls.weigh import Hints
from bot.calls.weighed import in_json
from bot.fittings import language_of
from bot.settings import load
from bot.tackle.box import parse
from bot.trip.acts import QUESTIONS

_RIDGE: Final = 2.0
"""How strongly the weights are held to zero; larger trusts the data less."""
_TREES: Final = {
    "max_iter": 200, "learning_rate": 0.04, "max_leaf_nodes": 8, "min_samples_leaf": 25,
    "l2_regularization": 5.0, "max_features": 0.4, "random_state": 1,
}  # fmt: skip
_WRONG_COSTS: Final = 6.0
_ASKED_COSTS: Final = 0.9
_MISSED_COSTS: Final = 2.0
"""What a wrong entry, a question and a lost call cost, for choosing where to ask."""
_ALWAYS: Final = Forest((), (), (), (), (), (), 0.0)
_TRIAL: Final = Trust(_ALWAYS, (0.0,) * len(NAMES), 0.6, 0.5, 0.3)
_FROM_BEFORE: Final = frozenset(
    {"position", "side", "lure", "colours", "size_in", "head", "species", "angler"}
)
"""Slots that a line of a conversation may have from what was said before it, not from its own words."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line: the figures, and which reading was right."""

    crew: str
    weight: float
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
    """Fit the trees and the weights, and write them."""
    ap = argparse.ArgumentParser(prog="python -m bot.bench reader_fit", description=__doc__)
    ap.add_argument("out", type=Path)
    ap.add_argument("trials", nargs="+", help="NETWORK+NETWORK=FILE,FILE: not trained on these")
    ap.add_argument("--box", type=Path)
    args = ap.parse_args(argv)
    lures = parse(args.box.read_bytes(), {}).lures if args.box else ()
    rows: list[Row] = []
    with tempfile.TemporaryDirectory() as home:
        base = language_of(load(options={"home": home}), lures)
    for number, trial in enumerate(args.trials):
        network, _, files = trial.partition("=")
        held = (Path(name).read_bytes() for name in network.split("+"))
        words = replace(base, network=load_network(*held), trust=_TRIAL)
        for name in files.split(","):
            rows += _rows(Path(name), words, 0.5 if number else 1.0)
    either = _share(r.learned_right or r.grammar_right for r in rows)
    print(f"{len(rows)} lines; network right {_share(r.learned_right for r in rows)}, ", end="")
    print(f"grammar right {_share(r.grammar_right for r in rows)}, one of them {either}")
    # The last figure is the grammar's alone; here it tells networks of before, which are less often right.
    x = np.array([(*r.figures[:-1], float(r.weight < 1)) for r in rows])
    y = np.array([r.learned_right for r in rows])
    weights = np.array([r.weight for r in rows])
    chance = _apart(rows, x, y, weights)
    beyond = np.array(
        [grammar_figures(r.figures, float(p)) for r, p in zip(rows, chance, strict=True)]
    )
    differ = [n for n, r in enumerate(rows) if not r.same]
    grammar = logistic(beyond[differ], np.array([rows[n].grammar_right for n in differ], float))
    tried = [(r, float(p)) for r, p in zip(rows, chance, strict=True) if r.weight == 1.0]
    froms = _thresholds(tried, tuple(map(float, grammar)))
    trust = Trust(_grown(x, y, weights), tuple(map(float, grammar)), *froms)
    args.out.write_text(as_json(trust) + "\n", encoding="utf-8")
    args.out.with_suffix(".npz").write_bytes(as_bytes(trust.learned))
    return 0


def _apart(rows: Sequence[Row], x: Any, y: Any, weights: Any) -> Any:
    """Return the probability of each line by trees that were not fitted on its crew."""
    crews = np.array([r.crew for r in rows])
    found = np.zeros(len(rows))
    for crew in sorted(set(crews)):
        rest = crews != crew
        grown = _grown(x[rest], y[rest], weights[rest])
        found[~rest] = [grown.likely(figures) for figures in x[~rest]]
    return found


def _grown(x: Any, y: Any, weights: Any) -> Forest:
    """Return the trees that say whether a reading with these figures is right."""
    from sklearn.ensemble import HistGradientBoostingClassifier  # in no extra: this bench alone

    model = HistGradientBoostingClassifier(**_TREES).fit(x, y, sample_weight=weights)
    first: list[int] = []
    figure: list[int] = []
    threshold: list[float] = []
    left: list[int] = []
    right: list[int] = []
    value: list[float] = []
    for (tree,) in model._predictors:
        at = len(figure)
        first.append(at)
        means = _means(tree.nodes)
        for node, mean in zip(tree.nodes, means, strict=True):
            leaf = bool(node["is_leaf"])
            figure.append(-1 if leaf else int(node["feature_idx"]))
            threshold.append(0.0 if leaf else float(node["num_threshold"]))
            left.append(0 if leaf else at + int(node["left"]))
            right.append(0 if leaf else at + int(node["right"]))
            value.append(mean)
    base = float(np.ravel(model._baseline_prediction)[0])
    return Forest(
        tuple(first), tuple(figure), tuple(threshold), tuple(left), tuple(right), tuple(value), base
    )


def _means(nodes: Any) -> list[float]:
    """Return the value of each leaf, and of an inner node the mean of the lines below it."""
    found = [0.0] * len(nodes)
    for n in reversed(range(len(nodes))):  # what is below a node comes after it
        node = nodes[n]
        below = (int(node["left"]), int(node["right"]))
        if node["is_leaf"]:
            found[n] = float(node["value"])
        else:
            counts = [float(nodes[b]["count"]) for b in below]
            found[n] = sum(c * found[b] for c, b in zip(counts, below, strict=True)) / sum(counts)
    return found


def _share(values: Iterator[bool]) -> str:
    found = list(values)
    return f"{100 * sum(found) / max(1, len(found)):.1f} %"


def _rows(path: Path, words: Language, weight: float) -> Iterator[Row]:
    for data in lines_of(path):
        for said in said_in(data):
            want = said.calls
            ways, _ = ways_of(said.text, words, Hints(flags=said.flags, before=said.before))
            by = {w.by: w for w in ways if w.figures}
            if "both" not in by and "network" not in by:
                continue  # the grammar decides such lines by itself
            first = by.get("both") or by["network"]
            second = by.get("both") or by.get("grammar", first)
            before = "line_calls" in data
            right = [_is_right(want, in_json(way.calls), before) for way in (first, second)]
            yield Row(
                path.parent.name if path.suffix == ".jsonl" else path.stem,
                weight,
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


def _is_right(want: Sequence[Mapping[str, Any]], found: Sequence[Any], before: bool) -> bool:
    """Return whether a reading is as wanted; `before`: what was said before the line may fill the rest."""
    if same_calls(want, found):
        return True
    if not before or len(want) != len(found):
        return False
    lacks = [
        {k: v for k, v in wanted.items() if k in read or k not in _FROM_BEFORE}
        for wanted, read in zip(want, found, strict=True)
    ]
    return same_calls(lacks, found)


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
    row: Row, p: float, grammar: Sequence[float], ask_from: float
) -> tuple[float, bool, bool, bool]:
    """Return of what is chosen: its probability, whether it is right, logs, and is a call at all."""
    best = (p, row.learned_right, row.learned_logs, row.learned_calls)
    if row.same:
        return best
    q = likely(grammar_figures(row.figures, p), grammar)
    other = (q, row.grammar_right, row.grammar_logs, row.grammar_calls)
    first, second = (best, other) if best[0] >= other[0] else (other, best)
    if not first[3] and second[3] and second[0] >= ask_from:
        return second
    return first


def _thresholds(
    tried: Sequence[tuple[Row, float]], grammar: Sequence[float]
) -> tuple[float, float, float]:
    """Return where to log, to answer and to ask, as costs least; print what other places would give."""
    best: tuple[float, tuple[float, float, float]] | None = None
    for ask_from in np.arange(0.15, 0.5, 0.05):
        chosen = [(_decided(r, p, grammar, ask_from), r) for r, p in tried]
        for log_from in np.arange(0.4, 0.96, 0.02):
            cost = sum(_cost(one, row, float(log_from), float(ask_from)) for one, row in chosen)
            found = (round(float(log_from), 2), 0.5, round(float(ask_from), 2))
            if best is None or cost < best[0]:
                best = cost, found
    assert best is not None
    for log_from in (0.6, 0.7, 0.75, 0.8, 0.85, 0.9, best[1][0]):
        print(log_from, best[1][2], _tally(tried, grammar, log_from, best[1][2]))
    return best[1]


def _cost(
    chosen: tuple[float, bool, bool, bool], row: Row, log_from: float, ask_from: float
) -> float:
    p, right, logs, calls = chosen
    if not calls or p < ask_from:
        return _MISSED_COSTS * row.has_calls
    if p < (log_from if logs else min(0.5, log_from)):
        return _ASKED_COSTS * (1 + (not right))
    return 0.0 if right else _WRONG_COSTS if logs else 2.0


def _tally(
    tried: Sequence[tuple[Row, float]], grammar: Sequence[float], log_from: float, ask_from: float
) -> dict[str, str]:
    names = ("right", "wrong and logged", "asked", "missed", "talk acted on", "talk asked")
    tally = dict.fromkeys(names, 0)
    for row, p_learned in tried:
        p, right, logs, calls = _decided(row, p_learned, grammar, ask_from)
        asks = calls and ask_from <= p < (log_from if logs else 0.5)
        acts = calls and not asks and p >= ask_from
        if row.has_calls:
            done = "right" if right else "wrong and logged"
            tally["asked" if asks else done if acts else "missed"] += 1
        else:
            tally["talk asked"] += asks
            tally["talk acted on"] += acts
    calls_n = sum(r.has_calls for r, _ in tried)
    of = {name: len(tried) - calls_n if name.startswith("talk") else calls_n for name in names}
    return {name: f"{100 * n / max(1, of[name]):.1f} %" for name, n in tally.items()}


if __name__ == "__main__":
    raise SystemExit(main())
