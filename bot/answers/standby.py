"""The outfits that stand by: the casting outfit for fish on top, the deep diver for fish that stay deep.

Proposed when such fish are seen; common practice without a source.
"""

from collections.abc import Iterable
from datetime import timedelta
from typing import Final

from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import sentence, span_words
from bot.spread.readiness import stands_by
from bot.spread.rules import range_words
from bot.tackle.box import name_key
from bot.tackle.trays import STANDBY, tray_named
from bot.trip.call import Call

CASTING: Final = "casting outfit"
DIVER: Final = "deep diver"
ON_TOP: Final = ("jumping fish", "tailing fish")
DEEP: Final = "fish deep"
NO_BITE: Final = timedelta(minutes=20)
"""Fish that are marked for so long without a bite will not bite what is out (estimate)."""
TRAYS: Final = {
    CASTING: ("casting outfit", "casting", "pitch"),
    DIVER: ("deep diver", "deep", "diver"),
}
"""Names of trays that hold what a standing outfit is fished with."""


def standby_lines(view: View, calls: Iterable[Call]) -> list[str]:
    """Return what stands by for the fish that a message saw; `view` is what is true after it."""
    lines = []
    for call in calls:
        if call.what in ON_TOP:
            lines.append(f"On top: {_stand(view, CASTING)}; mind who stands behind the cast.")
        quiet = _without_bite(view)
        if call.what == DEEP and quiet is not None:
            lines.append(f"Deep, and no bite for {span_words(quiet)}: {_stand(view, DIVER)}.")
    return list(dict.fromkeys(lines))


def asked_standby(view: View, what: str) -> Answer:
    """Return how an outfit that stands by stands."""
    text = sentence(f"{_stand(view, what)} ({STANDBY[what]})")
    return Answer(text, text)


def _stand(view: View, what: str) -> str:
    """Return whether an outfit is ready, and with which lures."""
    ready = stands_by(what, view.box, view.readiness, view.trip)
    trays = (tray_named(view.trays, name) for name in TRAYS[what])
    tray = next((one for one in trays if one is not None), None)
    if tray is None:
        lure = next((x for x in view.box if name_key(x.name) == what), None)
        known = lure is not None and lure.speed_range_kn != (0.0, float("inf"))
        runs = f", it runs {range_words(*lure.speed_range_kn)}" if lure and known else ""
        return f"the {what} {'is ready' if ready else 'has not been called ready'}{runs}"
    states = [view.readiness.get(one.lure or "") for one in tray.lures]
    ready = ready or all(one is not None and one.state == "ready" for one in states)
    names = ", ".join(one.label for one in tray.lures)
    return f"the {what} {'is ready' if ready else 'has not been called ready'}: {names}"


def _without_bite(view: View) -> timedelta | None:
    """Return for how long lines have been in without a bite, where that is long; None where it is not."""
    trip = view.trip
    if trip.fishing_since is None or trip.fish_on:
        return None
    bites = [fish.bite_at for fish in trip.fish if fish.bite_at is not None]
    quiet = view.now - max([trip.fishing_since, *bites])
    return quiet if quiet >= NO_BITE else None
