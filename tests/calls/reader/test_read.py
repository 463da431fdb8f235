"""Tags to calls, the division of a line, and the way back from labels to tags."""

import json
from itertools import product

import numpy as np
import pytest

from bot.bench.corpus import CORPORA, same_calls
from bot.bench.reader_align import align
from bot.calls.language import Language
from bot.calls.reader.decode import Tag, TaggedCall, tagged_calls
from bot.calls.reader.network import Network, WordScores
from bot.calls.reader.read import _best
from bot.calls.reader.words import words_of


def _in_json(call: TaggedCall) -> dict[str, object]:
    slots = {k: list(v) if isinstance(v, tuple) else v for k, v in call.slots.items()}
    if isinstance(slots.get("tackle"), float):
        slots["tackle"] = {"line_class_kg": slots["tackle"]}
    return {"act": call.act, **slots}


@pytest.mark.parametrize("name", ["crew_p.jsonl", "crew_q.jsonl"])
def test_what_a_label_says_can_be_written_in_tags_and_read_back(name: str, words: Language) -> None:
    rows = [json.loads(line) for line in (CORPORA / name).read_text("utf-8").splitlines()]
    rows = [r for r in rows if "misheard" not in r["tags"]]
    right = 0
    for row in rows:
        line = words_of(row["text"], words.grammar)
        found = align(line, row["calls"])
        if found is not None:
            calls = tagged_calls(line, found.tags)
            right += same_calls(row["calls"], [_in_json(c) for c in calls])

    assert right / len(rows) >= 0.96


def test_two_positions_said_with_one_act_are_two_calls(words: Language) -> None:
    line = words_of("clear the short corner and the shotgun", words.grammar)
    roles = ["-", "-", "position", "position", "-", "-", "position"]
    tags = [Tag("clear", n == 0, role) for n, role in enumerate(roles)]

    found = tagged_calls(line, tags)

    assert [c.slots for c in found] == [{"position": "short corner"}, {"position": "shotgun"}]


def test_a_note_goes_on_to_the_end_of_the_line(words: Language) -> None:
    line = words_of("note that we struck out, clear the shotgun", words.grammar)
    tags = [Tag("note", n == 0, "text" if 2 <= n < 5 else "-") for n in range(5)]
    tags += [Tag("clear", n == 0, "position" if n == 2 else "-") for n in range(3)]

    found = tagged_calls(line, tags)

    assert [(c.act, c.slots["text"]) for c in found] == [
        ("note", "we struck out, clear the shotgun")
    ]


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("belly full of sand eels", "sand eel"),
        ("they are on anchovies", "anchovy"),
        ("eating small butterfish", "butterfish"),
        ("full of octopus", "octopus"),
    ],
)
def test_a_kind_of_bait_that_no_list_has_is_taken_as_said(
    said: str, kind: str, words: Language
) -> None:
    """English plurals; kinds of bait of our own choice."""
    line = words_of(said, words.grammar)
    found = align(line, [{"act": "bait", "species": kind}])

    assert found is not None
    assert found.whole
    [call] = tagged_calls(line, found.tags)
    assert (call.act, call.slots) == ("bait", {"species": kind})


def test_of_things_seen_in_one_breath_all_are_on_the_side_said_last(words: Language) -> None:
    line = words_of("birds and bait to port", words.grammar)
    tags = [
        Tag("sighting:birds", True, "-"), Tag("sighting:bait", True, "-"), Tag("sighting:bait", False, "-"),
        Tag("sighting:bait", False, "-"), Tag("sighting:bait", False, "side"),
    ]  # fmt: skip

    found = tagged_calls(line, tags)

    assert [(c.slots["what"], c.slots["side"]) for c in found] == [
        ("birds", "port"),
        ("bait", "port"),
    ]


def _all_ways(act: np.ndarray, begin: np.ndarray) -> dict[tuple[tuple[int, bool], ...], float]:
    """Return every lawful way to tag the words, with its log weight, by trying all of them."""
    size, count = act.shape
    start, go_on = -np.logaddexp(0, -begin), -np.logaddexp(0, begin)
    found = {}
    for acts in product(range(count), repeat=size):
        for begins in product((False, True), repeat=size):
            lawful = all(
                (a != 0 or not b) and (b or a == 0 or (n > 0 and acts[n - 1] == a))
                for n, (a, b) in enumerate(zip(acts, begins, strict=True))
            )
            if lawful:
                weights = [
                    act[n, a] + (start[n] if b else go_on[n])
                    for n, (a, b) in enumerate(zip(acts, begins, strict=True))
                ]
                found[tuple(zip(acts, begins, strict=True))] = float(sum(weights))
    return found


@pytest.mark.parametrize("seed", range(12))
def test_the_division_of_a_line_is_the_best_of_all_that_there_are(seed: int) -> None:
    chance = np.random.default_rng(seed)
    raw = chance.normal(0, 2, (4, 3))
    act = raw - np.log(np.exp(raw).sum(-1, keepdims=True))
    begin = chance.normal(0, 2, 4)
    ways = _all_ways(act, begin)
    seen = WordScores(*(each[None].astype(np.float32) for each in (act, begin, act)))
    network = Network.__new__(Network)
    network.acts = ("-", "strike", "miss")

    [(tags, likely, talk)] = _best(seen, network)

    best = max(ways, key=lambda way: ways[way])
    whole = np.logaddexp.reduce(list(ways.values()))
    assert [(network.acts[a], b) for a, b in best] == tags
    assert likely == pytest.approx(ways[best] - whole, abs=1e-4)
    assert talk == pytest.approx(ways[((0, False),) * 4] - whole, abs=1e-4)
