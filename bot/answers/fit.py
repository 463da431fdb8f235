"""Lines about tackle when a lure goes out or lines go in: rules, checks that are due, cautions.

Never more than a line or two: a plan has said the rest. Nothing is refused; the skipper decides.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import timedelta
from typing import Final

from bot.answers.view import View
from bot.findings import Finding
from bot.replies.amounts import sentence
from bot.spread.readiness import find_unready
from bot.spread.rules import SPEED, findings, out_of_range, range_words, runs_at
from bot.spread.standby import before_lines_in
from bot.tackle.cautions import CAUTIONS, Topic, caution
from bot.tackle.checks import PRACTICE, Rig
from bot.tackle.items import TROLLING_KN, Lure
from bot.trip.acts import LAYING, TABLE
from bot.trip.call import Call
from bot.trip.entry import Asked
from bot.trip.meant import Concerns, SpreadWish

MOST: Final = 2
"""Most findings of one message that are given in full."""
IN_SHORT: Final[Mapping[str, str]] = {
    "size-for-class": "large for the line class", "towing-load": "its pull against the strike drag",
    "hooks-too-heavy": "heavy hooks", "hooks-too-light": "light hooks",
    "leader-strength": "a leader weaker than the line", "line-on-reel": "little line on the reel",
    "drag-setting": "the strike drag", "speed-range": "the speed", "unchecked-lure": "a lure not checked",
}  # fmt: skip
"""Short form of the remaining findings, so that none is dropped."""
TELLS: Final = ("warning", "caution")
TOPICS: Final[Mapping[str, Topic]] = {
    "hooks-too-heavy": "hooks", "hooks-too-light": "hooks", "leader-strength": "leader",
    "drag-setting": "drag", "towing-load": "drag", "line-on-reel": "drag",
}  # fmt: skip
"""Finding -> the caution that goes with it."""
A_TRIP: Final = timedelta(hours=6)
"""Age beyond which an offered plan belongs to another trip."""


def tackle_lines(before: View, after: View, calls: Iterable[Call]) -> list[str]:
    """Return the lines about tackle that a message calls for."""
    calls = tuple(calls)
    found = [finding for call in calls for finding in _of_call(before, call)]
    found.sort(key=lambda finding: TELLS.index(finding.severity))
    fresh = [finding for finding in found if not before.said(sentence(finding.text))]
    told = _in_short([one for one in fresh if one.code == SPEED], calls, before)
    told += [one.text for one in fresh if one.code != SPEED or not told]
    lines = [sentence(text) for text in told[:MOST]]
    more = [one for one in fresh if one.text in told[MOST:]]
    if more:
        briefly = (f"{_what(one)} on the {one.position}" for one in more)
        lines.append(sentence(f"also to look at: {', '.join(dict.fromkeys(briefly))}"))
    lines += [caution(topic) for topic in _new_topics(before, [*_topics(found), *_named(calls)])]
    if any(TABLE[call.act].form == "fishing" for call in calls) and not before.trip.intervals:
        lines += _before_lines_in(after)
    return list(dict.fromkeys(lines))


def _in_short(slow_or_fast: Sequence[Finding], calls: Sequence[Call], view: View) -> list[str]:
    """Return one sentence on the lures that a new speed does not suit, where they are several."""
    called = next((c.speed_kn for c in calls if TABLE[c.act].form == "speed"), None)
    if called is None or len(slow_or_fast) < 2:
        return []
    out = {there.position: view.lure(there.lure) for there in view.trip.in_water.values()}
    lures = (out.get(one.position or "") for one in slow_or_fast)
    each = (
        f"{lure.name} {range_words(*lure.speed_range_kn)}" for lure in lures if lure is not None
    )
    return [f"not at {called:g} knots: {'; '.join(each)}"]


def _what(finding: Finding) -> str:
    return IN_SHORT.get(finding.code, finding.code.replace("-", " "))


def _of_call(view: View, call: Call) -> Iterator[Finding]:
    """Return the findings against a lure at the position where it goes out, or against a new speed."""
    if TABLE[call.act].form == "speed":
        yield from _too_fast_or_slow(view, call.speed_kn)
    lure = view.lure(call.lure)
    if call.act in LAYING and call.position is None and lure is not None:
        yield from _lost(lure, view)
    if call.act not in LAYING or call.position is None:
        return
    of_tray = call.meaning(SpreadWish)  # a tray that goes out has said which of it are unchecked
    told = of_tray is not None and of_tray.to_do == "run" and bool(of_tray.from_tray)
    if lure is not None and not told and (_checks_are_kept(view) or not _has_set(view)):
        due = find_unready(lure, view.readiness, call.position)
        if due is not None:
            yield due
    outfit = view.boat.outfit(call.position)
    lure = lure or _described(call)
    if lure is None:
        return
    if outfit is not None:
        rig = Rig(lure, outfit, view.speed_kn)
        yield from (f for f in findings(rig) if f.severity in TELLS and f.code != SPEED)
    if not runs_at(lure, view.speed_kn):
        yield out_of_range(lure, view.speed_kn, call.position, _whose_speed(view))


def _whose_speed(view: View) -> str:
    """Return where the speed of now is known from, as the end of a sentence; empty where it was called."""
    if view.trip.speed_kn == view.speed_kn:
        return ""
    usual = view.speed_kn == view.boat.usual_kn
    return ", the usual speed" if usual else ", at which what is out runs"


def _lost(lure: Lure, view: View) -> Iterator[Finding]:
    """Return that a lure is lost that is to go out, though nobody said where."""
    stands = view.readiness.get(lure.name)
    if stands is not None and stands.state == "lost":
        yield Finding("caution", f"{lure.name} is lost in the log", PRACTICE, code="unchecked-lure")


def _too_fast_or_slow(view: View, speed_kn: float | None) -> Iterator[Finding]:
    """Return the findings for lures in the water that do not run well at a new trolling speed."""
    low_kn, high_kn = TROLLING_KN
    if speed_kn is None or not low_kn <= speed_kn <= high_kn:
        return
    for there in view.trip.in_water.values():
        lure = view.lure(there.lure)
        if lure is not None and not runs_at(lure, speed_kn):
            yield out_of_range(lure, speed_kn, there.position)


def _described(call: Call) -> Lure | None:
    """Return a lure that is not in the box as far as it was described."""
    if call.size_in is None or not call.colours or not 1 <= call.size_in <= 40:
        return None
    return Lure(f"the {' '.join(call.colours)}", call.size_in, call.colours)


def _has_set(view: View) -> bool:
    """Return whether a lure of the box has gone out on this trip."""
    acts = (entry.call for entry in view.stood if entry.call.act in LAYING)
    return any(view.lure(call.lure) is not None for call in acts)


def _checks_are_kept(view: View) -> bool:
    """Return whether this crew calls lures ready at all; if not, it is told once a trip."""
    return any(lure.ready for lure in view.box) or any(r.ready for r in view.trip.rigging)


def caution_lines(view: View, told: Iterable[Finding]) -> list[str]:
    """Return the cautions that go with findings and that this trip has not had yet."""
    return [caution(topic) for topic in _new_topics(view, _topics(told))]


def caution_once(view: View, topic: Topic) -> list[str]:
    """Return the caution on a topic, unless this trip has had it with a finding or a note."""
    return [caution(one) for one in _new_topics(view, [topic])]


def _topics(told: Iterable[Finding]) -> list[Topic]:
    """Return the topics of findings that are grave enough for a caution."""
    return [TOPICS[f.code] for f in told if f.code in TOPICS and f.severity in TELLS]


def _named(calls: Iterable[Call]) -> Iterator[Topic]:
    """Yield the topics that the crew mentions in a note or in work to be done: leader, hooks, drag."""
    for call in calls:
        found = call.meaning(Concerns)
        if found is not None:
            yield from (topic for topic in CAUTIONS if topic in found.topics)


def _new_topics(view: View, topics: Iterable[Topic]) -> list[Topic]:
    """Return the topics that come up for the first time on this trip, in sets, notes or plans."""
    fresh = dict.fromkeys(topics)
    if not fresh:
        return []
    calls = [entry.call for entry in view.stood]
    offers = [r for r in (view.asked, *view.records) if isinstance(r, Asked)]
    late = view.now - A_TRIP
    calls += [c for one in offers if one.at > late for option in one.options for c in option]
    spoken = {*_topics(f for call in calls for f in _of_call(view, call)), *_named(calls)}
    return [topic for topic in fresh if topic not in spoken and not view.said(caution(topic))]


def _before_lines_in(view: View) -> list[str]:
    if not view.box:
        return []
    if not _checks_are_kept(view):
        return ["No lure has been made ready, casting outfit and deep diver neither."]
    found = before_lines_in(view.box, view.readiness, view.trip, view.trays, view.past.trips)
    texts = [finding.text for finding in found]
    return [sentence("; ".join(texts))] if texts else []
