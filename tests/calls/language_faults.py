"""A language against itself: its examples, and that the parser takes what the ear may hear as it is meant."""

from collections.abc import Mapping
from typing import Any

from bot.calls.ear import ear_rules
from bot.calls.language import Language
from bot.calls.sample import Choose, sentence
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.acts import ACTS


def example_faults(words: Language) -> tuple[str, ...]:
    """Return which examples do not give what stands beside them, and which acts have none.

    The names of lures in them must be in the language.
    """
    found = []
    for example in words.grammar.examples:
        heard = understand(typed_transcript(example.say), words)
        want = [{"act": example.act} | example.gives, *example.also]
        calls = [c.to_json() for c in heard.calls]
        if [_lower(c) for c in calls] != [_lower(c) for c in want]:
            found.append(f'[{example.act}] "{example.say}" gives {calls}, not {want}')
        elif heard.ask is not None:
            found.append(f'[{example.act}] "{example.say}" is asked about: {heard.ask}')
    missing = [act for act in ACTS if act not in {e.act for e in words.grammar.examples}]
    return (*found, *(f"[{act}] has no example: add one in calls.toml" for act in missing))


def _lower(call: Mapping[str, Any]) -> dict[str, Any]:
    """Return a call with the name of its lure in small letters."""
    return {k: v.lower() if k == "lure" else v for k, v in call.items()}


def ear_faults(words: Language, choose: Choose, of_each: int) -> tuple[str, ...]:
    """Return which sentences of the ear the parser takes otherwise; so many are drawn `of_each` act."""
    rules = ear_rules(words.grammar)
    found: list[str] = []
    owner: dict[str, str] = {}
    for name in sorted(n for n in rules if n.startswith("act_")):
        act = name.removeprefix("act_")
        drawn = dict.fromkeys(sentence(rules, choose, name) for _ in range(of_each))
        for said in drawn:
            if owner.setdefault(said, act) != act:
                found.append(f'"{said}" belongs to [{act}] and to [{owner[said]}]')
            heard = understand(typed_transcript(said), words)
            acts = [c.act for c in heard.calls]
            if set(acts) != {act} or heard.ask is not None:
                doubt = " and is asked about" if heard.ask is not None else ""
                found.append(f'"{said}" of [{act}] is taken for {acts or "talk"}{doubt}')
    return tuple(found)
