"""What the web chat's server is told, and what it asks: plain values and callables."""

from collections.abc import Callable, Mapping
from concurrent.futures import Future
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from bot.messages import Message, Reply
from bot.transcript import HearingResult
from bot.transports.unasked import UnaskedSource, nothing_to_say
from bot.transports.web.doorway import IDLE_S

BODY_S: Final = 30.0


@dataclass(frozen=True, slots=True)
class WebConfig:
    """What the server has to be told."""

    host: str
    port: int
    file: Path
    """Who was let in."""
    max_bytes: int = 5_000_000
    cert: Path | None = None
    key: Path | None = None
    announce: Callable[[str, Mapping[str, str]], None] = lambda _address, _codes: None
    """Told the address and the new pairing codes, by role."""
    names: tuple[str, ...] = ()
    """Host names that the page may be asked for by, besides localhost and addresses in numbers."""
    console: int | None = None
    """Descriptor of the console's input: a line there makes new pairing codes."""
    idle_s: float = IDLE_S
    """Longest time between two requests of a connection; a stranger has this much in all."""
    body_s: float = BODY_S
    """Longest time for a body to arrive."""
    refused_s: float = 0.5
    """How long a wrong code waits for its answer."""


@dataclass(frozen=True, slots=True)
class WebAnswers:
    """What the worker thread can be asked."""

    answer: Callable[[Message, HearingResult | None], Reply]
    """What comes of a message; of a recording with what was heard, where that was asked before."""
    board: Callable[[], str]
    spread_png: Callable[[], bytes | None] | None = None
    listen: Callable[[Message], Future[HearingResult] | None] | None = None
    """Begins to hear a recording elsewhere; None: `answer` hears it itself, or has heard it before."""
    only_asks: Callable[[str], bool] | None = None
    """True for a text that changes nothing in the log; None where guests may say nothing."""
    tidy: Callable[[], None] | None = None
    """Removes what was kept for long enough; asked from time to time."""
    unasked: UnaskedSource = nothing_to_say
    helm: Callable[[], dict[str, Any] | None] = lambda: None
    """The board as values, for the screen at the helm; None where no trip is open."""
    report: Callable[[str], bytes] | None = None
    """The report of a trip, as a page (HTML); None where none can be made."""
    warm: Callable[[], None] | None = None
    """Loads what the first call would wait for; called once, before any other."""


OpenAnswers = Callable[[], AbstractContextManager[WebAnswers]]
