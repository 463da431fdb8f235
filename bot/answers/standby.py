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
from bot.spread.rules import common_speeds_kn, range_words
from bot.spread.standby import CASTER, DIVER
from bot.tackle.box import name_key
from bot.tackle.items import Lure
from bot.tackle.trays import STANDBY
from bot.trip.call import Call
from bot.trip.meant import NotBiting

ON_TOP: Final = ("jumping fish", "tailing fish")
DEEP: Final = "fish deep"
NO_BITE: Final = timedelta(minutes=20)
"""How long fish are marked without a bite before they count as not biting (estimate)."""


SEEN_FOR: Final = timedelta(minutes=15)
"""How long "they won't bite" is of the fish that were marked (estimate)."""


def standby_lines(view: View, calls: Iterable[Call]) -> list[str]:
    """Return what to fish with for the fish that a message saw; `view` is what is true after it."""
    lines = []
    for call in calls:
        if call.what in ON_TOP:
            lines.append(
                f"On top: cast to them. {sentence(_stand(view, CASTER))} Mind who stands behind the cast."
            )
        why = _no_bite(view, call)
        if call.what == DEEP and why:
            lines.append(
                f"Deep, and {why}: put the deep diver out."
                f" {sentence(_stand(view, DIVER))}{_slow_down(view)}"
            )
    return list(dict.fromkeys(lines))


def deep_standby(view: View) -> Answer | None:
    """Return what to fish with for fish that were marked deep just now and will not bite; else None."""
    seen = [e for e in view.stood if e.call.what == DEEP and view.now - e.at <= SEEN_FOR]
    if not seen or view.trip.fish_on or not view.trip.is_fishing:
        return None
    lines = standby_lines(view, (Call(seen[-1].call.act, what=DEEP, meant=(NotBiting(),)),))
    return Answer("\n".join(lines), lines[0])


def asked_standby(view: View, what: str) -> Answer:
    """Return the state of an outfit that stands by."""
    text = sentence(f"{_stand(view, what)} ({STANDBY[what]})")
    return Answer(text, text)


def _stand(view: View, what: str) -> str:
    """Return whether an outfit is ready, and with which lures."""
    stands = view.standing_by(what)
    words = [lure.name for lure in stands.lures if name_key(lure.name) != what]
    named = f": {', '.join(words)}" if words else ""
    runs = _runs(stands.lures) if what == DIVER else ""
    due = ", ".join(lure.name for lure in stands.due)
    undue = f"; not ready of it: {due}" if stands.ready and due else ""
    state = "is ready" if stands.ready else "has not been called ready"
    return f"the {what} {state}{named}{runs}{undue}"


def _runs(held: Sequence[Lure]) -> str:
    speeds = common_speeds_kn(held) if held else None
    known = speeds is not None and speeds != (0.0, float("inf"))
    return f", it runs {range_words(*speeds)}" if speeds and known else ""


def _slow_down(view: View) -> str:
    """Return the sentence that the boat is too fast for the diver, or nothing."""
    held = view.standing_by(DIVER).lures
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
