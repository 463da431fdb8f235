"""Answer what is in the inbox: what stands first in a boat's queue, handled until it is done.

Typed calls that wait together are answered and finished together; everything else goes one by one. A
log that cannot be written (disk full, locked) is waited for: the update stays. An update that makes
the program fail twice is set aside and its sender told.
"""

import errno
import logging
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import islice
from typing import Final

from telegram.error import RetryAfter, TelegramError

from bot.batch import BoatCall
from bot.errors import DeckcallError, LogbookError
from bot.messages import Message, Reply
from bot.transcript import HearingResult
from bot.transports.isolated import ProcessBroken
from bot.transports.pressing import QUESTIONS
from bot.transports.telegram import notices
from bot.transports.telegram.collaborators import Api, Collaborators
from bot.transports.telegram.commits import Commits
from bot.transports.telegram.crews import Crews
from bot.transports.telegram.ears import Ears, UnderWay
from bot.transports.telegram.edits import Edits, is_edited_again
from bot.transports.telegram.fetching import Fetcher
from bot.transports.telegram.finished import FinishedUpdate, answer_to, is_fresh
from bot.transports.telegram.gate import Role
from bot.transports.telegram.pace import EDITED_AGAIN_S
from bot.transports.telegram.queues import Queue
from bot.transports.telegram.store import Send, WaitingUpdate
from bot.transports.telegram.updates import (
    Attachment,
    ButtonPress,
    GroupMove,
    PersonMessage,
    Unreadable,
    read,
)

TRIES: Final = 2
"""Attempts before an update that crashes the program is set aside."""
TOGETHER: Final = 20
"""Most typed calls of one boat that are answered together."""
_PASSING: Final = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO, errno.EMFILE, errno.ENOMEM)

_log = logging.getLogger(__name__)


@dataclass(slots=True)
class Handler:
    """Empties the queues of all boats."""

    api: Api
    commits: Commits
    crews: Crews
    collaborators: Collaborators
    ears: Ears
    fetcher: Fetcher
    acknowledge: str = "reply"
    edited_again_s: float = EDITED_AGAIN_S
    _name: str = field(default="")
    _edits: Edits = field(default_factory=Edits)

    async def step(self, queue: Queue) -> float:
        """Handle what stands first, and take it off; return seconds until the next attempt."""
        updates = queue.updates
        together = self._typed(islice(updates, TOGETHER))
        failed: Exception | None = None
        try:
            done = 1
            if together:
                done, failed = await self._answer_together(together)
            elif is_edited_again(updates):
                await self._close(updates[0].update_id)
            elif self._edits.may_come_again(updates):
                return self.edited_again_s
            else:
                await self._handle(updates[0])
        except Exception as exc:
            done, failed = 0, exc
        for _ in range(done):
            updates.popleft()
        if failed is None:
            queue.backoff.start_anew()
            return 0.0
        return await self._failed(queue, failed)

    def _typed(self, waiting: "islice[WaitingUpdate]") -> list[tuple[WaitingUpdate, PersonMessage]]:
        """Return the updates at the front that are nothing but typed calls of known crew."""
        found: list[tuple[WaitingUpdate, PersonMessage]] = []
        for one in waiting:
            try:
                said = read(one.raw)
            except Unreadable:
                break
            if not isinstance(said, PersonMessage) or not self._is_typed(said):
                break
            found.append((one, said))
        return found

    def _is_typed(self, said: PersonMessage) -> bool:
        if not said.text or said.text[0] in "/@" or said.edited_at or said.place or said.file:
            return False
        boat = self.collaborators.boat_of(said.chat)
        known = self.crews.shown_name(boat, said.user, said.name)
        return known is not None and self._role(said) in ("crew", "skipper")

    async def _answer_together(
        self, together: Sequence[tuple[WaitingUpdate, PersonMessage]]
    ) -> tuple[int, Exception | None]:
        """Answer typed calls of one boat; return how many are done and why the next is not."""
        boat = together[0][0].boat
        calls = [
            BoatCall(replace(self._message(said, said.name, said.at), text=said.text, ref=said.ref))
            for _, said in together
        ]
        answered = await self.collaborators.answer(boat, calls)
        replies = list(answered.replies)
        if _is_answer(answered.failed):
            replies.append(Reply(f"Not logged: {answered.failed}"))
        finished = [
            FinishedUpdate(one.update_id, reply, said, said.at)
            for (one, said), reply in zip(together, replies, strict=False)
        ]
        await self._finish(finished)
        return len(replies), None if _is_answer(answered.failed) else answered.failed

    async def _handle(self, waiting: WaitingUpdate) -> None:
        try:
            update = read(waiting.raw)
        except Unreadable as exc:
            note = str(exc)
            await self.commits.do(lambda store: store.quarantine(waiting.update_id, note))
            return
        match update:
            case PersonMessage() if self._role(update) is not None:
                await self._said(waiting, update)
            case ButtonPress() if self._role(update) is not None:
                await self._pressed(waiting.update_id, update)
            case GroupMove() if update.chat in self.collaborators.gate().crew:
                now = self.collaborators.clock()
                chat, to = update.chat, update.to
                await self.commits.do(lambda store: store.move(chat, to, now))
                self.collaborators.moved(chat, to)
                await self._close(waiting.update_id)
            case _:
                await self._close(waiting.update_id)

    def _role(self, one: PersonMessage | ButtonPress) -> Role | None:
        return self.collaborators.gate().role(one.chat, one.user, one.private)

    async def _said(self, waiting: WaitingUpdate, said: PersonMessage) -> None:
        update_id = waiting.update_id
        text = await self._plain(said.text) if said.text is not None else None
        is_guest = self._role(said) == "guest"
        if said.place is not None and not is_guest:
            await self._keep_place(said)
        if not text and (said.file is None or said.edited_at is not None):
            await self._close(update_id)
            return
        if text == notices.ME and said.text != notices.ME:  # the command, not the word
            ids = notices.ids(said.user, said.chat)
            await self._close(update_id, answer_to(said, ids))
            return
        if is_guest and not (said.file is None and text and await self._only_asks(said, text)):
            await self._close(update_id, answer_to(said, notices.GUEST))
            return
        message = replace(
            self._message(said, await self._shown(said), said.at),
            text=text, ref=said.ref, edited_at=said.edited_at,
        )  # fmt: skip
        if said.file is not None and text is None:
            await self._recorded(waiting, said, said.file, message)
            return
        reply = await self._answer(message, said.chat)
        edited = said.edited_at is not None
        await self._finish([FinishedUpdate(update_id, reply, said, said.at, edited=edited)])

    async def _recorded(
        self, waiting: WaitingUpdate, said: PersonMessage, file: Attachment, message: Message
    ) -> None:
        """Have a recording fetched, heard and answered, now or while others overtake it."""
        refusal = self.fetcher.refusal(file)
        if refusal is not None:
            await self._close(waiting.update_id, answer_to(said, refusal))
            return

        async def fetch() -> Message | str:
            sound = await self.fetcher.fetch(file)
            return (
                sound if isinstance(sound, str) else replace(message, sound=sound, name=file.name)
            )

        under_way = await self.ears.begin(waiting, fetch)
        if under_way.taken.done():
            await self._heard(under_way, said)
        else:
            self.ears.let_be(under_way, lambda one: self._heard_late(one, said))

    async def _heard(self, one: UnderWay, said: PersonMessage) -> None:
        """Answer a recording that has been heard."""
        taken, number = await one.taken, one.waiting.update_id
        if taken.message is None:
            await self._close(number, answer_to(said, taken.instead))
            return
        reply = await self._answer(taken.message, said.chat, taken.heard)
        await self._finish([FinishedUpdate(number, reply, said, said.at)])

    async def _heard_late(self, one: UnderWay, said: PersonMessage) -> None:
        """Answer a recording that others have overtaken; where that fails it joins the queue again."""
        try:
            await self._heard(one, said)
        except Exception as exc:
            _log.warning("a recording is heard again (%s: %s)", type(exc).__name__, exc)
            again = one.waiting
            if not _will_pass(exc):
                again = replace(again, tries=again.tries + 1)
                if again.tries >= TRIES:
                    await self._set_aside(again)
                    return
            self.collaborators.again(again)

    def _message(self, one: PersonMessage | ButtonPress, shown: str, at: datetime) -> Message:
        """Return a message without its words: who, when, where, and what he may do."""
        boat = self.collaborators.boat_of(one.chat)
        latitude, longitude, place_at = self.crews.place(boat, at) or (None, None, None)
        name = self.crews.shown_name(boat, one.user, one.name) or shown
        return Message(
            name, at, "telegram", private=one.private, latitude=latitude, longitude=longitude,
            skipper=self._role(one) == "skipper", place_at=place_at, boat=boat, draws=True,
            files=True,
        )  # fmt: skip

    async def _shown(self, one: PersonMessage | ButtonPress) -> str:
        """Return the name of one of the crew, which nobody else of that boat has."""
        boat, user, given = self.collaborators.boat_of(one.chat), one.user, one.name
        if known := self.crews.shown_name(boat, user, given):
            return known
        shown = self.crews.choose(boat, user, given, one.more)
        await self.commits.do(lambda store: store.set_name(boat, user, given, shown))
        self.crews.name(boat, user, given, shown)
        return shown

    async def _keep_place(self, said: PersonMessage) -> None:
        place, boat = said.place, self.collaborators.boat_of(said.chat)
        at = said.edited_at or said.at
        if place is not None and self.crews.put(boat, place.latitude_deg, place.longitude_deg, at):
            where = (place.latitude_deg, place.longitude_deg, at)
            await self.commits.do(lambda store: store.set_place(boat, *where))

    async def _answer(
        self, message: Message, chat: int, heard: HearingResult | None = None
    ) -> Reply:
        answered = await self.collaborators.answer(
            self.collaborators.boat_of(chat), [BoatCall(message, heard)]
        )
        if answered.failed is None:
            return answered.replies[0]
        if _is_answer(answered.failed):
            return Reply(f"Not logged: {answered.failed}")
        raise answered.failed

    async def _only_asks(self, one: PersonMessage | ButtonPress, text: str) -> bool:
        return await self.collaborators.only_asks(self.collaborators.boat_of(one.chat), text)

    async def _pressed(self, update_id: int, pressed: ButtonPress) -> None:
        number = int(pressed.data[1:]) if pressed.data[1:].isdecimal() else -1
        chat, boat = pressed.chat, self.collaborators.boat_of(pressed.chat)
        button = await self.commits.do(lambda store: store.button(number, chat, boat))
        if button is None or not is_fresh(button):
            await self._stop_waiting(pressed.query, notices.STALE)
            await self._close(update_id)
            return
        if self._role(pressed) == "guest" and not await self._only_asks(pressed, button.say):
            await self._stop_waiting(pressed.query, notices.GUEST)
            await self._close(update_id)
            return
        ref = f"telegram:{pressed.chat}:{pressed.message}:b{number}"
        now = self.collaborators.clock()
        shown = await self._shown(pressed)
        message = replace(
            self._message(pressed, shown, now), text=button.say, ref=ref, about=button.about
        )
        reply = await self._answer(message, chat)
        await self._stop_waiting(pressed.query, None)
        answered = None if button.say in QUESTIONS else number
        await self._finish([FinishedUpdate(update_id, reply, pressed, now, answered)])

    async def _stop_waiting(self, query: str, text: str | None) -> None:
        try:
            await self.api.answer_callback_query(query, text=text, show_alert=text is not None)
        except TelegramError:
            _log.debug("a button's waiting sign could not be stopped", exc_info=True)

    async def _close(self, update_id: int, sends: Sequence[Send] = ()) -> None:
        """Finish an update that changed and asked nothing."""
        self.collaborators.made(await self.commits.do(lambda store: store.finish(update_id, sends)))

    async def _finish(self, finished: "Sequence[FinishedUpdate]") -> None:
        """Mark updates as handled and put their answers into the outbox, in one transaction."""
        made: list[tuple[FinishedUpdate, list[Send], str | None]] = []
        for one in finished:
            boat = self.collaborators.boat_of(one.said.chat)
            paper = await self._report(boat, one.reply.report) if one.reply.report else None
            sends = one.sends(self.acknowledge, paper)
            made.append((one, sends, boat if one.is_turn else None))
        rows = await self.commits.do(
            lambda store: [
                row
                for one, sends, boat in made
                for row in store.finish(
                    one.update_id, sends, boat=boat, pressed=one.pressed, changed=one.changed
                )
            ]
        )
        self.collaborators.made(rows)
        for one, _, turned in made:
            if turned is not None:
                self.collaborators.changed(one.said.chat)

    async def _report(self, boat: str, trip: str) -> bytes | None:
        """Return the report that goes with an answer; None where it cannot be made: the answer goes alone."""
        try:
            return await self.collaborators.report(boat, trip)
        except Exception:
            _log.exception("the report of trip %s cannot be made", trip)
            return None

    async def _failed(self, queue: Queue, exc: Exception) -> float:
        """Deal with an update that could not be handled; return seconds until the next attempt."""
        waiting = queue.updates[0]
        if _will_pass(exc):
            wait_s = queue.backoff.count_failure()
            if isinstance(exc, RetryAfter):
                wait_s = max(wait_s, 1.0)
            _log.warning(
                "a call waits (%s: %s); trying again in %.0f s", type(exc).__name__, exc, wait_s
            )
            return wait_s
        _log.error("update %d could not be handled", waiting.update_id, exc_info=exc)
        if waiting.tries + 1 < TRIES:
            await self.commits.do(lambda store: store.count_attempt(waiting.update_id))
            queue.updates[0] = replace(waiting, tries=waiting.tries + 1)
        else:
            await self._set_aside(waiting)
            queue.updates.popleft()
        return 0.1

    async def _set_aside(self, waiting: WaitingUpdate) -> None:
        sends: list[Send] = []
        try:
            update = read(waiting.raw)
        except Unreadable:
            update = None
        if isinstance(update, PersonMessage):
            sends = answer_to(update, notices.FAILURE_TEXT)
        note = "the program failed on it"
        self.collaborators.made(
            await self.commits.do(lambda store: store.quarantine(waiting.update_id, note, sends))
        )

    async def _plain(self, text: str) -> str:
        found = notices.plain(text, self._name)
        if found is None or (text.startswith("@") and not self._name):
            self._name = await self.collaborators.bot_name()
            found = notices.plain(text, self._name)
        return found or ""


def _is_answer(exc: Exception | None) -> bool:
    """Return whether a failure is one to be told: an engine that is missing, a recording that is broken."""
    return isinstance(exc, DeckcallError) and not isinstance(exc, LogbookError | ProcessBroken)


def _will_pass(exc: Exception) -> bool:
    """Return whether waiting may help: no network, a full disk, a log that another program holds."""
    if isinstance(exc, OSError) and not isinstance(exc, LogbookError):
        return exc.errno in _PASSING
    return isinstance(exc, LogbookError | sqlite3.OperationalError | TelegramError)
