"""sqlite-utils, taken without the data frames that it looks for.

Where pandas is installed, sqlite-utils imports it, for nothing that the log needs: half a second and
more at each start. Every module of the log takes its names from here.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

_HEAVY: Final = "pandas"


@contextmanager
def _without(module: str) -> Iterator[None]:
    """Let an import of a module fail meanwhile, unless it is there already."""
    modules: Any = sys.modules
    if module in modules:
        yield
        return
    modules[module] = None
    try:
        yield
    finally:
        del modules[module]


with _without(_HEAVY):
    from sqlite_utils import Database
    from sqlite_utils.migrations import Migrations

__all__ = ["Database", "Migrations"]
