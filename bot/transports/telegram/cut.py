"""Texts as long as Telegram takes them, counted as Telegram counts. Pure."""

from typing import Final

MOST_LETTERS: Final = 4096
"""Most characters of one message, by the Bot API."""
MOST_CAPTION: Final = 1024


def cut(text: str, most: int = MOST_LETTERS) -> tuple[str, ...]:
    """Cut a long text into messages, at line ends where there are any."""
    parts: list[str] = []
    rest = text
    while units(rest) > most:
        head = _first_units(rest, most)
        end = head.rfind("\n")
        head = head[:end] if end > 0 else head
        parts.append(head)
        rest = rest[len(head) :].lstrip("\n")
    return (*parts, rest) if rest or not parts else tuple(parts)


def units(text: str) -> int:
    """Count as Telegram does: in UTF-16 code units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def _first_units(text: str, most: int) -> str:
    taken, used = 0, 0
    for letter in text:
        used += 2 if ord(letter) > 0xFFFF else 1
        if used > most:
            break
        taken += 1
    return text[:taken]
