"""A line as typed or heard to the words that the grammar knows.

Lower case, contractions opened ("he's" -> "he is"), figures parted from their units ("8kts" -> "8 kts"),
inch and foot marks written out. Every word keeps its place in the line, so that a note can be kept as
it was said. Knows no vocabulary but the spelling table it is given.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

MAX_WORDS: Final = 60
"""Most words of a line that are read: a call is said in one breath."""

_PIECE: Final = re.compile(
    r"(?P<clock>\d{1,2}[:h]\d{2}(?!\d))"
    r"|(?P<known>\b(?:1st|2nd|3rd|m8|2moro|2morrow|2day|2nite)\b)"
    r"|(?P<dotted>\d{1,2}\.\d{2}(?=\s*[ap]\.?m)|0\d\.[0-5]\d(?!\d))"
    r"|(?P<frac>\d+\s*[- ]\s*\d/\d(?!\d))"
    r"|(?P<half>(?<![\d/])\d/[248](?![\d/]))"
    r"|(?P<times>x\s?\d+\b|\d+\s?x\b)"
    r"|(?P<gear>\d+/0)"
    r"|(?P<tag>#\s*[a-z]*-?\d[\w-]*|(?<![a-z0-9])[a-z]{1,4}-?\d{3,}[a-z0-9]*)"
    r"|(?P<comma>\d{1,2},\d{1,2}(?!\d))"
    r"|(?P<num>\d+(?:,\d{3})+|\d*\.\d+|\d+)"
    r"|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)*'?)"
    r"|(?P<mark>[\"'/&+@°%*=>#])"
    r"|(?P<stop>[^\w\s])"
)
_CONTRACTIONS: Final = (
    (re.compile(r"^(can)'t$"), ("can", "not")),
    (re.compile(r"^(won)'t$"), ("will", "not")),
    (re.compile(r"^(shan)'t$"), ("shall", "not")),
    (re.compile(r"^(let)'s$"), ("let", "us")),
    (re.compile(r"^(rel)'d$"), ("released",)),
    (re.compile(r"^(tag)'d$"), ("tagged",)),
    (re.compile(r"^today's$"), ("todays",)),
    (re.compile(r"^yesterday's$"), ("yesterdays",)),
    (re.compile(r"^(what|how|where|when|why)'d$"), ("", "did")),
    (re.compile(r"^([a-z]+)n't$"), ("", "not")),
    (re.compile(r"^([a-z]+)'s$"), ("", "is")),
    (re.compile(r"^([a-z]+)'re$"), ("", "are")),
    (re.compile(r"^([a-z]+)'m$"), ("", "am")),
    (re.compile(r"^([a-z]+)'ll$"), ("", "will")),
    (re.compile(r"^([a-z]+)'d$"), ("", "would")),
    (re.compile(r"^([a-z]+)'ve$"), ("", "have")),
)
_QUOTES: Final = str.maketrans("\u2018\u2019\u201c\u201d", "''\"\"")
_SHORT: Final = re.compile(r"\b([sl])/(?=[a-z])")
_ORDINALS: Final = {
    "1st": "first", "2nd": "second", "3rd": "third", "m8": "mate", "2moro": "tomorrow",
    "2morrow": "tomorrow", "2day": "today", "2nite": "tonight",
}  # fmt: skip
_MARKS: Final = {"&": "and", "+": "and", "@": "at", "°": "degrees", "/": "/", "*": "*", ">": "to"}


@dataclass(frozen=True, slots=True)
class Token:
    """One word with its place in the line."""

    text: str
    start: int
    end: int
    stop: bool = False
    """True where punctuation stands before it."""
    mark: str = ""
    """That punctuation."""


def tokenise(line: str, spelling: Mapping[str, tuple[str, ...]]) -> tuple[Token, ...]:
    """Split a line into words; never raises, whatever the line holds."""
    low = _folded(line.lower()).translate(_QUOTES)
    if "/" in low:
        low = _SHORT.sub(r"\1 ", low)
    low = low if len(low) == len(line) else _folded(line).translate(_QUOTES)
    tokens: list[Token] = []
    stop, mark = False, ""
    for piece in _PIECE.finditer(low):
        kind, text = str(piece.lastgroup), piece[0]
        if kind == "stop":
            stop, mark = True, text
            continue
        if text in ("a", "p") and _glued(tokens, piece.start()):
            text += "m"  # 6:40a
        words = _words(kind, text, tokens, piece.start())
        if not words:
            stop = True
            continue
        start, end = piece.span()
        for word in words:
            for each in spelling.get(word, (word,)):
                tokens.append(Token(each, start, end, stop, mark))
                stop, mark = False, ""
        if len(tokens) > MAX_WORDS:
            break
    return tuple(tokens)


def _folded(line: str) -> str:
    """Return a line without accents, letter for letter: "se\u00f1orita" is "senorita"."""
    return line if line.isascii() else "".join(map(_bare, line))


def _bare(letter: str) -> str:
    """Return a letter without its accents, and a full-width one as usual; others as they are."""
    parts = unicodedata.normalize("NFKD", letter)
    return parts[0] if parts and (len(parts) == 1 or unicodedata.combining(parts[1])) else letter


def _glued(before: list[Token], at: int) -> bool:
    return bool(before) and before[-1].end == at and before[-1].text[-1:].isdigit()


def _words(kind: str, text: str, before: list[Token], at: int) -> tuple[str, ...]:
    if kind == "word":
        return _opened(text)
    if kind == "mark":
        return _mark(text, before, at)
    if kind == "comma":
        return (text.replace(",", "."),)
    if kind == "num":
        return (text.replace(",", ""),)
    if kind in ("clock", "dotted"):
        return (text.replace(".", ":").replace("h", ":"),)
    if kind == "known":
        return (_ORDINALS[text],)
    if kind == "times":
        return ("x" + re.sub(r"\D", "", text),)
    if kind == "half":
        return (_half(text),)
    if kind == "frac":
        whole, part = re.split(r"\s*[- ]\s*", text, maxsplit=1)
        return (str(float(whole) + float(_half(part))),)
    if kind == "tag":
        return (("#" if text[0] == "#" else "") + text.lstrip("# "),)
    return (text,)


def _half(text: str) -> str:
    top, bottom = text.split("/")
    return str(int(top) / int(bottom)) if int(bottom) else text


def _mark(text: str, before: list[Token], at: int) -> tuple[str, ...]:
    number = _glued(before, at)
    if text == '"':
        return ("inch",) if number else ()
    if text == "'":
        return ("foot",) if number else ()
    if text == "#":
        return ("pounds",) if number else ("number",)
    if text == "/" and before and before[-1].text == "with" and before[-1].end == at:
        return ()  # w/
    return (_MARKS[text],) if text in _MARKS else ()


def _opened(text: str) -> tuple[str, ...]:
    text = text.rstrip("'")
    if "'" not in text:
        return (text,)
    for pattern, (first, *rest) in _CONTRACTIONS:
        found = pattern.match(text)
        if found:
            return (first or found[1], *rest)
    return (text.replace("'", ""),)
