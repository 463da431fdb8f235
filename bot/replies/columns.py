"""Tables for a terminal or a pipe: plain columns, the same for every command. Pure."""

from collections.abc import Iterator, Sequence

from bot.transcript import shown_name


def columns(heads: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1) -> Iterator[str]:
    """Yield the lines of a table: the first `left` columns from the left, the others from the right."""
    table = [heads, *([shown_name(cell) for cell in row] for row in rows)]
    widths = [max(len(row[i]) for row in table) for i in range(len(heads))]
    for row in table:
        cells = [
            cell.ljust(width) if column < left else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield "  ".join(cells).rstrip()
