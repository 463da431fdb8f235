"""What was heard: alternatives of text, best first.

The one value that crosses from `speech` (or a keyboard) to `calls`. It knows nothing of either.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way to write down what was said."""

    text: str
    score: float
    """0 to 1, larger is likelier; comparable only within one transcript."""


@dataclass(frozen=True, slots=True)
class Transcript:
    """What an engine, or a keyboard, made of one message."""

    alternatives: tuple[Alternative, ...]
    """Best first; empty where nothing that could be a call was heard."""
    engine: str = "typed"
    seconds: float = 0.0
    """Length of the recording in seconds; 0 for typed text."""
    signals: dict[str, float] = field(default_factory=dict)
    """What the engine measured on the way (agreement, likelihood ratio, snr_db ...)."""

    @property
    def best(self) -> str:
        """Give the likeliest text, or an empty string where nothing was heard."""
        return self.alternatives[0].text if self.alternatives else ""

    @property
    def spoken(self) -> bool:
        """Say whether this came from a recording."""
        return self.engine != "typed"


@dataclass(frozen=True, slots=True)
class Unheard:
    """Why there is no transcript of a recording."""

    why: str
    """What was the matter, in words that go on after "Not logged: "."""
    again: bool = False
    """True where the recording itself may be good: it is kept, to be heard another time."""


Heard = Transcript | Unheard
"""What became of a recording."""


def typed(text: str) -> Transcript:
    """Wrap a typed line: one alternative, of which there is no doubt."""
    return Transcript((Alternative(text, 1.0),))
