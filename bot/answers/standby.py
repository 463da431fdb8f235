"""The outfits that stand by: the casting outfit for fish on top, the deep diver for fish that stay deep.

Proposed when such fish are seen; common practice without a source.
"""

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Final

from bot.answers.advise import trolling_kn
from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import sentence, span_words
from bot.spread.readiness import stands_by
from bot.spread.rules import common_speeds_kn, range_words
from bot.tackle.box import name_key
from bot.tackle.items import Lure
from bot.tackle.trays import STANDBY, tray_named
from bot.trip.call import Call
from bot.trip.meant import NotBiting

CASTING: Final = "casting outfit"
DIVER: Final = "deep diver"
ON_TOP: Final = ("jumping fish", "tailing fish")
DEEP: Final = "fish deep"
NO_BITE: Final = timedelta(minutes=20)
"""How long fish are marked without a bite before they count as not biting (estimate)."""
TRAYS: Final = {
    CASTING: ("casting outfit", "casting", "pitch"),
    DIVER: ("deep diver", "deep", "diver"),
}
"""Names of trays that hold the lures of an outfit that stands by."""


def standby_lines(view: View, calls: Iterable[Call]) -> list[str]:
    """Return what to fish with for the fish that a message saw; `view` is what is true after it."""
    lines = []
    for call in calls:
        if call.what in ON_TOP:
            lines.append(
                f"On top: cast to them. {sentence(_stand(view, CASTING))} Mind who stands behind the cast."
            )
        why = _no_bite(view, call)
        if call.what == DEEP and why:
            lines.append(
                f"Deep, and {why}: put the deep diver out."
                f" {sentence(_stand(view, DIVER))}{_slow_down(view)}"
            )
    return list(dict.fromkeys(lines))


def asked_standby(view: View, what: str) -> Answer:
    """Return the state of an outfit that stands by."""
    text = sentence(f"{_stand(view, what)} ({STANDBY[what]})")
    return Answer(text, text)


def _stand(view: View, what: str) -> str:
    """Return whether an outfit is ready, and with which lures."""
    ready = stands_by(what, view.box, view.readiness, view.trip)
    held = _lures(view, what)
    due = [lure for lure in held if view.readiness[lure.name].state != "ready"]
    ready = ready or (bool(held) and not due)
    words = [lure.name for lure in held if name_key(lure.name) != what]
    named = f": {', '.join(words)}" if words else ""
    runs = _runs(held) if what == DIVER else ""
    undue = f"; not ready of it: {', '.join(x.name for x in due)}" if ready and due else ""
    return f"the {what} {'is ready' if ready else 'has not been called ready'}{named}{runs}{undue}"


def _lures(view: View, what: str) -> tuple[Lure, ...]:
    """Return the lures of an outfit: those in its tray, the lure of its name, else the ones that dive."""
    for name in TRAYS[what]:
        tray = tray_named(view.trays, name)
        if tray is not None:
            found = (view.lure(one.lure) for one in tray.lures)
            return tuple(lure for lure in found if lure is not None)
    named = tuple(lure for lure in view.box if name_key(lure.name) == what)
    if named or what != DIVER:
        return named
    ready = {lure.name for lure in view.ready}
    return tuple(lure for lure in view.box if lure.head == "plug" and lure.name in ready)


def _runs(held: Sequence[Lure]) -> str:
    speeds = common_speeds_kn(held) if held else None
    known = speeds is not None and speeds != (0.0, float("inf"))
    return f", it runs {range_words(*speeds)}" if speeds and known else ""


def _slow_down(view: View) -> str:
    """Return the sentence that the boat is too fast for the diver, or nothing."""
    held = _lures(view, DIVER)
    speeds = common_speeds_kn(held) if held else None
    at_kn = trolling_kn(view)
    return f" Slow down to it: now {at_kn:g} knots." if speeds and at_kn > speeds[1] else ""


def _no_bite(view: View, call: Call) -> str:
    """Return that fish do not bite: nothing has for long, or it was said; empty where neither is so."""
    trip = view.trip
    if trip.fishing_since is None or trip.fish_on:
        return ""
    bites = [fish.bite_at for fish in trip.fish if fish.bite_at is not None]
    quiet = view.now - max([trip.fishing_since, *bites])
    if quiet >= NO_BITE:
        return f"no bite for {span_words(quiet)}"
    return "they will not bite" if call.meaning(NotBiting) is not None else ""
