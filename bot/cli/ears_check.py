"""Each ear of the program: loaded for real, and what its absence costs.

Figures: calls right at the first, of 152 recordings (38 lines of `fixtures/calls/held_out.jsonl` in seven
voices of the part `test` of `bench ear`, made noise, 20, 10, 5 and 0 dB), 29 November 2026: all ears 83.6 %,
without Whisper as it comes 82.9 %, without the phone network 81.6 %, without the Whisper of the deck 4.6 %
(of what is left nothing is sure enough), PocketSphinx alone 9.2 %. The deck's Whisper may have read such
lines when it was trained.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from bot.settings import Settings

ALL: Final = 83.6
"""Calls right in 100, all ears together."""


@dataclass(frozen=True, slots=True)
class EarCheck:
    """One ear: whether it was loaded, and what is to be said about it."""

    name: str
    is_there: bool
    text: str


@dataclass(frozen=True, slots=True)
class _Ear:
    name: str
    load: Callable[[Settings], object | None]
    """Loads it; None, or an exception, where it cannot be used."""
    without: float
    """Calls right in 100 where it is missing."""
    mend: str


def ears(found: Settings) -> tuple[EarCheck, ...]:
    """Load every ear that listens to calls and return what came of it."""
    return tuple(_checked(one, found) for one in _EARS)


def _checked(ear: _Ear, found: Settings) -> EarCheck:
    try:
        is_there, why = ear.load(found) is not None, ""
    except Exception as exc:  # whatever a library does that is half installed
        is_there, why = False, f" ({type(exc).__name__}: {' '.join(str(exc).split())[:80]})"
    if is_there:
        return EarCheck(ear.name, True, "loaded")
    cost = f"without it {ear.without:g} of 100 calls are right at the first, not {ALL:g}"
    return EarCheck(ear.name, False, f"missing{why}: {cost}; {ear.mend}")


def _deck(_found: Settings) -> object | None:
    from bot.speech.written_ear import deck_writer

    return deck_writer()


def _plain(found: Settings) -> object | None:
    from bot.speech.models import plain_whisper
    from bot.speech.written_ear import writer

    fetched = plain_whisper(found.home)
    return writer(fetched) if fetched else writer()


def _phones(_found: Settings) -> object | None:
    from bot.speech.phones import network

    return network()


_AGAIN: Final = "run: pip install --force-reinstall deckcall"
_EARS: Final = (
    _Ear("ear of the deck", _deck, 4.6, _AGAIN),
    _Ear(
        "ear for people", _plain, 82.9,
        "run: deckcall model get whisper-tiny.en, or pip install 'deckcall[people]'",
    ),
    _Ear("ear for phones", _phones, 81.6, _AGAIN),
)  # fmt: skip
