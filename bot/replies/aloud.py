"""What is read aloud, in a breath: over an engine nobody hears more. The rest stands on the screen. Pure."""

from collections.abc import Iterator
from typing import Final

MOST_WORDS: Final = 25
"""Most words that are read aloud; a question whose answer is waited for is read whole."""


def brief(text: str) -> str:
    """Return the first sentences that fit, and the question at the end; else the beginning of the first."""
    if len(text.split()) <= MOST_WORDS:
        return text
    sentences = list(_sentences(text))
    asks = sentences.pop() if sentences[-1].endswith("?") and len(sentences) > 1 else ""
    room = MOST_WORDS - len(asks.split())
    kept = _fitting(sentences, room) or [_shortened(sentences[0], room)]
    return " ".join([*kept, *([asks] if asks else [])])


def _sentences(text: str) -> Iterator[str]:
    """Yield the sentences of a reply; a line ends one too."""
    for line in text.splitlines():
        begin = 0
        for at in range(len(line)):
            if line[at] in ".!?" and line[at + 1 : at + 2] == " ":
                yield line[begin : at + 1].strip()
                begin = at + 1
        if line[begin:].strip():
            yield line[begin:].strip()


def _fitting(sentences: list[str], room: int) -> list[str]:
    kept: list[str] = []
    for one in sentences:
        room -= len(one.split())
        if room < 0:
            break
        kept.append(one)
    return kept


def _shortened(text: str, room: int) -> str:
    """Return the first parts of a sentence that fit, cut where a list or a clause ends."""
    for mark in ("; ", ": ", ", "):
        kept = _fitting(text.rstrip(".").split(mark), room)
        if kept and len(kept) < len(text.split(mark)):
            return f"{mark.join(kept)}."
    return f"{' '.join(text.split()[: max(room, 1)])}."
