"""What is said about tackle when a lure goes out or lines go in: rules, checks that are due, cautions.

Never more than a line or two: a plan has said the rest. Nothing is refused; the skipper decides.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from bot.answers.view import View
from bot.findings import Finding
from bot.replies.amounts import sentence
from bot.spread.readiness import before_lines_in, unchecked
from bot.spread.rules import findings
from bot.tackle.cautions import Topic, caution
from bot.tackle.checks import Rig
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.entry import Entry

MOST: Final = 2
"""Findings of one message that are told."""
TELLS: Final = ("warning", "caution")
TOPICS: Final[Mapping[str, Topic]] = {
    "hooks-too-heavy": "hooks", "hooks-too-light": "hooks", "leader-strength": "leader",
    "drag-setting": "drag", "towing-load": "drag", "line-on-reel": "drag",
}  # fmt: skip
"""Which caution goes with a finding that is told."""


def tackle_lines(before: View, after: View, calls: Iterable[Call]) -> list[str]:
    """Give the lines about tackle that a message calls for."""
    calls = tuple(calls)
    told = [finding for call in calls for finding in _of_call(before, call)]
    told.sort(key=lambda finding: TELLS.index(finding.severity))
    told = told[:MOST]
    lines = [sentence(finding.text) for finding in told]
    lines += [caution(topic) for topic in _new_topics(before, told)]
    if any(call.act == "lines_in" for call in calls) and not before.trip.intervals:
        lines += _before_lines_in(after)
    return list(dict.fromkeys(lines))


def _of_call(view: View, call: Call) -> Iterator[Finding]:
    """Find what speaks against a lure on the position where it goes out."""
    if call.act not in ("set", "swap") or call.position is None:
        return
    lure = view.lure(call.lure)
    if lure is not None and _checks_are_kept(view):
        due = unchecked(lure, view.readiness, call.position)
        if due is not None:
            yield due
    outfit = view.boat.outfit(call.position)
    lure = lure or _described(call)
    if outfit is not None and lure is not None:
        rig = Rig(lure, outfit, view.trip.speed_kn)
        yield from (f for f in findings(rig) if f.severity in TELLS)


def _described(call: Call) -> Lure | None:
    """Give a lure that is not in the box as far as it was described."""
    if call.size_in is None or not call.colours or not 1 <= call.size_in <= 40:
        return None
    return Lure(f"the {' '.join(call.colours)}", call.size_in, call.colours)


def _checks_are_kept(view: View) -> bool:
    """Say whether this crew calls lures ready at all; who does not is not told about it."""
    return any(lure.ready for lure in view.box) or any(r.ready for r in view.trip.rigging)


def _new_topics(view: View, told: Iterable[Finding]) -> list[Topic]:
    """Give the topics that are spoken of for the first time on this trip."""
    topics = dict.fromkeys(TOPICS[f.code] for f in told if f.code in TOPICS)
    if not topics:
        return []
    spoken = {TOPICS.get(f.code) for e in view.stood for f in _of_entry(view, e)}
    return [topic for topic in topics if topic not in spoken]


def _of_entry(view: View, entry: Entry) -> Iterator[Finding]:
    return _of_call(view, entry.call)


def _before_lines_in(view: View) -> list[str]:
    if not view.box or not _checks_are_kept(view):
        return []
    texts = [finding.text for finding in before_lines_in(view.box, view.readiness, view.trip)]
    return [sentence("; ".join(texts))] if texts else []
