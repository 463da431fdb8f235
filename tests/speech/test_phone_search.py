"""The search over phones: exact sums, exact best paths, on shares made for it."""

from itertools import pairwise, product

import numpy as np
import pytest

from bot.speech.compact import Sentences
from bot.speech.phone_search import (
    best_sentence,
    free_phones,
    free_score,
    likelihoods,
    log_scores,
    neighbours,
    phone_count,
    spell_out,
    word_fits,
)
from bot.speech.phones import PHONES, Floats

WAYS = {
    "lines": [["L", "AY", "N", "Z"]],
    "in": [["IH", "N"]],
    "out": [["AW", "T"]],
    "no": [["N", "OW"]],
    "oh": [["OW"], ["OW", "OW"]],
}
# lines (in|out) | no | oh
SENTENCES = Sentences(0, frozenset({2}), ({"lines": 1, "no": 2, "oh": 2}, {"in": 2, "out": 2}, {}))
CHART = spell_out(SENTENCES, lambda word: WAYS[word])
TEXTS = ("lines in", "lines out", "no", "oh")


def spoken(*phones: str, share: float = 0.9) -> Floats:
    """Return shares of a recording with these phones, none between them ("-" is a frame without one)."""
    shares = np.full((len(phones), len(PHONES) + 1), (1 - share) / len(PHONES), np.float32)
    for frame, phone in enumerate(phones):
        shares[frame, -1 if phone == "-" else PHONES.index(phone)] = share
    return shares


def by_hand(chain: list[str], scores: Floats) -> float:
    """Sum over every row of labels that collapses to the chain, one by one."""
    total = -np.inf
    for row in product({*chain, "-"}, repeat=len(scores)):
        bare = [b for a, b in pairwise(("-", *row)) if b != a and b != "-"]
        if bare == chain:
            places = [-1 if label == "-" else PHONES.index(label) for label in row]
            total = np.logaddexp(total, scores[np.arange(len(row)), places].sum())
    return float(total)


def test_what_was_said_is_found() -> None:
    scores = log_scores(spoken("-", "L", "AY", "AY", "N", "-", "Z", "AW", "T", "-"))

    assert best_sentence(CHART, scores) == "lines out"


def test_what_fits_half_is_heard_as_what_it_fits_best() -> None:
    scores = log_scores(spoken("L", "AY", "-", "Z", "IH", "T"))

    assert best_sentence(CHART, scores).startswith("lines")


def test_nothing_comes_of_no_frames() -> None:
    assert best_sentence(CHART, log_scores(spoken("-"))) in ("", *TEXTS)


# Connectionist temporal classification (Graves, Fernandez, Gomez, Schmidhuber, ICML 2006): the
# likelihood is the sum over all rows of labels that collapse to the sentence; here row by row.
@pytest.mark.parametrize("seed", range(4))
def test_a_likelihood_is_the_sum_over_all_alignments(seed: int) -> None:
    shares = np.random.default_rng(seed).dirichlet(np.full(len(PHONES) + 1, 0.3), 5)
    scores = log_scores(np.asarray(shares, np.float32))

    found = dict(zip(TEXTS, likelihoods(CHART, TEXTS, scores), strict=True))

    assert found["no"] == pytest.approx(by_hand(["N", "OW"], scores), abs=1e-3)
    both = np.logaddexp(by_hand(["OW"], scores), by_hand(["OW", "OW"], scores))
    assert found["oh"] == pytest.approx(both, abs=1e-3)


@pytest.mark.parametrize("seed", range(6))
def test_the_best_sentence_has_the_best_alignment_of_all(seed: int) -> None:
    shares = np.random.default_rng(seed).dirichlet(np.full(len(PHONES) + 1, 0.2), 9)
    scores = log_scores(np.asarray(shares, np.float32))

    # In a chart with this one sentence the search must come to no more than in the whole chart.
    best = best_sentence(CHART, scores)

    assert best in TEXTS
    assert _alignment(best, scores) == pytest.approx(max(_alignment(t, scores) for t in TEXTS))


def _alignment(text: str, scores: Floats) -> float:
    """Return the score of the best alignment of a text, by the plain recursion of CTC."""
    tops = []
    for way in product(*(WAYS[word] for word in text.split())):
        chain = [PHONES.index(phone) for phones in way for phone in phones]
        labels = [-1] + [x for phone in chain for x in (phone, -1)]
        best = [float(scores[0, labels[0]]), float(scores[0, labels[1]])]
        best += [-1e30] * (len(labels) - 2)
        for frame in scores[1:]:
            best = [
                max(
                    best[at],
                    best[at - 1] if at else -1e30,
                    best[at - 2] if at > 2 and labels[at] not in (-1, labels[at - 2]) else -1e30,
                )
                + float(frame[labels[at]])
                for at in range(len(labels))
            ]
        tops.append(max(best[-1], best[-2]))
    return max(tops)


def test_neighbours_differ_in_one_place_and_are_sentences() -> None:
    near = neighbours(SENTENCES, "lines in")

    assert near[0] == "lines in"
    assert set(near) == {"lines in", "lines out", "no", "oh"}
    assert all(SENTENCES.accepts(text) for text in near)


def test_a_word_that_was_not_said_fits_worst() -> None:
    scores = log_scores(spoken("L", "AY", "N", "Z", "-", "AW", "T"))

    lines, word = word_fits(CHART, "lines in", scores)

    assert lines > -0.5
    assert word < -2.0


def test_the_free_row_of_phones_is_never_beaten() -> None:
    scores = log_scores(spoken("L", "AY", "N", "Z", "-", "IH", "N", "N"))

    assert free_phones(scores) == 6 == phone_count(CHART, "lines in")
    assert free_score(scores) >= max(_alignment(text, scores) for text in TEXTS) - 1e-4


def test_frames_that_tell_nothing_are_left_out() -> None:
    quiet = spoken("-", "-", "-", "-", "OW", "-", "-", share=0.99)

    assert len(log_scores(quiet)) == 3
