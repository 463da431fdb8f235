"""For what a tray or a spread is: its tackle, its speed, its fish. Pure."""

from typing import Any

from bot.calls.meant.bare_numbers import bare_numbers, speed_in
from bot.calls.meant.reader import Line
from bot.calls.meant.tray_lures import Mention, is_within
from bot.tackle.line_classes import CLASS_OF_WORD, LINE_CLASSES, class_of, class_of_label


def tackle_in(line: Line, tray: Mention | None = None) -> str | float | None:
    """Return the tackle that a line names beside the tray: its word, or a line class in kg."""
    for sign in line.of("tackle"):
        if not is_within(sign, tray):
            return sign.name if sign.name in CLASS_OF_WORD else float(sign.name)
    for start in range(line.lattice.size):
        for value, end in bare_numbers(line, start):
            if line.at(end, "mass", "kilo") and value <= LINE_CLASSES[-1].kg:
                return float(class_of(value).kg)
            label = class_of_label(value) if line.at(end, "mass", "pound") else None
            if label is not None:
                return float(label.kg)
    return None


def plan_slots(line: Line, tray: Mention | None) -> dict[str, Any]:
    """Return the slots of a plan that a line names."""
    fish = [sign for sign in line.of("species") if not is_within(sign, tray)]
    slots: dict[str, Any] = {
        "speed_kn": speed_in(line),
        "tackle": tackle_in(line, tray),
        "species": fish[0].name if fish else None,
    }
    return {name: value for name, value in slots.items() if value is not None}
