"""A recorded day of the instruments: what they said at any time of it, the track, a summary."""

from bisect import bisect_right
from datetime import datetime
from itertools import pairwise
from typing import Any

from bot.errors import DeckcallError
from bot.instruments.fold import Instruments, replay
from bot.instruments.track import is_worth
from bot.stamps import Fix
from bot.water.bearing import leg


class Record:
    """A file of NMEA 0183 sentences."""

    def __init__(self, data: bytes, name: str) -> None:
        """Read all of it; raises DeckcallError where no sentence says what time it was."""
        lines = data.decode("ascii", errors="replace").splitlines()
        self._times: list[datetime] = []
        self._known: list[Instruments] = []
        for at, known in replay(lines):
            if self._times and self._times[-1] == at:
                self._known[-1] = known
            else:
                self._times.append(at)
                self._known.append(known)
        if not self._times:
            raise DeckcallError(
                f"{name}: no sentence with a right checksum says the date (ZDA, RMC); nothing played"
            )

    def fix(self, at: datetime) -> Fix | None:
        """Return what was known at a time of the record; None outside of it."""
        place = bisect_right(self._times, at)
        return self._known[place - 1].fix(at) if place else None

    def track(self) -> list[Fix]:
        """Return the points that are worth keeping."""
        kept: list[Fix] = []
        for at, known in zip(self._times, self._known, strict=True):
            fix = known.fix(at)
            if is_worth(kept[-1] if kept else None, fix):
                kept.append(fix)
        return kept

    def summary(self) -> dict[str, Any]:
        """Return what was read, in numbers."""
        track = self.track()
        places = [fix.place for fix in track if fix.place is not None]
        last = self._known[-1]
        return {
            "nmea": {
                "from": self._times[0].isoformat(),
                "to": self._times[-1].isoformat(),
                "used": last.used,
                "dropped": dict(last.dropped),
                "track_points": len(track),
                "distance_nm": round(sum(leg(a, b).distance_nm for a, b in pairwise(places)), 2),
            }
        }
