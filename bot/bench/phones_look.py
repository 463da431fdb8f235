"""How well the phones alone find the sentence: calls in voices held out, what a person says in noise."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from bot.bench import hear_data, hear_people
from bot.bench.corpus import corpus_language
from bot.bench.hear_sample import read_jsgf
from bot.fittings import ear_grammar
from bot.speech.audio import Pcm
from bot.speech.compact import compact
from bot.speech.engine import EngineGrammar
from bot.speech.jsgf_reader import word_graph
from bot.speech.likely import likely
from bot.speech.phone_search import Chart, best_sentence, log_scores, spell_out
from bot.speech.phones import Network, phone_shares
from bot.speech.pronunciations import pronunciations, sounded_out

CALL_SNRS_DB = (20.0, 10.0, 5.0, 0.0)
PEOPLE_SNRS_DB = (12.0, 6.0, 0.0)
CALL_NOISES = ("water", "outboard", "babble", "wind", "babble")
PEOPLE_NOISES = ("water", "babble", "outboard", "wind")


@dataclass(frozen=True, slots=True, eq=False)
class LookSample:
    """One recording to find the sentence of."""

    kind: str
    noise: str
    snr_db: float
    said: str
    pcm: Pcm
    chart: Chart


def recordings(calls: int, of_people: int, seed: int) -> list[LookSample]:
    """Make what is looked at: nothing of it is trained on, nor is it what `hear` tests with."""
    return [*_calls(calls, seed), *_of_people(of_people, seed)]


def looked_at(found: Network, listed: Sequence[LookSample]) -> str:
    """Return a table of the shares of sentences found, by kind and SNR, and of the calls by noise."""
    hits: dict[tuple[str, float], list[bool]] = defaultdict(list)
    for one in listed:
        scores = log_scores(phone_shares(one.pcm, found))
        right = best_sentence(one.chart, scores) == one.said
        hits[one.kind, one.snr_db].append(right)
        hits[f"{one.kind} {one.noise}", one.snr_db].append(right)
    rows = []
    for kind in sorted({kind for kind, _ in hits}):
        cells = sorted(((snr, h) for (k, snr), h in hits.items() if k == kind), reverse=True)
        shares = "  ".join(f"{snr:2.0f} dB {np.mean(h):4.0%} of {len(h):3d}" for snr, h in cells)
        rows.append(f"{kind:16s} {shares}")
    return "\n".join(rows)


def _calls(count: int, seed: int) -> Iterator[LookSample]:
    part, grammar = hear_data.PARTS["choose"], ear_grammar(corpus_language())
    sampler, chart = read_jsgf(grammar.jsgf), _chart(grammar)
    for item in hear_data.calls(sampler, count, seed, part.voices, CALL_NOISES, CALL_SNRS_DB):
        yield LookSample("calls", item.noise, item.snr_db, item.said, hear_data.sound(item), chart)


def _of_people(count: int, seed: int) -> Iterator[LookSample]:
    for one in hear_people.sets(count, seed):
        if one.name == "orders":
            continue  # synthetic voices, of those tested with
        chart = _chart(EngineGrammar(one.jsgf))
        mine = [spoken for spoken in one.items if spoken.is_of_grammar]
        for n, spoken in enumerate(mine):
            snr_db = PEOPLE_SNRS_DB[n % len(PEOPLE_SNRS_DB)]
            noise = PEOPLE_NOISES[n // len(PEOPLE_SNRS_DB) % len(PEOPLE_NOISES)]
            pcm = hear_data.in_noise(spoken.sound, noise, snr_db, seed + n)
            yield LookSample(one.name, noise, snr_db, spoken.said, pcm, chart)


def _chart(grammar: EngineGrammar) -> Chart:
    graph, known = word_graph(grammar.jsgf), pronunciations()
    sentences = compact(graph)
    taught: dict[str, list[str]] = defaultdict(list)
    for word, phones in grammar.pronunciations:
        taught[word].append(phones)

    def ways(word: str) -> list[list[str]]:
        listed = [*known.get(word, ()), *taught[word]]
        return [way.split() for way in listed or [sounded_out(word, known)]]

    return spell_out(sentences, ways, likely(graph, sentences))
