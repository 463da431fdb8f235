"""The way of one message, on one page: heard, understood, decided, kept, answered.

A Desk holds one boat: its log, its language, its ear. Every transport goes through `answer`. What
lies between hearing and keeping is a function of its arguments, in `bot.answers` and `bot.trip`.
A Desk belongs to the thread that made it.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final

from bot.answers.advise import swap_call
from bot.answers.answer import FIRST, NO, SECOND, YES, Answer
from bot.answers.readback import Change, read_back
from bot.answers.settle import Act, Doubt, Remark, Settled, settle
from bot.answers.view import View
from bot.calls.understand import Hints, Language, Understanding, understand
from bot.errors import AudioError, EngineError, TackleError
from bot.fittings import Ear, boat_of, language_of
from bot.logbook.ids import trip_id
from bot.logbook.store import Kept, Logbook
from bot.messages import Advice, Message, Reply, Source
from bot.settings import Settings, load
from bot.tackle.box import parse
from bot.tackle.items import Lure
from bot.transcript import Transcript, typed
from bot.trip.decide import Context, Decision, Numbering, decide, number
from bot.trip.entry import Advised, Asked, Entry, Record
from bot.trip.memory import Memory

if TYPE_CHECKING:
    from bot.speech.engine import Engine

NOT_HEARD: Final = "I did not make that out, so nothing is logged. Say it again, or type it."
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What came of one message, before it is kept."""

    answer: Answer
    word: str
    records: tuple[Record, ...] = ()
    calls: tuple[dict[str, Any], ...] = ()
    ask: str | None = None
    confidence: float = 1.0
    trip: str = ""


class Desk:
    """Takes calls, keeps them, answers them."""

    def __init__(
        self,
        home: str | Path | None = None,
        *,
        settings: Settings | None = None,
        source: Source = "console",
        engine: "Engine | None" = None,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        **options: str,
    ) -> None:
        """Open or make the log in a folder.

        `settings` spares reading them again; `options` are those of the command line (`timezone`,
        `engine` by name as `ear`, `model`); raises DeckcallError.
        """
        self.settings = settings or load(options={"home": home, **options})
        self.boat = boat_of(self.settings)
        self.zone = self.settings.boat.zone
        self._source: Source = source
        self._clock = clock
        self._log = Logbook.open(self.settings.home)
        self._ear = Ear(self.settings, engine)
        self._memory = Memory()
        self._words: Language | None = None
        self._names: tuple[str, ...] | None = None

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
        """Close the log."""
        self._log.close()

    # The ways in

    def say(self, text: str, crew: str = "", at: datetime | None = None) -> Reply:
        """Take a typed call; `at` is now where nothing is given, the boat's own time where naive."""
        return self.answer(Message(crew, self._time(at), self._source, text=text))

    def hear(self, sound: str | Path | bytes, crew: str = "", at: datetime | None = None) -> Reply:
        """Take a recording: its path, or its bytes."""
        name = ""
        if not isinstance(sound, bytes):
            path = Path(sound)
            name = path.name
            try:
                sound = path.read_bytes()
            except OSError as exc:
                raise AudioError(
                    f"recording {path} cannot be opened ({exc.strerror}): check the path"
                ) from exc
        return self.answer(Message(crew, self._time(at), self._source, sound=sound, name=name))

    def answer(self, message: Message) -> Reply:
        """Hear one message, keep what it says, and answer it; raises LogbookError where it cannot be kept."""
        if earlier := self._log.reply_to(message.ref):
            return earlier
        box = self._log.lures()
        words = self._language(box)
        heard = self._listen(message, words)
        kept_as = self._log.new_id()
        if isinstance(heard, str):
            outcome, transcript = _Outcome(Answer(heard, heard), "not heard"), None
        else:
            transcript = heard
            outcome = self._outcome(message, kept_as, heard, words, box)
        reply = self._reply(outcome, transcript)
        return self._log.record(
            Kept(
                kept_as,
                self._to_keep(message, transcript),
                reply,
                outcome.word,
                outcome.records,
                outcome.trip,
                transcript,
                self._clock(),
            )
        )

    def box_import(self, path: str | Path, skip_bad: bool = False) -> tuple[tuple[int, str], ...]:
        """Add or update lures by name from a CSV file; gives the lines that were refused and why.

        Nothing is imported from a file with a bad line unless `skip_bad`; raises TackleError then.
        """
        try:
            data = Path(path).read_bytes()
        except OSError as exc:
            raise TackleError(f"{path} cannot be read ({exc.strerror}); check the name") from exc
        read = parse(data, self.boat.colours)
        if read.refused and not (skip_bad and read.lures):
            line, why = read.refused[0]
            raise TackleError(f"{path}, line {line}: {why}; nothing imported")
        self._log.import_lures(read.lures, self._clock())
        return read.refused

    def view(self, now: datetime | None = None) -> View:
        """Give what is true now, for answers to programs."""
        return self._view(self._log.lures(), self._time(now))

    # Steps of the road

    def _time(self, at: datetime | None) -> datetime:
        if at is None:
            return self._clock()
        return at.replace(tzinfo=self.zone).astimezone(UTC) if at.tzinfo is None else at

    def _language(self, box: tuple[Lure, ...]) -> Language:
        names = tuple(lure.name for lure in box)
        if self._words is None or names != self._names:
            self._words, self._names = language_of(self.settings, box), names
        return self._words

    def _listen(self, message: Message, words: Language) -> Transcript | str:
        """Give what was said, or a sentence that says why it cannot be made out."""
        if message.text is not None:
            return typed(message.text)
        try:
            return self._ear.hear(message.sound or b"", message.name, words)
        except (AudioError, EngineError) as exc:
            _log.info("a recording could not be heard: %s", exc)
            text = str(exc)
            return f"Nothing logged: {text}."

    def _to_keep(self, message: Message, transcript: Transcript | None) -> Message:
        """Keep sound only as long as the settings want it; always where it could not be used."""
        useful = transcript is not None and transcript.alternatives
        if message.sound is not None and useful and self.settings.speech.keep_days <= 0:
            return replace(message, sound=None)
        return message

    def _view(self, box: tuple[Lure, ...], now: datetime, records: tuple[Record, ...] = ()) -> View:
        known = self._log.records(self._log.last_trip())
        then = self._memory.now((*known, *records))
        return View(
            then.trip,
            now,
            (*known, *records),
            then.stood,
            self.boat,
            box,
            tz=self.zone,
            asked=self._log.last_asked(),
            place=getattr(self.settings.boat, "place", None),
        )

    def _outcome(
        self,
        message: Message,
        name: str,
        transcript: Transcript,
        words: Language,
        box: tuple[Lure, ...],
    ) -> _Outcome:
        before = self._view(box, message.at)
        found = understand(transcript, words, _hints(before))
        before = replace(before, heard=found.text)
        advised = before.advised
        proposal = (advised, swap_call(advised.advice, before)) if advised else None
        accept = transcript.signals.get("accept", 1.0)
        settled = settle(found, before.asked, proposal, message.at, accept)
        match settled:
            case Remark():
                return self._remark(settled, message, name, before, found, transcript)
            case Doubt():
                return self._doubt(settled, message, name, before, found)
            case Act():
                return self._act(settled, message, name, before, found)

    def _remark(
        self,
        settled: Remark,
        message: Message,
        name: str,
        before: View,
        found: Understanding,
        transcript: Transcript,
    ) -> _Outcome:
        text = settled.text
        unheard = transcript.spoken and not transcript.alternatives
        if not text and unheard and message.source != "microphone":
            return _Outcome(Answer(NOT_HEARD, "Say again."), "not understood")
        buttons = _buttons(before.asked.options) if settled.keeps_open and before.asked else ()
        records = self._closing(settled, message, name)
        calls = tuple(call.to_json() for call in found.calls) if text else ()
        word = "answered" if text else "talk"
        answer = Answer(text, text, buttons=buttons)
        return _Outcome(answer, word, records, calls, None, found.confidence, before.trip.id)

    def _doubt(
        self, settled: Doubt, message: Message, name: str, before: View, found: Understanding
    ) -> _Outcome:
        asked = Asked(
            self._log.new_id(),
            settled.question,
            settled.options,
            message.at,
            found.text,
            message.crew,
            name,
        )
        calls = tuple(call.to_json() for call in settled.options[0])
        answer = Answer(settled.question, settled.question, buttons=_buttons(settled.options))
        return _Outcome(
            answer, "asked", (asked,), calls, settled.question, found.confidence, before.trip.id
        )

    def _act(
        self, settled: Act, message: Message, name: str, before: View, found: Understanding
    ) -> _Outcome:
        said = _said(settled, message, found)
        context = Context(said.at, self.zone, before.box, said.text, self._memory)
        decision = decide(settled.calls, before.records, context)
        trip = trip_id(name, said.at, self.zone) if decision.new_trip else before.trip.id
        numbering = Numbering(
            self._log.new_id, trip, name, said.crew, message.source, said.text, said.at
        )
        records = number(decision, numbering)
        after = self._after(before, decision, records, message.at)
        change = Change(decision, records, before, after, said.at)
        answer = read_back(change, message.private)
        records += self._closing(settled, message, name)
        records += self._told(answer, after, message, name, said)
        return _Outcome(
            answer,
            "logged" if decision.changes_log else "refused" if decision.refused else "answered",
            records,
            tuple(call.to_json() for call in settled.calls),
            None,
            found.confidence,
            trip,
        )

    def _after(
        self, before: View, decision: Decision, records: tuple[Record, ...], now: datetime
    ) -> View:
        known = () if decision.new_trip else before.records
        then = self._memory.now((*known, *records))
        return replace(
            before, trip=then.trip, stood=then.stood, records=(*known, *records), now=now
        )

    def _closing(self, settled: Settled, message: Message, name: str) -> tuple[Record, ...]:
        """Give the record that closes the question that was open: one that asks nothing."""
        if isinstance(settled, Act | Remark) and settled.closes:
            return (Asked(self._log.new_id(), "", (), message.at, message=name),)
        return ()

    def _told(
        self, answer: Answer, after: View, message: Message, name: str, said: "_Said"
    ) -> tuple[Record, ...]:
        """Give the records of what was proposed: a change, and an offer that waits for a yes."""
        records: list[Record] = []
        if answer.advice is not None and _is_new(answer.advice, after):
            records.append(Advised(self._log.new_id(), answer.advice, message.at, name))
        if answer.offer is not None:
            text = said.text if answer.offer.said else ""
            at = said.at if answer.offer.said else message.at
            offer = answer.offer
            records.append(
                Asked(
                    self._log.new_id(), offer.question, offer.options, at, text, message.crew, name
                )
            )
        return tuple(records)

    def _reply(self, outcome: _Outcome, transcript: Transcript | None) -> Reply:
        answer = outcome.answer
        return Reply(
            text=answer.text,
            spoken=answer.spoken or answer.text,
            calls=outcome.calls,
            advice=answer.advice,
            confidence=outcome.confidence,
            ask=outcome.ask,
            logged=tuple(r.id for r in outcome.records if isinstance(r, Entry)),
            heard=transcript.best if transcript else "",
            buttons=answer.buttons,
            pictures=answer.pictures,
        )


@dataclass(frozen=True, slots=True)
class _Said:
    """When, by whom and in which words that was said which is logged now."""

    at: datetime
    crew: str
    text: str


def _said(settled: Act, message: Message, found: Understanding) -> _Said:
    asked = settled.answers
    if asked is None or not asked.text:
        return _Said(message.at, message.crew, found.text)
    return _Said(asked.at, asked.crew or message.crew, asked.text)


def _hints(view: View) -> Hints:
    out = view.trip.spread.values()
    return Hints(
        {lure.position: (lure.colours, lure.size_in, lure.lure) for lure in out},
        tuple(f.position for f in view.trip.fish if not f.is_over and f.position),
        view.trip.is_fishing,
    )


def _buttons(options: tuple[tuple[Any, ...], ...]) -> tuple[Any, ...]:
    return (FIRST, SECOND, NO) if len(options) > 1 else (YES, NO)


def _is_new(advice: Advice, view: View) -> bool:
    last = view.advised.advice if view.advised else None
    return last is None or (last.position, last.lure) != (advice.position, advice.lure)
