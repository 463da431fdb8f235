"""Names of lures as they are typed in a hurry: without marks, cut short beside a line or another lure. Pure.

nanas curtains -> nana's curtains        teapot gun -> grandma's teapot gun
teapot, tin whistle and boot -> all three by their whole names
"""

import re
from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache
from typing import Final

_POSSESSIVE: Final = re.compile(r"'s |(?<=s)' ")
MOST_PASSES: Final = 6
"""Most cut names one after the other that are made whole."""


def with_marks(line: str, names: Collection[str]) -> str:
    """Return a line with "nanas curtains" and "nana curtains" as "nana's curtains", the name."""
    marked = tuple(sorted(name for name in names if _POSSESSIVE.search(name)))
    low = line.lower().replace("\u2019", "'")
    if not marked or len(low) != len(line):
        return line
    for found in reversed(list(_unmarked(marked).finditer(low))):
        whole = marked[int((found.lastgroup or "n0")[1:])]
        line = f"{line[: found.start()]}{whole}{line[found.end() :]}"
    return line


@lru_cache(maxsize=16)
def _unmarked(marked: tuple[str, ...]) -> re.Pattern[str]:
    """Return the pattern of the names without their marks, not of those that have them."""
    halves = (_POSSESSIVE.split(name, maxsplit=1) for name in marked)
    said = (
        rf"(?P<n{at}>{re.escape(before)}s? {re.escape(behind)})"
        for at, (before, behind) in enumerate(halves)
    )
    return re.compile(rf"(?<![\w'-])(?:{'|'.join(said)})(?![\w-])")


def with_whole_names(
    line: str,
    ends: Mapping[str, str],
    names: Collection[str],
    places: Iterable[str],
    beside: Iterable[str] = (),
) -> str:
    """Return a line with the part of a name that stands beside a line or in a list of lures as the name.

    `ends` are ends and first words of names and the names as they are said whole, `places` how lines are
    called, `beside` what stands behind a lure of a list.
    """
    low = line.lower().replace("\u2019", "'")
    if len(low) != len(line) or not any(end in low for end in ends):
        return line
    pattern = _beside(tuple(ends), tuple(names), tuple(places), tuple(sorted(beside)))
    for _ in range(MOST_PASSES):
        found = _first_cut(pattern, low, ends)
        if found is None:
            break
        start, stop = found.span(_group(found))
        whole = ends[found[_group(found)]]
        low, line = (f"{one[:start]}{whole}{one[stop:]}" for one in (low, line))
    return line


def _first_cut(pattern: re.Pattern[str], low: str, ends: Mapping[str, str]) -> re.Match[str] | None:
    """Return the first part of a name that stands for the whole of it; the places may overlap."""
    found = pattern.search(low)
    while found is not None and _is_whole(low, found, ends):
        found = pattern.search(low, found.start() + 1)
    return found


def _group(found: re.Match[str]) -> str:
    return "one" if found["one"] else "two"


def _is_whole(low: str, found: re.Match[str], ends: Mapping[str, str]) -> bool:
    """Return whether the rest of the name stands before its end already."""
    end = found[_group(found)]
    whole, behind = ends[end], low[found.end(_group(found)) :].lstrip()
    if whole.startswith(f"{end} ") and behind.startswith(whole.removeprefix(end).strip()):
        return True
    return whole.endswith(f" {end}") and low[: found.start(_group(found))].rstrip().endswith(
        ends[end].removesuffix(end).strip()
    )


@lru_cache(maxsize=16)
def _beside(
    ends: tuple[str, ...], names: tuple[str, ...], places: tuple[str, ...], beside: tuple[str, ...]
) -> re.Pattern[str]:
    def any_of(words: Iterable[str]) -> str:
        return "|".join(re.escape(w) for w in sorted(words, key=len, reverse=True))

    end, lure, place = any_of(ends), any_of((*ends, *names)), any_of(places)
    joined = r"(?:,| and|, and| &|/| for|, then)"
    on = "(?:on|to|out on|back on|back out on)"
    behind = any_of(beside) or "(?!)"
    return re.compile(
        rf"(?<![\w'-])(?P<one>{end})(?=(?: {on})?(?: the)? (?:{place})(?![\w'-])"
        rf"|{joined}(?: the)? (?:{lure})(?![\w'-])| (?:{behind})(?![\w'-]))"
        rf"|(?:(?<![\w'-])(?:{place})[:,]? (?:the )?|(?<![\w'-])(?:{lure}){joined}(?: the)? )"
        rf"(?P<two>{end})(?![\w'-])"
    )
