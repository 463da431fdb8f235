"""What was heard: alternatives of text, best first.

The one value that crosses from `speech` (or a keyboard) to `calls`. It knows nothing of either.
"""

from dataclasses import dataclass, field
from typing import Final
from unicodedata import category, normalize


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
        """Return the likeliest text, or an empty string where nothing was heard."""
        return self.alternatives[0].text if self.alternatives else ""

    @property
    def is_spoken(self) -> bool:
        """Return whether this came from a recording."""
        return self.engine != "typed"


@dataclass(frozen=True, slots=True)
class HearingFailure:
    """Why there is no transcript of a recording."""

    why: str
    """What was the matter, in words that go on after "Not logged: "."""
    again: bool = False
    """True where the recording itself may be good: it is kept, to be heard another time."""


HearingResult = Transcript | HearingFailure
"""What became of a recording."""


def typed_transcript(text: str) -> Transcript:
    """Wrap a typed line: one alternative, of which there is no doubt."""
    return Transcript((Alternative(plain_letters(text), 1.0),))


def plain_letters(text: str) -> str:
    """Return a line with the letters that it shows: full-width and ornamental ones as plain ones, unseen
    ones (zero width, direction, soft hyphens) and control codes left out. Others stay as they are.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_plain(letter) for letter in text)


def without_controls(text: str) -> str:
    """Return a text without control codes, signs of direction and halves of letters, line ends kept."""
    if text.isprintable():
        return text
    return "".join(letter for letter in text if letter in _ENDS or not _is_unseen(letter))


def shown_name(name: str) -> str:
    """Return a name as it may stand in one line."""
    return name if name.isprintable() else " ".join(without_controls(name).split())


_ENDS: Final = "\n\t"
_JOINERS: Final = "\u200c\u200d"
"""Letters of some scripts, and emoji, are put together by these."""


def _is_unseen(letter: str) -> bool:
    kind = category(letter)
    return kind in ("Cc", "Cs", "Zl", "Zp") or (kind == "Cf" and letter not in _JOINERS)


def _plain(letter: str) -> str:
    if letter.isascii() and letter.isprintable():
        return letter
    if letter in _ENDS or letter in "\r\u2028\u2029\x85":
        return "\n" if letter != "\t" else letter
    if _is_unseen(letter) or letter in _JOINERS:
        return ""
    same = normalize("NFKC", letter)
    return same if len(same) == 1 and same.isascii() else letter
