"""What people say for each act, in other words than the grammar's examples: the acts, whatever the slots.

The acts beside the lines are those of the conventions of the call language, set down before the lines
were first run.
"""

from bot.bench.corpus import CORPORA
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.acts import ACTS

SAID = [line.split(" => ") for line in (CORPORA / "acts.txt").read_text("utf-8").splitlines()]


def test_what_people_say_for_an_act_is_taken_for_it_without_asking(words: Language) -> None:
    wrong = []
    for text, act in SAID:
        found = understand(typed_transcript(text), words)
        if [c.act for c in found.calls] != [act] or found.ask is not None:
            wrong.append((act, text, [c.to_json() for c in found.calls], found.ask))

    assert len(wrong) <= 0.06 * len(SAID), wrong


def test_every_act_is_said_in_several_ways() -> None:
    said = [act for _, act in SAID]

    assert min(said.count(act) for act in ACTS) >= 3
