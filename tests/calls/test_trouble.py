"""Trouble is heard in any words, and ordinary talk with the same words is left alone.

What is trouble: the distress phases and kinds of the IMO phrases (resolution A.918(22): man overboard, fire,
flooding, collision, grounding, medical assistance) in everyday words of our own; common sense, no source.
"""

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.call import TROUBLES

CRIES = {
    "man overboard": (
        "JOES IN THE WATER", "nils is in the water!", "somebody's gone in", "kid overboard",
        "oh no, katja's fallen in", "MOB MOB MOB", "man over bored", "ma'am overboard",
        "he got pulled in by the leader",
        "katja's been dragged over by the fish", "throw the ring",
        "somebody's overboard, who is it", "the old fella's overboard",
        "petra fell off the back", "he's fallen over the side", "man in the watr", "swimmer in the water",
    ),
    "fire": (
        "fire!!", "the port engine's on fire", "smoke is pouring out of the hatch, smoke in the cabin",
        "fire below", "there's a fire", "get the extinguisher", "far in the engine room",
        "gas leak", "the fire's spreading",
    ),
    "flooding": (
        "we're sinking", "the boat's sinking", "she's filling up", "water's coming in",
        "there's a hole in the hull", "the bilge pump can't keep up", "take in on water in the engine room",
    ),
    "collision": (
        "we just hit another boat", "we've hit a container", "we're aground", "that ship is going to hit us",
        "they're going to ram us",
    ),
    "injury": (
        "nils is hurt", "he's unconscious", "he's not breathing", "hook thru hand",
        "the barb's gone right into katja's calf", "she cut her hand wide open", "broke his arm",
        "he's having a heart attack", "the bill went through his arm", "petra's collapsed", "man down",
        "leader's wrapped round his hand", "lost a finger", "someone's been electrocuted",
        "anaphylactic shock", "knocked out cold",
        "he's stuck in the leader", "wahoo bit his foot", "deep cut, needs stitches",
    ),
    "distress": (
        "mayday", "may day may day", "made a made a made a", "pan-pan, pan-pan", "abandon ship",
        "call the coastguard", "help help help", "we've capsized", "set off the epirb", "SOS",
        "we've got a rope round the prop", "MAYDAY, 20 miles off the cape",
    ),
}  # fmt: skip
CALM = (
    "mind the fire extinguisher", "check the flares", "he's bleeding out in the box", "bleed him",
    "if he gets pulled in by the leader", "is there a gas leak detector",
    "lines in the water", "the lure's in the water", "lions in the water captain", "hat overboard",
    "my phone's gone over the side", "he's in the boat", "this bite is on fire", "smoke the wahoo",
    "drag's smoking", "fire up the engine", "man that was close", "he cut us off", "shark took him",
    "hook in the corner of his mouth", "the leader is in my hand", "tuna is bleeding", "he's going down deep",
    "fire in the fish box", "man overboard drill at ten", "nearly fell in", "don't fall in",
    "help me with this leader", "is there water in the bilge", "katja is in the chair",
    "nils is in the cabin",
    "nils is on the rod", "may day is a public holiday", "we hit a marlin", "hit on the long rigger",
    "going for a swim", "lost him at the side of the boat", "petra is up next",
)  # fmt: skip


def whats(text: str) -> list[str | None]:
    found = understand(typed_transcript(text), corpus_language())
    assert found.ask is None or not found.calls or found.calls[0].act != "emergency"
    return [call.what for call in found.calls if call.act == "emergency"]


def test_every_kind_has_cries() -> None:
    assert set(CRIES) == set(TROUBLES)


@pytest.mark.parametrize("what", CRIES)
def test_trouble_is_heard_in_any_words_and_not_asked_about(what: str) -> None:
    assert {text: whats(text)[:1] for text in CRIES[what]} == {t: [what] for t in CRIES[what]}


def test_ordinary_talk_is_not_taken_for_trouble() -> None:
    assert {text: whats(text) for text in CALM} == {text: [] for text in CALM}


def test_a_misheard_call_of_which_the_networks_are_sure_befell_nobody(read: Language) -> None:
    found = understand(typed_transcript("lies in the water"), read)

    assert [call.act for call in found.calls] == ["lines_in"]


def test_a_cry_in_its_own_words_counts_beside_a_call(read: Language) -> None:
    found = understand(typed_transcript("strike long rigger, man overboard"), read)

    assert "emergency" in [call.act for call in found.calls]
