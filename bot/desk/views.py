"""What is true when a message comes, read from the log as one `View` for all that answers it.

Knows the log, the settings and the instruments, and no message but for its place and its screen.
"""

from dataclasses import replace
from datetime import datetime
from typing import Final

from bot.answers.drags import use_scale_drags
from bot.answers.fit import A_TRIP
from bot.answers.view import Past, View
from bot.logbook.store import Logbook
from bot.logbook.track import fix_near, track_of
from bot.logbook.trays import made_trays, tray_entries
from bot.messages import Message
from bot.settings import Settings
from bot.stamps import Fix, FixAt
from bot.tackle.crew_units import IMPERIAL, were_pounds
from bot.tackle.items import Boat, Lure
from bot.trip.measured import SharedPlace, place_event
from bot.trip.memory import Memory

MOST_EARLIER: Final = 40
"""Most earlier trips that advice and readiness look back at; more is slower and adds little."""
QUESTIONS_KEPT: Final = 16
"""Number of the latest questions and their closings that are kept, for several people at once."""


class Views:
    """Makes views of one log and caches the earlier trips of the last one."""

    def __init__(
        self, log: Logbook, settings: Settings, boat: Boat, memory: Memory, instruments: FixAt
    ) -> None:
        self._log = log
        self._settings = settings
        self._boat = boat
        self._memory = memory
        self._instruments = instruments
        self._past: tuple[str | None, Past] | None = None

    def of(self, trip: str | None, box: tuple[Lure, ...], now: datetime) -> View:
        """Return what is true at a time, with a trip as the present one."""
        records = self._log.records(trip)
        then = self._memory.now(records)
        questions = self._log.last_questions(QUESTIONS_KEPT)
        return View(
            then.trip,
            now,
            records,
            then.stood,
            _in_units(use_scale_drags(self._boat, then.trip.drags), box),
            box,
            self._log.imported_at(),
            self._settings.boat.zone,
            self._past_of(trip, now),
            asked=questions[0] if questions else None,
            questions=questions,
            load_questions=self._log.last_questions,
            place=self._settings.boat.place,
            weights=self._settings.plan,
            said=lambda sentence: self._log.has_said(
                sentence, (then.trip.first_at or now) - A_TRIP
            ),
            wishes=self._settings.advice,
            load_track=lambda: track_of(self._log, trip) if trip else (),
            load_trays=lambda: (made_trays(self._log), tray_entries(self._log)),
        )

    def fix_at(self, at: datetime) -> Fix | None:
        """Return what was measured at a time, by the instruments or else from the track."""
        found = self._instruments(at)
        if found is not None and found.place is not None:
            return found
        return fix_near(self._log, at) or found

    def view_for(self, before: View, message: Message) -> View:
        """Return a view with the place and the screen that a message brings."""
        shared = shared_place(message)
        here, _ = place_event(message.at, message.at, shared, self.fix_at(message.at))
        return replace(before, draws=message.draws, files=message.files, here=here)

    def _past_of(self, trip: str | None, now: datetime) -> Past:
        """Return the trips before this one: the same object for the same trip, folded when looked at."""
        if self._past is None or self._past[0] != trip:
            kept, zone = self._log.summaries, self._settings.boat.zone
            home = self._settings.boat.place
            self._past = (
                trip,
                Past(
                    lambda: kept.trips(now, zone, MOST_EARLIER, but=trip, home=home),
                    lambda: kept.figures(now, zone, but=trip, home=home),
                ),
            )
        return self._past[1]


def _in_units(boat: Boat, box: tuple[Lure, ...]) -> Boat:
    """Return a boat with the units that are set, else with pounds and feet where its box was written so."""
    if boat.units is not None:
        return boat.in_units(boat.units)
    pounds = were_pounds(lure.leader_kg for lure in box if lure.leader_kg is not None)
    return boat.in_units(IMPERIAL) if pounds else boat


def shared_place(message: Message) -> SharedPlace | None:
    """Return the place that came with a message."""
    if message.latitude is None or message.longitude is None:
        return None
    return SharedPlace((message.latitude, message.longitude), message.place_at or message.at)
