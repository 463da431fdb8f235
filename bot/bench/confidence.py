"""`python -m bot.bench confidence`: fits the weights of `calls/confidence.py` and shows how true they are.

Fitted and judged by ten-fold cross-validation on the corpora that neither the grammar nor the costs of
repair were tuned on; prints the reliability table, the expected calibration error and the weights.
"""

import argparse
import json
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bot.bench.corpus import BOX, CORPORA, corpus_language, same_calls
from bot.calls.by_grammar import readings_of
from bot.calls.confidence import NAMES, features, probability
from bot.calls.language import Language

Floats = NDArray[np.float64]

UNSEEN = ("held_out.jsonl",)
FOLDS = 10
RIDGE = 0.5


def main(argv: list[str] | None = None) -> int:
    """Run the bench."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench confidence", description=__doc__)
    parser.add_argument("--corpus", action="append", help=f"default: {' '.join(UNSEEN)}")
    args = parser.parse_args(argv)
    words = corpus_language(BOX)
    rows: list[dict[str, Any]] = []
    for name in args.corpus or UNSEEN:
        path = Path(name) if Path(name).exists() else CORPORA / name
        if path.exists():
            rows += [json.loads(line) for line in path.read_text("utf-8").splitlines() if line]
    figures, right = _data(rows, words)
    said = _cross_validated(figures, right)
    print(f"{len(right)} lines with a reading, {right.mean():.3f} of them right")
    _reliability(said, right)
    weights = _fitted(figures, right)
    print("\nweights fitted on all of them:")
    for name, weight in zip(NAMES, weights, strict=True):
        print(f"  {name:<11} {weight:8.3f}")
    print("WEIGHTS: Final = (" + ", ".join(f"{w:.2f}" for w in weights) + ")")
    return 0


def _data(rows: list[dict[str, Any]], words: Language) -> tuple[Floats, Floats]:
    figures, right = [], []
    for row in rows:
        found = readings_of(row["text"], words)
        best = next((r for r in found if r.calls and not r.path.talk), None)
        if best is not None:
            figures.append(features(best, found))
            right.append(float(same_calls(row["calls"], [c.to_json() for c in best.calls])))
    return np.array(figures), np.array(right)


def _fitted(figures: Floats, right: Floats) -> Floats:
    """Fit a logistic model by Newton's method with a ridge; the constant is not held back."""
    weights = np.zeros(figures.shape[1])
    ridge = np.full(figures.shape[1], RIDGE)
    ridge[0] = 0.0
    for _ in range(50):
        p = 1.0 / (1.0 + np.exp(-figures @ weights))
        slope = figures.T @ (right - p) - ridge * weights
        bend = (figures * (p * (1 - p))[:, None]).T @ figures + np.diag(ridge)
        step = np.linalg.solve(bend, slope)
        weights = weights + step
        if np.abs(step).max() < 1e-8:
            break
    return np.asarray(weights)


def _cross_validated(figures: Floats, right: Floats) -> Floats:
    said = np.zeros(len(right))
    folds = np.arange(len(right)) % FOLDS
    for fold in range(FOLDS):
        weights = tuple(_fitted(figures[folds != fold], right[folds != fold]))
        for n in np.flatnonzero(folds == fold):
            said[n] = probability(tuple(figures[n]), weights)
    return said


def _reliability(said: Floats, right: Floats) -> None:
    print("  confidence    lines   mean  right")
    error = 0.0
    for low in range(10):
        inside = (said >= low / 10) & (said < (low + 1) / 10 + (1e-9 if low == 9 else 0))
        if inside.any():
            mean, true = said[inside].mean(), right[inside].mean()
            error += abs(mean - true) * inside.sum() / len(right)
            print(
                f"  {low / 10:.1f} - {low / 10 + 0.1:.1f} {inside.sum():8d}  {mean:.3f}  {true:.3f}"
            )
    print(f"  expected calibration error {error:.3f}")


if __name__ == "__main__":
    raise SystemExit(main())
