"""`python -m bot.bench hear_fit`: fit the weights of bot/speech/accept.json and judge them.

Fitted on one half of the voices and noises, judged on the other; prints what would be logged at
which threshold, for calls and for talk.
"""

import argparse
import json
import pickle
import sys
from itertools import combinations_with_replacement
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy import optimize

from bot.bench import hear_data
from bot.bench.corpus import corpus_language
from bot.bench.hear_run import Result, play
from bot.bench.hear_sample import read_jsgf
from bot.fittings import ear_grammar
from bot.speech.accept import FIGURES, Model
from bot.speech.sphinx_engine import SphinxEngine

Floats = npt.NDArray[np.float64]
RIDGE = 3.0
SNRS_DB = (20.0, 10.0, 5.0, 0.0)
PRODUCTS = ("agreement", "score_per_frame", "over_phones", "worst_word", "snr_db", "words")


def main(argv: list[str]) -> int:
    """Gather, fit, judge, write."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench hear_fit", description=__doc__)
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--keep", type=Path, help="keep what was heard in this file, or read it")
    parser.add_argument("--out", type=Path, default=Path("bot/speech/accept.json"))
    args = parser.parse_args(argv)
    if args.keep and args.keep.exists():
        fit, test = pickle.loads(args.keep.read_bytes())
    else:
        fit, test = _gathered(args.count)
        if args.keep:
            args.keep.write_bytes(pickle.dumps((fit, test)))
    model = fitted_on(fit)
    args.out.write_text(
        json.dumps(
            {"means": model.means, "spreads": model.spreads, "weights": model.weights}, indent=1
        )
        + "\n",
        encoding="utf-8",
    )
    show("fitted on", fit, model)
    show("not seen", test, model)
    return 0


def _gathered(count: int) -> tuple[list[Result], list[Result]]:
    words = corpus_language()
    grammar = ear_grammar(words)
    sampler = read_jsgf(grammar.jsgf)
    engine = SphinxEngine()
    engine.prepare(grammar)
    halves = []
    for half, (voices, noises, corpora) in enumerate(
        (
            (hear_data.FIT_VOICES, hear_data.FIT_NOISES, ("crew_a", "crew_b", "crew_e")),
            (hear_data.TEST_VOICES, hear_data.TEST_NOISES, ("held_out", "crew_d", "crew_f")),
        )
    ):
        items = hear_data.calls(sampler, count, 50 + half, voices, noises, SNRS_DB)
        items += hear_data.talk(count // 2, 60 + half, voices, noises, SNRS_DB, corpora)
        items += hear_data.people(count // 2, 70 + half, noises, SNRS_DB, half)
        found = []
        for number, result in enumerate(play(items, engine, words)):
            found.append(result)
            if number % 50 == 0:
                print(half, number, "of", len(items), file=sys.stderr, flush=True)
        halves.append(found)
    return halves[0], halves[1]


def fitted_on(results: list[Result]) -> Model:
    """Fit by penalised likelihood; what was not heard at all teaches nothing."""
    heard = [r for r in results if r.heard.alternatives]
    table = np.array([[r.heard.signals[name] for name in FIGURES] for r in heard])
    means, spreads = table.mean(axis=0), table.std(axis=0) + 1e-6
    names = _terms()
    x = _design(np.clip((table - means) / spreads, -3, 3), names)
    y = np.array([float(r.item.kind == "call" and r.right) for r in heard])

    def loss(weights: Floats) -> tuple[float, Floats]:
        z = x @ weights
        p = 1 / (1 + np.exp(-z))
        total = float(np.sum(np.logaddexp(0, z) - y * z))
        held = weights.copy()
        held[0] = 0
        return total + RIDGE * float(held @ held) / 2, x.T @ (p - y) + RIDGE * held

    best = optimize.minimize(loss, np.zeros(len(names)), jac=True, method="L-BFGS-B")
    return Model(
        dict(zip(FIGURES, map(_short, means), strict=True)),
        dict(zip(FIGURES, map(_short, spreads), strict=True)),
        dict(zip(names, map(_short, best.x), strict=True)),
    )


def show(title: str, results: list[Result], model: Model) -> None:
    """Print what would become of calls and of talk at several thresholds."""
    calls = [r for r in results if r.item.kind == "call"]
    other = [r for r in results if r.item.kind != "call"]
    said = {
        id(r): model.probability(r.heard.signals) if r.heard.alternatives else 0.0 for r in results
    }
    print(f"{title}: {len(calls)} calls, {len(other)} recordings of talk")
    for least in (0.5, 0.7, 0.8, 0.85, 0.9, 0.95, 0.97):
        over = [r for r in calls if said[id(r)] >= least]
        right = sum(r.right for r in over) / len(calls)
        wrong = sum(not r.right for r in over) / len(calls)
        talk = sum(said[id(r)] >= least for r in other) / max(1, len(other))
        print(f"  from {least:.2f}: right {right:6.1%}  wrong {wrong:6.1%}  talk {talk:6.1%}")


def _terms() -> list[str]:
    pairs = combinations_with_replacement(PRODUCTS, 2)
    return ["1", *FIGURES, *(f"{one}*{other}" for one, other in pairs)]


def _design(scaled: Floats, names: list[str]) -> Floats:
    columns = {name: scaled[:, number] for number, name in enumerate(FIGURES)}
    ones = np.ones(len(scaled))
    return np.stack(
        [np.prod([columns.get(part, ones) for part in name.split("*")], axis=0) for name in names],
        axis=1,
    )


def _short(number: float) -> float:
    return round(float(number), 5)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
