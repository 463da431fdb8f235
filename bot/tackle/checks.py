"""What goes with what: one function for each tackle rule, a `Rig` in, a finding or None out.

A `warning` is what no plan breaks, a `caution` what a plan avoids while it can, a `note` what the crew
may like to know. Nothing is forbidden to a skipper. Rules that need the water (towing load, line on the
reel) and rules about the whole spread are in `bot.spread.rules`; all are gathered there.

International Angling Rules: those of the IGFA of October 2021, equipment regulations B, C and the rule on
hooks. They decide about record claims only, so they give notes, and the rule book of the day counts.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from bot.findings import Finding, Severity
from bot.tackle.crew_units import CrewUnits
from bot.tackle.items import Lure, Outfit
from bot.tackle.line_classes import GAUGES, LineClass, class_of
from bot.units import CM_PER_FOOT

PRACTICE: Final = "common practice"
ANGLING_RULES: Final = "International Angling Rules (IGFA, 2021); check the current rule book"
DRAG_ADVICE: Final = "advice of the angling press: 25 % to a third of the line class"

SHORT_GROUP_KG: Final = 10.0
"""Line classes up to here have the short limits for leader and double."""
SHORT_LIMITS_M: Final = (4.57, 4.57, 6.10)
"""Double, leader, both together, as printed (15, 15, 20 ft)."""
LONG_LIMITS_M: Final = (9.14, 9.14, 12.19)
"""The same above 10 kg (30, 30, 40 ft)."""
MOST_HOOKS: Final = 2
EYES_APART_CM: Final = CM_PER_FOOT
LENGTH_SLACK_M: Final = 1e-6
MOST_DRAG_SHARE: Final = 1 / 3
LEAST_DRAG_SHARE: Final = 0.25


@dataclass(frozen=True, slots=True)
class Rig:
    """A lure on the outfit of a position, at a speed."""

    lure: Lure
    outfit: Outfit
    speed_kn: float | None = None
    """Speed through the water; None where it is not known."""

    @property
    def line_class(self) -> LineClass:
        """Return the class of the table in which the outfit fishes."""
        return class_of(self.outfit.line_class_kg)

    @property
    def units(self) -> CrewUnits:
        """Return the units in which words about it are written."""
        return self.outfit.units

    def finding(self, severity: Severity, code: str, text: str, source: str) -> Finding:
        """Return a finding at the position of this rig."""
        return Finding(severity, text, source, self.outfit.position, code)


Check = Callable[[Rig], Finding | None]


def size_for_class(rig: Rig) -> Finding | None:
    """Find a lure too large for its line class; a small lure on heavy tackle is always right."""
    size, lines = rig.lure.size_in, rig.line_class
    if size <= lines.comfortable_in:
        return None
    what = f"{rig.lure.name} ({size:g}-inch) is large for {rig.units.line(lines.kg)}"
    if size > lines.practised_in:
        text = f"{what}: this class pulls lures to {lines.comfortable_in:g} inches"
        return rig.finding("warning", "size-for-class", text, PRACTICE)
    if rig.lure.hook_gauge == "light":
        text = f"{what}: for a practised crew; its light hooks help"
    else:
        text = f"{what}: for a practised crew, and with light hooks"
    return rig.finding("caution", "size-for-class", text, PRACTICE)


def hooks_too_heavy(rig: Rig) -> Finding | None:
    """Find hooks that the drag of a light outfit cannot drive home."""
    steps = _gauge_steps(rig)
    if steps <= 0:
        return None
    severity: Severity = "warning" if steps > 1 else "caution"
    text = (
        f"{rig.lure.name} has {rig.lure.hook_gauge} hooks, the outfit takes {rig.outfit.gauge}: "
        f"{rig.units.weight(rig.outfit.drag_kg, 1)} of drag may not drive them home"
    )
    return rig.finding(severity, "hooks-too-heavy", text, PRACTICE)


def hooks_too_light(rig: Rig) -> Finding | None:
    """Find light hooks on a heavy outfit that may straighten them; medium ones go with either."""
    if -_gauge_steps(rig) <= 1:
        return None
    text = (
        f"{rig.lure.name} has {rig.lure.hook_gauge} hooks, the outfit takes {rig.outfit.gauge}: "
        f"{rig.units.weight(rig.outfit.drag_kg, 1)} of drag may open them"
    )
    return rig.finding("caution", "hooks-too-light", text, PRACTICE)


def leader_strength(rig: Rig) -> Finding | None:
    """Find a leader that parts before the line does."""
    leader_kg = rig.lure.leader_kg
    if leader_kg is None or leader_kg >= rig.outfit.line_class_kg:
        return None
    text = (
        f"{rig.lure.name}: the {rig.units.weight(leader_kg)} leader is weaker than the "
        f"{rig.units.line(rig.outfit.line_class_kg)} line and parts first"
    )
    return rig.finding("caution", "leader-strength", text, PRACTICE)


def drag_setting(rig: Rig) -> Finding | None:
    """Find a strike drag outside the share of the line class that is usually advised."""
    if rig.outfit.strike_drag_kg is None:
        return None
    share = rig.outfit.drag_kg / rig.outfit.line_class_kg
    if LEAST_DRAG_SHARE <= round(share, 3) <= round(MOST_DRAG_SHARE, 3):
        return None
    text = (
        f"strike drag {rig.units.weight(rig.outfit.drag_kg)} is {100 * share:.0f} % of the "
        f"{rig.units.line(rig.outfit.line_class_kg)} line; 25 to 33 % is usual, set with a scale"
    )
    severity: Severity = "caution" if share > MOST_DRAG_SHARE else "note"
    return rig.finding(severity, "drag-setting", text, DRAG_ADVICE)


def leader_length(rig: Rig) -> Finding | None:
    """Find a leader too long for a record claim in this line class."""
    longest_m = _limits_m(rig)[1]
    leader_m = rig.lure.leader_m
    if leader_m is None or leader_m <= longest_m + LENGTH_SLACK_M:
        return None
    text = (
        f"{rig.lure.name}: a leader of {rig.units.length(leader_m)}, lure and hooks included, is over the "
        f"{rig.units.length(longest_m, 2)} allowed for a record claim on {rig.units.line(rig.line_class.kg)}"
    )
    return rig.finding("note", "leader-length", text, ANGLING_RULES)


def double_length(rig: Rig) -> Finding | None:
    """Find a double line too long for a record claim in this line class."""
    longest_m = _limits_m(rig)[0]
    double_m = rig.outfit.double_m
    if double_m is None or double_m <= longest_m + LENGTH_SLACK_M:
        return None
    text = (
        f"{rig.outfit.position}: a double of {rig.units.length(double_m)} is over the "
        f"{rig.units.length(longest_m, 2)} allowed for a record claim on {rig.units.line(rig.line_class.kg)}"
    )
    return rig.finding("note", "double-length", text, ANGLING_RULES)


def leader_and_double(rig: Rig) -> Finding | None:
    """Find a leader and a double that are allowed each by itself and too long together."""
    longest_m = _limits_m(rig)[2]
    if rig.lure.leader_m is None or rig.outfit.double_m is None:
        return None
    both_m = rig.lure.leader_m + rig.outfit.double_m
    if both_m <= longest_m + LENGTH_SLACK_M:
        return None
    text = (
        f"{rig.lure.name}: leader and double are {rig.units.length(both_m)} together, over the "
        f"{rig.units.length(longest_m, 2)} allowed for a record claim on {rig.units.line(rig.line_class.kg)}"
    )
    return rig.finding("note", "leader-and-double", text, ANGLING_RULES)


def hook_count(rig: Rig) -> Finding | None:
    """Find a skirted lure with more hooks than a record claim allows."""
    hooks = rig.lure.hooks
    if hooks is None or hooks <= MOST_HOOKS:
        return None
    text = (
        f"{rig.lure.name}: {hooks} hooks; a record claim allows two single hooks in a skirted lure"
    )
    return rig.finding("note", "hook-count", text, ANGLING_RULES)


CHECKS: Final[tuple[Check, ...]] = (
    size_for_class,
    hooks_too_heavy,
    hooks_too_light,
    leader_strength,
    drag_setting,
    leader_length,
    double_length,
    leader_and_double,
    hook_count,
)
"""Every rule about one lure on one outfit that needs no water."""


def _gauge_steps(rig: Rig) -> int:
    """Return by how many steps the hooks are heavier (or lighter, below nought) than the outfit takes."""
    if rig.lure.hook_gauge is None:
        return 0
    return GAUGES.index(rig.lure.hook_gauge) - GAUGES.index(rig.outfit.gauge)


def _limits_m(rig: Rig) -> tuple[float, float, float]:
    return SHORT_LIMITS_M if rig.line_class.kg <= SHORT_GROUP_KG else LONG_LIMITS_M
