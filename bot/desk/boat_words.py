"""The call language of an open desk, made anew when the box or the words of deckcall.toml change.

A lure that another program imports, and a word that is written into the file, are understood and heard
from the next call on. What else the file says (outfits, place, tokens) is read when a desk is opened.

A line is read beside the lines before it and what is usual for its speaker; both come from the log.
"""

import json
import logging
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from bot.calls.language import Language
from bot.calls.usual import NOTHING_USUAL, Usual, usual_of
from bot.calls.weighed import LINES_BEFORE
from bot.errors import LogbookError, SettingsError, TackleError
from bot.fittings import clashes, colour_words, language_of
from bot.logbook.codec import from_text
from bot.logbook.learnt import crew_speech
from bot.logbook.store import Logbook
from bot.settings import Settings, load
from bot.tackle.box import BoxFile, parse
from bot.tackle.items import Lure

FILE: Final = "deckcall.toml"
FRESH: Final = timedelta(minutes=3)
"""How long after a line the next may belong to it: "thirty inches" - "thirty four, you hold it wrong"."""
_log = logging.getLogger(__name__)


class BoatWords:
    """Makes the language with the boat's own words."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._changed_ns = self._written_ns()
        self._language: Language | None = None
        self._names: tuple[str, ...] = ()

    def language(self, box: tuple[Lure, ...]) -> Language:
        """Return the language with the names of the box and the words of the file as they are now."""
        fresh = self._read_again()
        names = tuple(lure.name for lure in box)
        if fresh or self._language is None or names != self._names:
            self._language, self._names = language_of(self._settings, box), names
        return self._language

    def collisions(
        self, box: Iterable[Lure], only: frozenset[str] | None = None
    ) -> tuple[str, ...]:
        """Return which of the boat's words mean something else, one line each; `only` names some."""
        self._read_again()
        return clashes(self._settings, box, only)

    def _written_ns(self) -> int:
        """Return when the file was written; 0 where there is none."""
        try:
            return (self._settings.home / FILE).stat().st_mtime_ns
        except OSError:
            return 0

    def _read_again(self) -> bool:
        """Read the words of a file that has been written since; a file with a mistake changes nothing."""
        written = self._written_ns()
        if written == self._changed_ns:
            return False
        self._changed_ns = written
        try:
            found = load(options={"home": self._settings.home})
        except SettingsError as exc:
            _log.warning("the words of the boat stay as they were: %s", exc)
            return False
        boat = replace(self._settings.boat, positions=found.boat.positions)
        self._settings = replace(self._settings, words=found.words, boat=boat)
        for line in clashes(self._settings, ()):
            _log.warning("%s", line)
        return True


def read_box(path: Path, found: Settings, skip_bad: bool) -> BoxFile:
    """Return what a file of lures holds; raises TackleError, for a bad line too unless `skip_bad`."""
    try:
        data = path.read_bytes()
    except OSError as exc:
        raise TackleError(f"{path} cannot be read ({exc.strerror}); check the name") from exc
    read = parse(data, words=colour_words(found.words.colours))
    if read.refused and not (skip_bad and read.lures):
        line, why = read.refused[0]
        raise TackleError(f"{path}, line {line}: {why}; nothing imported")
    return read


def said_before(log: Logbook, at: datetime) -> tuple[str, ...]:
    """Return what was said last, by whomever, before this time, the latest last: two messages at most.

    A message that came too long before the next one is left out, and what came before it.
    """
    sql = f"SELECT said_at, text, alternatives FROM messages ORDER BY seq DESC LIMIT {LINES_BEFORE}"
    try:
        rows = log.rows(sql)
    except LogbookError:
        return ()
    found: list[str] = []
    for said_at, text, alternatives in rows:
        then = from_text(said_at)
        if not timedelta(0) <= at - then <= FRESH:
            break
        heard = json.loads(alternatives) if text is None else None
        best = heard["alternatives"][0]["text"] if heard and heard["alternatives"] else ""
        found.insert(0, text or best)
        at = then
    return tuple(found)


def usual(log: Logbook, found: Settings, speaker: str) -> Usual:
    """Return what is usual for a speaker; nothing where that is switched off or cannot be read."""
    if not found.speech.learn:
        return NOTHING_USUAL
    try:
        known = crew_speech(log)
    except LogbookError as exc:
        _log.warning("nothing is learnt: %s", exc)
        return NOTHING_USUAL
    return usual_of(known.said, speaker, (*found.boat.crew, *known.names))
