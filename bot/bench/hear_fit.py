"""`python -m bot.bench hear_fit`: fit the weights of bot/speech/accept.json, choose a threshold, test both.

The weights are fitted on one part of the voices, noises and talk, and on other people's grammars
(`hear_people`); the threshold is chosen on hearings that the weights had not seen; the third part tells what
both are worth. `--keep FOLDER` keeps what was heard, so that fitting again takes seconds.
"""

import argparse
import json
import pickle
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy import optimize

from bot.bench import hear_data, hear_people
from bot.bench.corpus import corpus_language
from bot.bench.hear_run import Result, play
from bot.bench.hear_sample import read_jsgf
from bot.calls.language import Language
from bot.fittings import ear_grammar
from bot.speech.accept import THREE, TWO, Model, Steps, figure, parts, trust
from bot.speech.audio import Pcm
from bot.speech.engine import EngineGrammar
from bot.speech.sphinx_engine import SphinxEngine
from bot.transcript import Transcript

Floats = npt.NDArray[np.float64]
RIDGE = 1.0
KNOTS = (0.03, 0.2, 0.4, 0.6, 0.8, 0.97)
"""Quantiles at which the weight of a figure may change."""
SNRS_DB = (20.0, 10.0, 5.0, 0.0)
MOST_WRONG = 0.005
"""Largest share of calls heard wrong, at any ratio of speech to noise: half of what is allowed."""
MOST_TALK = 0.0025
"""Largest share of other speech taken for a call: half of what is allowed."""
_LEVELS = (0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95)


@dataclass(frozen=True, slots=True)
class _Sure:
    """The ear as it would be if it always trusted itself, so that a threshold can be tried afterwards."""

    engine: SphinxEngine

    def transcribe(self, pcm: Pcm) -> Transcript:
        """Hear one recording."""
        heard = self.engine.transcribe(pcm)
        return replace(heard, signals=heard.signals | {"accept": 1.0})


def main(argv: list[str]) -> int:
    """Gather, fit, choose, test, write."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench hear_fit", description=__doc__)
    parser.add_argument(
        "--count", type=int, default=300, help="calls of each part; half as much talk"
    )
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--keep", type=Path, help="keep what was heard in this folder, or read it")
    parser.add_argument("--two", action="store_true", help="for two ears, without Whisper")
    args = parser.parse_args(argv)
    out = Path("bot/speech") / ("accept_two.json" if args.two else "accept.json")
    heard = {
        part: _gathered(part, args.count, args.jobs, args.keep, written=not args.two)
        for part in hear_data.PARTS
    }
    seen = heard["fit"] + heard["choose"]
    besides = [] if args.two else _with_other_grammars(args.keep)
    unseen = _apart(seen, besides)
    threshold = choose_threshold(seen, unseen)
    model = fitted_on(seen + besides)
    content = {
        "base": model.base,
        "steps": {
            name: {"knots": steps.knots, "weights": steps.weights}
            for name, steps in model.steps.items()
        },
    }
    out.write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")
    print(f"threshold {threshold:.3f}")
    show("fitted voice by voice on the others", seen, unseen, threshold)
    show("not seen", heard["test"], _probabilities(heard["test"], model), threshold)
    return 0


def _gathered(
    name: str, count: int, jobs: int, keep: Path | None, *, written: bool
) -> list[Result]:
    """Play a part to the ear, or read what it heard before."""
    kept = keep / f"{name}.pkl" if keep else None
    if kept and kept.exists():
        return list(pickle.loads(kept.read_bytes()))
    part, seed = hear_data.PARTS[name], 500 + 10 * list(hear_data.PARTS).index(name)
    sampler = read_jsgf(ear_grammar(corpus_language()).jsgf)
    items = hear_data.calls(sampler, count, seed, part.voices, part.noises, SNRS_DB)
    items += hear_data.talk(count // 2, seed + 1, part.voices, part.noises, SNRS_DB, part.corpora)
    items += hear_data.people(count // 2, seed + 2, part.noises, SNRS_DB, part.third)
    found: list[Result] = []
    with ProcessPoolExecutor(jobs) as workers:
        for number, results in enumerate(
            workers.map(partial(_heard, written=written), _chunks(items))
        ):
            found += results
            print(name, number * _CHUNK, "of", len(items), file=sys.stderr, flush=True)
    if kept:
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_bytes(pickle.dumps(found))
    return found


def _with_other_grammars(keep: Path | None) -> list[Result]:
    """Hear what `bench hear_people` plays: other words, a human voice, talk that is nearly of the grammar."""
    kept = keep / "people.pkl" if keep else None
    if kept and kept.exists():
        return list(pickle.loads(kept.read_bytes()))
    found: list[Result] = []
    for one in hear_people.sets(60, 61):
        engine = SphinxEngine()
        engine.prepare(EngineGrammar(one.jsgf))
        for spoken in one.items:
            heard, took_s = hear_people.hear(engine, spoken)
            kind = "call" if spoken.is_of_grammar else "human"
            item = hear_data.Item(
                spoken.said, kind, one.name, 1.0, 1.0, "", spoken.snr_db, spoken.number
            )
            right = spoken.is_of_grammar and heard.best == spoken.said
            outcome = "logged" if heard.best else "refused"
            found.append(Result(item, heard, outcome, right, took_s))
    if kept:
        kept.write_bytes(pickle.dumps(found))
    return found


_CHUNK = 10
_ears: list[tuple[_Sure, Language]] = []


def _chunks(items: list[hear_data.Item]) -> Iterator[list[hear_data.Item]]:
    yield from (items[at : at + _CHUNK] for at in range(0, len(items), _CHUNK))


def _heard(items: list[hear_data.Item], *, written: bool) -> list[Result]:
    """Hear some items, in a process of its own that keeps its ear."""
    if not _ears:
        words, engine = corpus_language(), SphinxEngine(written=written)
        engine.prepare(ear_grammar(words))
        _ears.append((_Sure(engine), words))
    ear, words = _ears[0]
    return list(play(items, ear, words))


def fitted_on(results: Sequence[Result]) -> Model:
    """Fit by penalised likelihood with no weight below 0; what was not heard at all teaches nothing."""
    heard = [r for r in results if r.heard.alternatives]
    names = THREE if "votes" in heard[0].heard.signals else TWO
    table = {name: np.array([figure(r.heard.signals, name) for r in heard]) for name in names}
    knots = {
        name: tuple(map(_short, np.unique(np.quantile(f, KNOTS)))) for name, f in table.items()
    }
    x = np.concatenate(
        [np.array([parts(one, knots[name]) for one in table[name]]) for name in names], axis=1
    )
    spreads = x.std(axis=0) + 1e-6
    x = x / spreads
    y = np.array([float(_right(r)) for r in heard])

    def loss(weights: Floats) -> tuple[float, Floats]:
        z = x @ weights[1:] + weights[0]
        p = 1 / (1 + np.exp(-z))
        total = float(np.sum(np.logaddexp(0, z) - y * z) + RIDGE / 2 * np.sum(weights[1:] ** 2))
        slope = x.T @ (p - y) + RIDGE * weights[1:]
        return total, np.concatenate(([np.sum(p - y)], slope))

    bounds = [(None, None)] + [(0, None)] * x.shape[1]
    best = optimize.minimize(
        loss, np.zeros(x.shape[1] + 1), jac=True, method="L-BFGS-B", bounds=bounds
    )
    raised = iter(best.x[1:] / spreads)
    return Model(
        _short(best.x[0]),
        {
            name: Steps(
                knots[name], tuple(_short(next(raised)) for _ in range(len(knots[name]) + 1))
            )
            for name in names
        },
    )


def _apart(results: Sequence[Result], besides: Sequence[Result]) -> list[float]:
    """Return for each recording the probability by weights that were fitted without its voice.

    The telephone prompts have one voice between them: for each half the other half is learnt from.
    """
    folds = [
        f"{r.item.voice}{r.item.seed % 2}" if r.item.kind == "human" else r.item.voice
        for r in results
    ]
    found = [0.0] * len(results)
    for fold in set(folds):
        others = [r for r, f in zip(results, folds, strict=True) if f != fold]
        model = fitted_on([*others, *besides])
        for at, (result, other) in enumerate(zip(results, folds, strict=True)):
            if other == fold:
                found[at] = _probability(result, model)
    return found


def choose_threshold(results: Sequence[Result], said: Sequence[float]) -> float:
    """Return the lowest threshold at which no more is logged wrong than MOST_WRONG and MOST_TALK."""
    for threshold in np.arange(0.5, 0.999, 0.005):
        logged = [
            (r, p >= threshold and r.outcome == "logged")
            for r, p in zip(results, said, strict=True)
        ]
        wrong = [
            _share([took and not r.right for r, took in logged if _is_call(r, snr)])
            for snr in SNRS_DB
        ]
        talk = _share([took for r, took in logged if r.item.kind != "call"])
        if max(wrong) <= MOST_WRONG and talk <= MOST_TALK:
            return float(threshold)
    return 1.0


def show(title: str, results: Sequence[Result], said: Sequence[float], threshold: float) -> None:
    """Print what would become of calls and of talk at several thresholds."""
    calls = [(r, p) for r, p in zip(results, said, strict=True) if r.item.kind == "call"]
    other = [(r, p) for r, p in zip(results, said, strict=True) if r.item.kind != "call"]
    print(f"{title}: {len(calls)} calls, {len(other)} recordings of talk")
    firsts = (
        f"{snr:.0f} dB {_share([r.right for r, _ in calls if _is_call(r, snr)]):.0%}"
        for snr in SNRS_DB
    )
    print("  first alternative right:", ", ".join(firsts))
    for least in sorted({*_LEVELS, round(threshold, 3)}):
        right = _share([r.right and p >= least and r.outcome == "logged" for r, p in calls])
        wrong = [
            _share(
                [
                    not r.right and p >= least and r.outcome == "logged"
                    for r, p in calls
                    if _is_call(r, snr)
                ]
            )
            for snr in SNRS_DB
        ]
        talk = _share([p >= least and r.outcome == "logged" for r, p in other])
        rates = " ".join(f"{share:5.1%}" for share in wrong)
        print(f"  from {least:.3f}: right {right:6.1%}  wrong {rates}  talk {talk:6.2%}")


def _is_call(result: Result, snr_db: float) -> bool:
    return result.item.kind == "call" and result.item.snr_db == snr_db


def _right(result: Result) -> bool:
    return result.item.kind == "call" and result.right


def _share(hits: Sequence[bool]) -> float:
    return sum(hits) / max(1, len(hits))


def _probabilities(results: Sequence[Result], model: Model) -> list[float]:
    return [_probability(r, model) for r in results]


def _probability(result: Result, model: Model) -> float:
    return trust(result.heard.signals, model) if result.heard.alternatives else 0.0


def _short(number: float) -> float:
    return round(float(number), 5)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
