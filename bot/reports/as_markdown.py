"""A page as Markdown: headings, lists and pipe tables, as most readers of it understand. Pure."""

import re
from collections.abc import Iterable, Sequence
from typing import Final

from bot.reports.blocks import Block, Facts, Figures, Heading, Items, Notice, Page, Paragraph, Table

_MARKS: Final = re.compile(r"([\\`*_\[\]<>#|~&])")
_STARTS: Final = re.compile(r"^(\s*)([-+=]|\d+[.)])(?=\s|$|-|=)")


def markdown(page: Page) -> str:
    """Write a page; pictures are named only, for a text cannot hold them."""
    lines = [f"# {_plain(page.title)}", "", _plain(page.subtitle), ""]
    for block in page.blocks:
        lines += [*_block(block), ""]
    return "\n".join(lines).rstrip() + "\n"


def _block(block: Block) -> Iterable[str]:
    match block:
        case Heading():
            yield f"## {_plain(block.text)}"
        case Paragraph():
            yield _line(block.text)
        case Facts():
            yield from (f"- {_plain(name)}: {_plain(value)}" for name, value in block.pairs)
        case Items():
            yield from (f"- {_line(text)}" for text in block.texts)
        case Notice():
            yield f"> **{_plain(block.title)}**"
            for text in block.texts:
                yield ">"
                yield f"> {_line(text)}"
        case Figures():
            yield from (f"*Picture, in HTML and PDF: {_plain(one.alt)}*" for one in block.all)
        case Table():
            yield from _table(block)


def _table(table: Table) -> Iterable[str]:
    if table.caption:
        yield f"**{_plain(table.caption)}**"
        yield ""
    yield _row([_plain(head) for head in table.heads])
    yield _row(["---:" if table.is_number(n) else "---" for n in range(len(table.heads))])
    for number, cells in enumerate(table.rows):
        strong = table.last_is_total and number == len(table.rows) - 1
        yield _row([f"**{_plain(cell)}**" if strong else _plain(cell) for cell in cells])


def _row(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _plain(text: str) -> str:
    """Take the meaning from all marks of Markdown, and keep it on one line."""
    return _MARKS.sub(r"\\\1", " ".join(text.split()))


def _line(text: str) -> str:
    """Write text that begins a line, where a dash or a number with a dot would begin a list."""
    return _STARTS.sub(r"\1\\\2", _plain(text))
