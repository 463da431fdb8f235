"""A table of whole numbers in as few bytes as they take, column by column. Pure.

First a byte for each column: in how many bytes its numbers are kept (1, 2 or 4, little end first). Then the
columns, one after the other. A third of what 32 bits for each would take, and a column is read alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt

_KINDS: Final[dict[int, np.dtype[Any]]] = {
    1: np.dtype("<i1"),
    2: np.dtype("<i2"),
    4: np.dtype("<i4"),
}


@dataclass(frozen=True, slots=True)
class PackedTable:
    """A table that `pack` made."""

    data: bytes
    width: int
    """Number of columns."""

    def __len__(self) -> int:
        each = sum(self.data[: self.width])
        return (len(self.data) - self.width) // each if each else 0

    def column(self, place: int) -> npt.NDArray[Any]:
        """Return a column, not to be written to."""
        sizes, rows = self.data[: self.width], len(self)
        start = self.width + rows * sum(sizes[:place])
        return np.frombuffer(self.data, _KINDS[sizes[place]], rows, start)


def pack(rows: Sequence[tuple[int, ...]], width: int) -> PackedTable:
    """Pack rows of `width` numbers each; raises OverflowError for one of more than 32 bits."""
    table = np.array(rows, np.int64).reshape(-1, width)
    sizes = bytes(_size(column) for column in table.T)
    columns = (
        column.astype(_KINDS[size]).tobytes() for column, size in zip(table.T, sizes, strict=True)
    )
    return PackedTable(sizes + b"".join(columns), width)


def _size(column: npt.NDArray[np.int64]) -> int:
    """Return the number of bytes that the numbers of a column need."""
    for size in _KINDS:
        most = 1 << (8 * size - 1)
        if not len(column) or (-most <= column.min() and column.max() < most):
            return size
    raise OverflowError("a number of more than 32 bits")
