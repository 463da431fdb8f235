"""What words may point at when a line is said. Pure values."""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Pointed:
    """What words may point at, the latest first where there is an order."""

    out: tuple[tuple[str, str], ...] = ()
    """Positions with a lure in the water, and the lure in words."""
    mentioned: tuple[str, ...] = ()
    """Positions mentioned lately."""
    together: tuple[str, ...] = ()
    """Positions that the last call or question was about."""
    up: tuple[tuple[str, str], ...] = ()
    """Positions brought in lately and not put out since, and the lure that was there."""
    changed: str = ""
    """The position whose lure was changed last, if nothing happened on a line since and no other was."""
    laid: str = ""
    """The lure that was put out last, in words."""
    last: str = ""
    """The act of the last call, if it is fresh."""
    on: tuple[str, ...] = ()
    """Positions with a fish on."""
    bitten: tuple[str, ...] = ()
    """Positions with a fish that bit and is not over, on or not."""
    weedy: tuple[tuple[str, str], ...] = ()
    """Positions on which weed was called last and is still, and the lure that tows it."""
    positions: tuple[str, ...] = field(default=())
    """All positions of the boat."""
    now: str = ""
    """The boat's own time, as `HH:MM`."""
    unplaced: bool = False
    """True where a fish is on whose line nobody said."""
