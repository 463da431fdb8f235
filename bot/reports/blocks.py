"""What a page is made of, before it is Markdown, HTML or PDF. Every text in it is plain, not marked up."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Heading:
    """The title of a section."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: str
    small: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Names and values, side by side."""

    pairs: Sequence[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads; the first `left` columns hold words, the others numbers."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    left: int = 1
    caption: str = ""
    last_is_total: bool = False
    ends_in_words: bool = False
    """Whether the last column holds words too."""

    def is_number(self, column: int) -> bool:
        """Return whether a column holds numbers."""
        return column >= self.left and not (self.ends_in_words and column == len(self.heads) - 1)


@dataclass(frozen=True, slots=True)
class Items:
    """A list of sentences."""

    texts: Sequence[str]


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that must be seen: the first sentence of it stands out."""

    title: str
    texts: Sequence[str]


Section = Literal["day", "rates", "when"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture with what it shows in words."""

    png: bytes
    alt: str
    section: Section = "rates"
    """At the end of which section it stands."""


@dataclass(frozen=True, slots=True)
class Figures:
    """Pictures beside each other where there is room."""

    all: Sequence[Figure]


Block = Heading | Paragraph | Facts | Table | Items | Notice | Figures


@dataclass(frozen=True, slots=True)
class Page:
    """A whole report, laid out."""

    title: str
    subtitle: str
    blocks: tuple[Block, ...]
