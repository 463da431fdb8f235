"""What the boat wants to hear unasked, as the settings have it. A plain value."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Reminders:
    """What the boat wants to hear unasked, 0 for never."""

    weed_min: float = 0.0
    """Every so many minutes with lines in: look for weed."""
    out_h: float = 0.0
    """When a lure has been in the water for so many hours without a break."""
    sunset_min: float = 0.0
    """Minutes before sunset."""
    no_position_min: float = 0.0
    """When nothing has told where the boat is for so many minutes, though something did before."""
    last_time_here: bool = False
    """When the boat comes near an old strike: what it was; once for each place and trip."""

    @property
    def any(self) -> bool:
        """Return whether anything is wanted."""
        timed = self.weed_min or self.out_h or self.sunset_min or self.no_position_min
        return bool(timed or self.last_time_here)


NOTHING: Final = Reminders()
