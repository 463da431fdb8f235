"""One table of a settings file, which says in one line what is wrong with it.

It remembers which keys were asked for, so that what is left over can be called unknown.
"""

from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from typing import TypeVar, cast

from bot.errors import SettingsError

_T = TypeVar("_T")


class Table:
    """One table of the file, which knows what has been asked for and what is left over."""

    def __init__(self, file: str, name: str, data: Mapping[str, object]) -> None:
        self._file, self._name, self._data = file, name, data
        self._asked: list[str] = []

    def __iter__(self) -> Iterator[str]:
        return iter(self._data)

    def __contains__(self, key: str) -> bool:
        return key in self._data

    def where(self, key: str) -> str:
        """Return where a key stands, for a message about it."""
        return f"{self._file}: {f'[{self._name}] ' if self._name else ''}{key}"

    def wrong(self, key: str, what: str) -> SettingsError:
        """Make the error of one line about a key."""
        return SettingsError(f"{self.where(key)} {what}")

    def text(self, key: str, default: str) -> str:
        """Return a text."""
        return self._take(key, default, str, "must be text in quotes")

    def flag(self, key: str, default: bool) -> bool:
        """Return true or false."""
        return self._take(key, default, bool, "must be true or false")

    def choice(self, key: str, default: str, known: tuple[str, ...]) -> str:
        """Return one of the known texts."""
        said = self.text(key, default)
        if said != default and said not in known:
            raise self.wrong(key, f'cannot be "{said}"; {hint(said, known)}')
        return said

    def number(self, key: str, default: float, *, low: float, high: float) -> float:
        """Return a number within its bounds; the default need not lie within them."""
        said = self._data.get(key, default)
        self._asked.append(key)
        if isinstance(said, bool) or not isinstance(said, int | float):
            raise self.wrong(key, f"must be a number between {low:g} and {high:g}")
        if key in self._data and not low <= said <= high:
            raise self.wrong(key, f"is {said:g}; it must be between {low:g} and {high:g}")
        return float(said)

    def texts(self, key: str, default: tuple[str, ...]) -> tuple[str, ...]:
        """Return a list of texts, none of them empty."""
        said = self._take(key, list(default), list, 'must be a list of texts, e.g. ["a", "b"]')
        if not all(isinstance(item, str) and item.strip() for item in said):
            raise self.wrong(key, 'must be a list of texts, e.g. ["a", "b"]')
        return tuple(said)

    def ids(self, key: str) -> tuple[int, ...]:
        """Return a list of whole numbers."""
        said = self._take(key, [], list, "must be a list of whole numbers, e.g. [1234, -1005678]")
        if not all(isinstance(item, int) and not isinstance(item, bool) for item in said):
            raise self.wrong(key, "must be a list of whole numbers, e.g. [1234, -1005678]")
        return tuple(said)

    def table(self, key: str) -> "Table":
        """Return the table under a key; an empty one where there is none."""
        said = self._take(key, {}, dict, f"must be a table: [{self._inner(key)}]")
        return Table(self._file, self._inner(key), said)

    def tables(self, key: str) -> tuple["Table", ...]:
        """Return the tables of an array of tables, numbered from 1."""
        said = self._take(key, [], list, f"must be tables: [[{key}]]")
        if not all(isinstance(item, dict) for item in said):
            raise self.wrong(key, f"must be tables: [[{key}]]")
        return tuple(
            Table(self._file, f"{key} {number}", cast("dict[str, object]", item))
            for number, item in enumerate(said, 1)
        )

    def done(self) -> None:
        """Raise for the first key that nobody has asked for."""
        for key in self._data:
            if key not in self._asked:
                raise self.wrong(key, f"is unknown; {hint(key, tuple(dict.fromkeys(self._asked)))}")

    def _inner(self, key: str) -> str:
        return f"{self._name}.{key}" if self._name else key

    def _take(self, key: str, default: _T, kind: type[_T], what: str) -> _T:
        self._asked.append(key)
        said = self._data.get(key, default)
        if not isinstance(said, kind) or (kind is not bool and isinstance(said, bool)):
            raise self.wrong(key, what)
        return said


def hint(said: str, known: tuple[str, ...]) -> str:
    """Return what may have been meant, else what is known."""
    near = get_close_matches(said, known, 1, 0.6)
    return f'did you mean "{near[0]}"?' if near else f"known are: {', '.join(known)}"
