"""The usual cautions, to be shown once a trip where drag, leader or hooks are spoken of, and in `help`.

General words of seamanship and of the angling press, in our own wording. They come before every rule of
this package, and the skipper, the law of the place and licensed practice come before them.
"""

from collections.abc import Iterable, Mapping
from typing import Final, Literal, get_args

Topic = Literal["drag", "leader", "hooks", "gaff", "boat", "sea", "release", "data"]
TOPICS: Final[tuple[Topic, ...]] = get_args(Topic)

DEFER: Final = (
    "The skipper, the law where you are and licensed practice come first. Sizes, bags, seasons, closed "
    "areas, protected species, licences and gear rules are for you to check: this log does not know them."
)

CAUTIONS: Final[Mapping[Topic, str]] = {
    "drag": (
        "Set drag with a scale before fishing, boat stopped, and leave it alone while anyone stands in "
        "line with the rod. The pull climbs as the spool empties. Never lock a reel. A harness can take "
        "its wearer over the side: keep a knife in reach."
    ),
    "leader": (
        "The leader is for trained hands in gloves, with a clear deck, a knife in reach and no coil "
        "near the feet. Keep line from going round hand, wrist or body, and be ready to let go: "
        "people have been pulled over and drowned."
    ),
    "hooks": (
        "A lure that pulls free comes back fast. Protect your eyes, stand clear of the line of the rods, "
        "slow down before lines come in, and hang lures up with their points covered."
    ),
    "gaff": (
        "One person gives the word, points stay covered until then, and nobody stands in front of the "
        "gaff. A fish that looks spent may jump aboard. No live shark comes on deck."
    ),
    "boat": (
        "Backing down takes water aboard and can wind line into the propeller: out of gear before "
        "anyone reaches over. Somebody keeps a look-out all the time; at the wheel use the voice, not "
        "the keys."
    ),
    "sea": (
        "Lifejackets, deck lights and a headcount after dark; one hand for the boat. When the skipper "
        "says stop, stop. Mind the sun, drink water, watch for sea-sickness."
    ),
    "release": (
        "Leave a fish that goes back in the water: use a de-hooker, or cut the leader short where the "
        "hook is deep. Do not lift a billfish by its bill; in some waters some fish may not be taken "
        "out of the sea at all."
    ),
    "data": "Where you caught it is yours: it stays on this device until its owner sends it.",
}


def caution(topic: Topic) -> str:
    """Return the caution on one topic."""
    return CAUTIONS[topic]


def due(spoken_of: Iterable[Topic], shown: Iterable[Topic]) -> tuple[Topic, ...]:
    """Return the topics spoken of whose caution has not been shown on this trip, in a fixed order."""
    waiting = set(spoken_of) - set(shown)
    return tuple(topic for topic in TOPICS if topic in waiting)


def all_cautions() -> str:
    """Return every caution, the deference first, one to a line."""
    return "\n".join((DEFER, *CAUTIONS.values()))
