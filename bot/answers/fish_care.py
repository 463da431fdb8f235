"""Cautions where a fish, an animal or a hand may come to harm, one line each. Pure.

How animals are usually let go follows guides published for fishers, in our own words and from memory: for
turtles NOAA's careful release protocols (NMFS-SEFSC-580) and FAO's guidelines of 2009, for seabirds the hook
removal guide of ACAP, for seals, dolphins and whales FAO's guidelines on marine mammals (2021), for sharks
the handling guides of WCPFC (2018). The law of the place comes first.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.helping import SHORT_CAUTION
from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.fish import Fish
from bot.trip.lures import label, same_lure
from bot.trip.meant import Cares
from bot.trip.state import InWater, Trip

BINDS: Final = (
    "Interaction noted, no catch. Protected animals: the law here binds, and may want a report."
)
_LINES_SHORT: Final = "slack, never pulled by the line; cut it as close to the hook as is safe"
LET_GO: Final[Mapping[str, str]] = {
    "turtle": f"Turtle, usually: out of gear, {_LINES_SHORT}, no lifting by the flippers (NOAA, FAO).",
    "seabird": (
        "Seabird, usually: bring it in slowly, towel over the head, bill and wings held, barb cut, "
        "hook backed out (ACAP)."
    ),
    "seal": f"Seal, usually: kept in the water and at a distance, {_LINES_SHORT} (FAO).",
    "dolphin": f"Dolphin, usually: kept in the water, {_LINES_SHORT} (FAO).",
    "whale": "Whale, usually: line let go or cut, boat clear, and the rescue network called (FAO).",
    "protected shark": f"Shark, usually: left in the water, out of gear, {_LINES_SHORT} (WCPFC).",
}
"""How to let animals go, by species; others of a kind count by their first word."""
_LIKE: Final[Mapping[str, str]] = {
    "dolphins": "dolphin", "whales": "whale", "sea lion": "seal",
}  # fmt: skip

LEADER: Final = "Leader: trained hands in gloves, no wraps, coils off the feet, ready to let go."
GAFF_CAUTION: Final = (
    "Gaff: one gives the word, nobody in front of it. Sizes, bags and seasons are yours to check."
)
BILLFISH_KEPT: Final = (
    "A billfish kept: in many waters it must go back, or needs a licence or a report. Check yours."
)
CARE: Final[Mapping[str, str]] = {
    "lock": (
        "Never lock a reel on a fish: line, rod or angler gives way. Drag as set by the scale; more is the "
        "skipper's word, with nobody in line with the rod."
    ),
    "drag": (
        "Drag is set with a scale, boat stopped; the pull climbs as the spool empties. The skipper's word, "
        "and nobody in line with the rod."
    ),
    "wraps": (
        "No wraps unless trained for it: a hand that is wrapped goes over the side with the fish. Gloves, "
        "knife in reach, ready to let go; the skipper's word."
    ),
    "harness": (
        "A harness can take its wearer over the side: somebody at their back, knife in reach, the way out of "
        "it tried before. The skipper's word."
    ),
    "backing": (
        "Backing down takes water aboard and can wind line into the propeller: slow, everybody holding on, "
        "out of gear before anyone reaches over. The skipper's word."
    ),
    "gaff": GAFF_CAUTION,
    "billfish": BILLFISH_KEPT,
    "keep": "Sizes, bags, seasons and licences are yours to check; the law here comes first.",
}
"""One line for each name of the table `care` of grammar/meanings.toml; common practice, no source."""
_BILLFISH: Final = frozenset({"marlin", "sailfish", "spearfish", "swordfish"})


def care_lines(before: View, after: View, entries: Sequence[Entry]) -> list[str]:
    """Return the cautions for the fish that were just logged, each once a trip."""
    lines: list[str] = []
    for entry in entries:
        fish = next((one for one in after.trip.fish if entry.id in one.entries), None)
        if fish is None:
            continue
        if not fish.is_catch:
            lines += _interaction(fish)
            continue
        stage, row = TABLE[entry.call.act].stage, TABLE[entry.call.act]
        if stage == "leader" and not any(one.leader_at for one in before.trip.fish):
            lines.append(LEADER)
        elif row.keeps:
            lines += _kept(before.trip, fish)
    was, now = _on(before.trip), any(one.is_on and one.is_catch for one in after.trip.fish)
    return list(dict.fromkeys([*lines, *([SHORT_CAUTION] if now and not was else [])]))


def asked_care(view: View, said: Cares) -> Answer | None:
    """Return the caution on what is asked about, or is said with a fish on, then once a trip; else None."""
    line = CARE[said.topic]
    if said.topic == "keep" and any(_is_billfish(one) for one in view.trip.fish_on):
        line = BILLFISH_KEPT
    if not said.asked and (not view.trip.fish_on or view.said(line)):
        return None
    return Answer(line, line)


def bitten_lines(before: View, after: View, calls: Iterable[Call]) -> list[str]:
    """Return the caution for lures that go back unchecked after a bite: hooks, leader, crimps."""
    if not any(TABLE[call.act].form == "fishing" for call in calls) or before.trip.is_fishing:
        return []
    bitten = [lure for lure in after.trip.spread.values() if _unchecked(after.trip, lure)]
    if not bitten:
        return []
    names = ", ".join(f"{lure.line or lure.position} {label(lure)}" for lure in bitten)
    return [f"Back in after a fish, unchecked: {names}. Hooks, leader, crimps."]


def _unchecked(trip: Trip, lure: InWater) -> bool:
    took = [
        fish
        for fish in trip.fish
        if fish.line == lure.line
        and fish.was_on
        and fish.bite_at is not None
        and (lure.set_at is None or lure.set_at <= fish.bite_at)
    ]
    if not took:
        return False
    last = max(fish.ended_at or fish.first_at for fish in took)
    return not any(one.ready and one.at >= last and same_lure(one, lure) for one in trip.rigging)


def _on(trip: Trip) -> bool:
    return any(one.was_on and one.is_catch for one in trip.fish)


def _is_billfish(fish: Fish) -> bool:
    return (fish.species or "").split()[-1:] in ([one] for one in _BILLFISH)


def _kept(before: Trip, fish: Fish) -> list[str]:
    if _is_billfish(fish):
        return [BILLFISH_KEPT]
    kept = any(TABLE[end.act].keeps for one in before.fish for end in one.ends)
    return [] if kept else [GAFF_CAUTION]


def _interaction(fish: Fish) -> list[str]:
    name = fish.species or ""
    how = LET_GO.get(_LIKE.get(name, name), "")
    return [line for line in (BINDS, how if not fish.is_over else "") if line]
