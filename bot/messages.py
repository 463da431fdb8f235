"""What comes in and what goes out: the only values that a transport knows.

Plain values without behaviour; every layer may use them.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal

Source = Literal["console", "telegram", "web", "microphone", "replay"]


@dataclass(frozen=True, slots=True)
class Message:
    """One call as it arrived, typed or spoken."""

    crew: str
    """Who said it."""
    at: datetime
    """When it was said (aware); the time of the message, not of its arrival."""
    source: Source
    text: str | None = None
    sound: bytes | None = None
    """A whole recording (WAV, FLAC, OGG); used where `text` is None."""
    ref: str | None = None
    """Where the message is known elsewhere, e.g. `telegram:<chat>:<message>`; seen twice, logged once."""
    name: str = ""
    """File name of the recording, for messages about it."""
    private: bool = False
    """True where only the wheelhouse reads the answer: it may be fuller."""
    in_group: bool = False
    """True where all of the crew read the answer: talk gets none, private or not."""
    latitude: float | None = None
    """Where the boat was, degrees, north positive; None where nobody shared it."""
    longitude: float | None = None
    """Degrees, east positive."""
    place_at: datetime | None = None
    """When the phone was there; None: when it was said."""
    edited_at: datetime | None = None
    """When the text was put right by its sender; `ref` and `at` stay those of the first version."""
    skipper: bool = True
    """False for one who may not take back what others logged."""
    about: str = ""
    """The question that this answers, as its button named it; see `Button.about`."""
    boat: str = ""
    """The folder of the log of the boat that it is for; empty: the boat of the settings."""
    draws: bool = False
    """True where its sender can be shown a picture with the answer."""
    files: bool = False
    """True where its sender can be given a file, or a link to one, with the answer."""
    overheard: bool = False
    """True for what a microphone caught that listens by itself: talk in it is not talked back to."""
    doubtful: bool = False
    """True where it may not have been meant for the boat at all: a bare yes in it logs nothing."""


@dataclass(frozen=True, slots=True)
class Picture:
    """An image that goes with a reply."""

    data: bytes
    caption: str
    media_type: str = "image/png"


@dataclass(frozen=True, slots=True)
class Button:
    """A short answer that can be given with one thumb."""

    label: str
    say: str
    """What pressing it says, as if it were called."""
    about: str = ""
    """The question that it answers, by its id; empty: whatever is open when it is pressed."""


@dataclass(frozen=True, slots=True)
class Advice:
    """The next change worth making."""

    position: str
    lure: str
    """A name or a description such as `purple 8-inch`."""
    reason: str
    """One sentence with its numbers."""
    chance: float
    """Probability, 0 to 1, that the change raises the strike rate at that position."""
    gain_per_h: float
    """Expected gain in strikes per hour."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What the crew reads, hears and can press."""

    text: str
    """What the crew reads; a few short lines. Empty where the message was talk that needs no answer."""
    spoken: str = ""
    """The short form, one breath, to be read aloud."""
    calls: tuple[dict[str, Any], ...] = ()
    """What was logged or answered, in the form of the contract, section 2."""
    advice: Advice | None = None
    confidence: float = 1.0
    ask: str | None = None
    """The question put instead of acting."""
    logged: tuple[str, ...] = ()
    """Ids of the entries that this message made."""
    heard: str = ""
    """The text that was acted on."""
    buttons: tuple[Button, ...] = ()
    pictures: tuple[Picture, ...] = field(default=(), repr=False)
    report: str = ""
    """The trip whose report goes with the answer, where its sender can be given one; empty: none."""
