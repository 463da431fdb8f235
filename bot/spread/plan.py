"""A plan: which lure on which position, with the reasons, and what could not be met."""

from dataclasses import dataclass
from typing import Any

from bot.findings import Finding
from bot.tackle.items import Outfit
from bot.trip.acts import SET
from bot.trip.call import Call


@dataclass(frozen=True, slots=True)
class PlannedLure:
    """One position of a plan."""

    position: str
    lure: str
    """Name in the tackle box."""
    size_in: float
    colours: tuple[str, ...]
    head: str | None
    reason: str
    """One sentence."""
    spare: str | None
    """Name of the lure that replaces it best."""
    back_m: float
    """How far behind the transom it runs, on the face of its wave."""
    wave: int
    rig: str = ""
    """Rod, hooks and leader, as far as they are known; one sentence."""
    outfit: Outfit | None = None
    """The rod that it is planned for."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A spread to start with; positions that stay empty are not in it."""

    positions: tuple[PlannedLure, ...]
    speed_kn: float
    findings: tuple[Finding, ...]

    @property
    def lures(self) -> frozenset[str]:
        """Return the names of the lures in it."""
        return frozenset(planned.lure for planned in self.positions)

    def set_calls(self) -> tuple[Call, ...]:
        """Return the calls that log the whole spread."""
        return tuple(
            Call(SET, p.position, None, p.colours, p.size_in, p.lure, p.head)
            for p in self.positions
        )

    def to_json(self) -> dict[str, Any]:
        """Return the form of the contract, section 2."""
        return {
            "positions": [
                {
                    "position": p.position,
                    "lure": p.lure,
                    "size_in": _number(p.size_in),
                    "colours": list(p.colours),
                    "head": p.head,
                    "reason": p.reason,
                    "spare": p.spare,
                    "back_m": _number(p.back_m),
                }
                for p in self.positions
            ],
            "speed_kn": _number(self.speed_kn),
            "findings": [
                {"severity": f.severity, "position": f.position, "text": f.text, "source": f.source}
                for f in self.findings
            ],
        }


def _number(value: float) -> float | int:
    return int(value) if value == int(value) else value
