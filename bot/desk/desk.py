"""The way of one message, on one page: heard, understood, decided, kept, answered.

A Desk holds one boat, and belongs to the thread that made it. Every transport goes through `answer`. What
lies between hearing and keeping is a function of its arguments: `outcome`, `bot.answers`, `bot.trip`.
"""

import logging
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Final

from bot.answers.view import View
from bot.calls.language import Language
from bot.calls.understand import Understanding, understand
from bot.desk.boat_words import BoatWords, read_box, said_before, usual
from bot.desk.conversation import asked_of_us, referents_now
from bot.desk.edits import OVERTAKEN_OUTCOME, edit_ref, is_news, outcome_of_edit
from bot.desk.heard import HeardMessage, Outcome, unheard_outcome
from bot.desk.in_its_place import in_its_place
from bot.desk.left_open import known_lines
from bot.desk.next_morning import choose_view, told_of, where_there_was_one
from bot.desk.outcome import outcome_of
from bot.desk.taken_back import of_a_reminder
from bot.desk.unanswered import overdue, take
from bot.desk.unasked import claim_due
from bot.desk.understood import hints_of, understand_transcript
from bot.desk.views import Views
from bot.errors import AudioError, EngineError, LogbookError
from bot.fittings import Ear, boat_of
from bot.logbook.opening import flush
from bot.logbook.recordings import KEPT_OUTCOME, Recording, again, forget, purge, retry_ref, trip_at
from bot.logbook.store import Logbook, MessageRecord
from bot.logbook.track import keep_fix
from bot.messages import Message, Reply, Source
from bot.replies.refusals import too_late
from bot.settings import Settings, load
from bot.stamps import Fix, FixAt, nothing_measured
from bot.tackle.items import Lure
from bot.transcript import (
    HearingFailure,
    HearingResult as HeardSound,
    Transcript,
    shown_name,
    typed_transcript,
    without_controls,
)
from bot.trip.acts import CONTROL, QUESTIONS, TABLE
from bot.trip.call import Call
from bot.trip.entry import Advised, Asked, Entry, Record
from bot.trip.memory import Memory

if TYPE_CHECKING:
    from bot.speech.engine import Engine, EngineGrammar
    from bot.speech.workers import Workers

PURGE_EVERY: Final = timedelta(days=1)
"""How often old recordings are looked for."""
_log = logging.getLogger(__name__)


class Desk:
    """Takes calls of one boat, keeps them and answers them."""

    def __init__(
        self,
        home: str | Path | None = None,
        *,
        settings: Settings | None = None,
        source: Source = "console",
        engine: "Engine | None" = None,
        workers: "Workers | None" = None,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        instruments: FixAt = nothing_measured,
        **options: str,
    ) -> None:
        """Open or make the log in a folder.

        `settings` spares reading them again; `engine` is an ear that is there already; `workers` are ears
        in other processes, which stay the caller's to close; `instruments` say what is measured at a time,
        if they know (else the track is asked); `options` are those of the command line (`timezone`,
        `model`); raises DeckcallError.
        """
        self.settings = settings or load(options={"home": home, **options})
        self.boat = boat_of(self.settings)
        self.zone = self.settings.boat.zone
        self._source: Source = source
        self._clock = clock
        self._instruments = instruments
        self._log = Logbook.open(self.settings.home, check=True)
        self._purged_at: datetime | None = None
        self._ear = Ear(self.settings, engine, workers)
        self._memory = Memory()
        self._words = BoatWords(self.settings)
        self._views = Views(self._log, self.settings, self.boat, self._memory, instruments)
        self._questioned: tuple[datetime, tuple[Call, ...]] | None = None
        """The last calls that asked something, and when: "swap those two" may mean them."""
        self.tidy()

    def __enter__(self) -> "Desk":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the log; closing twice does no harm."""
        self._log.close()

    def defer_sync(self) -> Callable[[], None]:
        """Defer fsync. Return a callable that flushes the log; show no reply before it returns.

        It may be called from any thread.
        """
        path = self._log.defer_sync()
        return lambda: flush(path)

    # The ways in

    def say(self, text: str, crew: str = "", at: datetime | None = None) -> Reply:
        """Answer a typed call; `at` defaults to now, and a naive time is the boat's own."""
        return self.answer(Message(crew, self._time(at), self._source, text=text))

    def hear(
        self, recording: str | Path | bytes, crew: str = "", at: datetime | None = None
    ) -> Reply:
        """Answer a recording, given as a path or as bytes; raises AudioError where the path is wrong."""
        name = ""
        if not isinstance(recording, bytes):
            path = Path(recording)
            name = path.name
            try:
                recording = path.read_bytes()
            except OSError as exc:
                raise AudioError(
                    f"recording {path} cannot be opened ({exc.strerror}): check the path"
                ) from exc
        return self.answer(Message(crew, self._time(at), self._source, sound=recording, name=name))

    def answer(self, message: Message, heard: HeardSound | None = None) -> Reply:
        """Return the reply to a message and keep what it says; raises LogbookError where it cannot be kept.

        `heard` is what an ear elsewhere made of its recording.
        """
        if message.edited_at is not None:
            return self.answer_edit(message)
        if earlier := self._log.reply_to(message.ref):
            return earlier
        self.tidy()
        message = self._clean(message)
        kept_as = self._log.new_id()
        if message.ref is not None and self._log.versions(message.ref):
            return self._keep(kept_as, message, OVERTAKEN_OUTCOME, None)
        box = self._log.lures()
        words = self._words.language(box)
        heard = heard or self._listen(message, words)
        if isinstance(heard, HearingFailure):
            return self._keep(kept_as, message, unheard_outcome(heard), None)
        outcome = self._outcome(message, kept_as, heard, words, box)
        return self._keep(kept_as, message, outcome, heard)

    def grammar(self, message: Message) -> "EngineGrammar | None":
        """Return what may be said in a recording, for an ear elsewhere; None where it is already answered."""
        if self._log.reply_to(message.ref) is not None:
            return None
        return self._ear.grammar(self._words.language(self._log.lures()))

    def retry(self, recording: Recording) -> Reply:
        """Hear a recording that waits, as said at its own time; it is logged once, however often it is tried.

        One that cannot be heard again goes on waiting. Raises LogbookError.
        """
        if earlier := self._log.reply_to(retry_ref(recording.message)):
            return earlier
        message = again(recording)
        box = self._log.lures()
        words = self._words.language(box)
        heard = self._listen(message, words)
        lies_at = recording.path.relative_to(self.settings.home).as_posix()
        kept_as = self._log.new_id()
        if isinstance(heard, HearingFailure):
            outcome = unheard_outcome(heard)
            if heard.again:
                return outcome.reply
            return self._keep(kept_as, message, outcome, None, lies_at)
        trip = trip_at(self._log, message.at)
        outcome = self._outcome(message, kept_as, heard, words, box, trip)
        reply = self._keep(kept_as, message, outcome, heard, lies_at)
        if self.settings.speech.keep_days == 0:
            forget(self._log, [recording])
        return reply

    def tidy(self) -> None:
        """Remove recordings that are past their time; looks at most once a day."""
        now = self._clock()
        if self._purged_at is None or abs(now - self._purged_at) >= PURGE_EVERY:
            self._purged_at = now
            purge(self._log, self.settings.speech.keep_days, now)

    def answer_edit(self, message: Message) -> Reply:
        """Put the edited text of a message in place of what it said, at the time when it was sent.

        `ref` and `at` are those of the message, `edited_at` tells when it was edited. What an earlier
        version logged is void, unless others have undone or corrected it since. Raises LogbookError.
        """
        if message.ref is None or message.text is None:
            return Reply("")
        own = edit_ref(message)
        if earlier := self._log.reply_to(own):
            return earlier
        versions = self._log.versions(message.ref)
        if not is_news(message, versions):
            return Reply("")
        message = replace(self._clean(message), ref=own)
        box = self._log.lures()
        words = self._words.language(box)
        transcript = typed_transcript(message.text or "")
        trip = self._log.trip_of([version.id for version in versions])
        before = self._views.of(trip or self._log.latest_trip(), box, message.at)
        found = self._meant(transcript, words, before, message)
        kept_as = self._log.new_id()
        heard = self._heard(message, kept_as, transcript, found)
        outcome = outcome_of_edit(heard, self._views.view_for(before, message), versions)
        return self._keep(kept_as, message, outcome, transcript)

    def box_import(self, path: str | Path, skip_bad: bool = False) -> tuple[tuple[int, str], ...]:
        """Add or update lures by name from a CSV file; return the lines that were refused and why.

        Nothing is imported from a file with a bad line unless `skip_bad`; raises TackleError then. A name
        that means something else already is imported all the same, and a warning says so.
        """
        read = read_box(Path(path), self.settings, skip_bad)
        self._log.import_lures(read.lures, self._clock())
        for said in self.collisions(frozenset(lure.name for lure in read.lures)):
            _log.warning("%s", said)
        return read.refused

    def collisions(self, only: frozenset[str] | None = None) -> tuple[str, ...]:
        """Return which words of the boat (lures, positions, colours, fish) already mean something else.

        One line each, with what to do; `only` those of these names.
        """
        return self._words.collisions(self._log.lures(), only)

    def view(self, now: datetime | None = None) -> View:
        """Return what is true now, for other programs."""
        return self._views.of(self._log.latest_trip(), self._log.lures(), self._time(now))

    def keep_track(self, fixes: Iterable[Fix]) -> None:
        """Add points to the track; raises LogbookError."""
        kept = tuple(fixes)
        for fix in kept:
            keep_fix(self._log, fix)
        if kept:
            self._log.summaries.forget(min(f.at for f in kept), max(f.at for f in kept))

    def only_asks(self, text: str) -> bool:
        """Return whether a text only asks questions, which is all that a guest may do."""
        words = self._words.language(self._log.lures())
        calls = understand(typed_transcript(text), words).calls if text.strip() else ()
        return bool(calls) and all(call.act in QUESTIONS for call in calls)

    def claim_due(self, channel: str, now: datetime | None = None) -> tuple[str, ...]:
        """Return what is to be said now without a call: reminders. Each is given once for a channel.

        A transport that can speak by itself asks every half minute or so, under a name of its own
        (`chat`, `telegram`, `web`, `listen`). Raises LogbookError.
        """
        view = self.view(now)
        return claim_due(self._log, view, self.settings, channel, self._instruments(view.now))

    def _clean(self, message: Message) -> Message:
        """Return a message with its time as the log keeps it and its texts without control codes."""
        text = None if message.text is None else without_controls(message.text)
        return replace(message, at=self._time(message.at), crew=shown_name(message.crew), text=text)

    def _time(self, at: datetime | None) -> datetime:
        """Return a time in UTC and whole seconds, which is how the log keeps it."""
        at = self._clock() if at is None else at
        at = at.replace(tzinfo=self.zone) if at.tzinfo is None else at
        return at.astimezone(UTC).replace(microsecond=0)

    def _listen(self, message: Message, words: Language) -> HeardSound:
        """Return what was said, or why it cannot be made out."""
        if message.text is not None:
            return typed_transcript(message.text)
        try:
            return self._ear.hear(message.sound or b"", message.name, words)
        except (AudioError, EngineError) as exc:
            _log.info("a recording could not be heard: %s", exc)
            from bot.speech.engine import failure_of

            return failure_of(exc)

    def _outcome(
        self, message: Message, name: str, transcript: Transcript, words: Language,
        box: tuple[Lure, ...], late_for: str | None = None,
    ) -> Outcome:  # fmt: skip
        """Return what comes of a message; `late_for` is the trip of a recording that is heard long after."""
        latest = late_for or self._log.latest_trip()
        before = self._views.of(latest, box, message.at)
        found = self._meant(transcript, words, before, message)
        is_late = (message.ref or "").startswith(retry_ref(""))
        if is_late and any(call.act in CONTROL for call in found.calls):
            text = too_late(found.text)
            return Outcome(Reply(text, text, heard=found.text), "refused")
        if found.calls and found.calls[0].act in CONTROL:
            last = self._log.last_trip()
            before = before if last == latest else self._views.of(last, box, message.at)
        heard = self._heard(message, name, transcript, found)
        if found.calls and all(call.act in QUESTIONS for call in found.calls):
            self._questioned = (message.at, found.calls)
        seen = self._views.view_for(before, message)
        meant = seen if is_late else choose_view(found, seen, self._loading(box, message))
        outcome = told_of(outcome_of(heard, meant), meant, seen)
        if is_late or not (due := overdue(heard, seen, outcome)):
            return outcome
        taken = take(due, heard, seen)
        found = self._meant(transcript, words, taken.view, message)
        heard = self._heard(message, name, transcript, found)
        return taken.before(outcome_of(heard, taken.view))

    def _loading(self, box: tuple[Lure, ...], message: Message) -> Callable[[str], View]:
        """Return a function that gives the view of another trip as a message finds it."""
        return lambda trip: self._views.view_for(self._views.of(trip, box, message.at), message)

    def _meant(
        self, transcript: Transcript, words: Language, before: View, message: Message
    ) -> Understanding:
        """Return what a message means, given what was true before it."""
        hints = hints_of(before.trip, before.stood, before.asked, message.at, message.crew)
        known = (
            usual(self._log, self.settings, message.crew) if transcript.is_spoken else hints.usual
        )
        hints = replace(hints, before=said_before(self._log, message.at), usual=known)
        words = words.with_crew((*hints.crew, message.crew))
        place = referents_now(
            before.trip, before.stood, message.at, self._questioned, self.zone, before.records
        )
        if told := of_a_reminder(transcript, words, before, message.at, self._questioned):
            return told
        found = where_there_was_one(understand_transcript(transcript, words, hints, place), before)
        found = asked_of_us(found, message)
        accept = transcript.signals.get("accept", 1.0)
        told = in_its_place(found, words, before, message.at, self._questioned, accept)
        return known_lines(told, before.trip, self.boat.positions)

    def _heard(
        self, message: Message, name: str, transcript: Transcript, found: Understanding
    ) -> HeardMessage:
        new_id, memory = self._log.new_id, self._memory
        return HeardMessage(message, name, transcript, found, new_id, memory, self._views.fix_at)

    def _keep(
        self,
        name: str,
        message: Message,
        outcome: Outcome,
        transcript: Transcript | None,
        lies_at: str | None = None,
    ) -> Reply:
        """Keep a message; its sound only where the boat wants that, or where it waits to be heard."""
        if outcome.word != KEPT_OUTCOME and self.settings.speech.keep_days == 0:
            message = replace(message, sound=None)
        talk = all(isinstance(one, Asked | Advised) for one in outcome.records)
        if self._log.only_read and outcome.word == "answered" and talk:
            return outcome.reply  # a question is answered though nothing can be kept
        reply = self._log.record(
            MessageRecord(
                name, message, outcome.reply, outcome.word, outcome.records, outcome.trip,
                transcript, self._clock(), lies_at,
            )
        )  # fmt: skip
        _copy_after(outcome.records, self.settings, self._clock())
        return reply


def _copy_after(records: Iterable[Record], found: Settings, at: datetime) -> None:
    """Copy the log where these records end a trip; a failed copy never delays a reply."""
    many = found.keeping.backups
    ended = any(isinstance(one, Entry) and TABLE[one.call.act].form == "ended" for one in records)
    if not ended or many == 0:
        return
    from bot.logbook.keeping import back_up_and_keep

    try:
        made = back_up_and_keep(found.home, at, many)
    except LogbookError as exc:
        _log.warning("no copy of the log was made: %s", exc)
        return
    _log.info("the log was copied to %s", made)
