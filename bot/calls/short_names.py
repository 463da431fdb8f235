"""Names of lures as they are said and typed in a hurry: one word of them, cut short, without marks. Pure.

the hat, CH -> the Church Hat    nanas curtains -> nana's curtains    teapot gun -> grandma's teapot gun
teapot, tin whistle and boot -> all three by their whole names
"""

import re
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import lru_cache
from typing import Final

from bot.calls.grammar_text import alternatives
from bot.calls.numbers import WORDS

_SHORT: Final = 2
"""Letters of the shortest initials; a word that identifies a lure has more."""
_TAKEN: Final = ("colour", "head", "position", "side", "species")
"""Tables of words that describe a lure or its place: none of them identifies one."""
_POSSESSIVE: Final = re.compile(r"'s |(?<=s)' ")
MOST_PASSES: Final = 6
"""Most cut names one after the other that are made whole."""


def telling_words(
    words: Mapping[str, Mapping[str, Iterable[str]]], spelt: Callable[[str], str]
) -> dict[str, str]:
    """Return word -> lure for the words, and the initials, that are in the forms of one lure only.

    `words` are the tables of the grammar (table -> meaning -> forms), `spelt` spells a form as lines are.
    """
    taken = {
        w for table in _TAKEN for forms in words[table].values() for f in forms for w in f.split()
    }
    owners: dict[str, set[str]] = {}
    for name, forms in words.get("name", {}).items():
        for form in forms:
            said = spelt(form).split()
            for word in (*(w for w in said if len(w) > _SHORT), "".join(w[0] for w in said)):
                owners.setdefault(word, set()).add(name)
    return {
        word: next(iter(of))
        for word, of in owners.items()
        if len(of) == 1 and len(word) >= _SHORT and word not in taken and word not in WORDS
    }


def ends_of_names(
    words: Mapping[str, Mapping[str, Iterable[str]]], known: Collection[str]
) -> dict[str, str]:
    """Return each name without its first word, and that word -> the name as it is said whole.

    `known` are the words of the language. Only what stands in no other name, and what means nothing else.
    """
    forms = {form: name for name, said in words.get("name", {}).items() for form in said}
    elsewhere = {
        f for table, said in words.items() if table != "name" for fs in said.values() for f in fs
    }
    found: dict[str, str] = {}
    parts = [(" ".join(form.split()[1:]), form, name) for form, name in forms.items()]
    starts = [
        (form.split()[0].removesuffix("'s"), form, name)
        for form, name in forms.items()
        if " " in form
    ]
    for end, form, name in (*parts, *(one for one in starts if len(one[0]) > _SHORT)):
        others = (o for o, whose in forms.items() if whose != name)
        taken = any(f" {end} " in f" {other} " for other in others)
        plain = all(w in known or w in WORDS or not w.isalpha() for w in end.split())
        if end and not (taken or plain or end in elsewhere or end in found):
            found[end] = form
    return found


def join_short_names(
    names: Mapping[str, Iterable[str]],
    fish: Mapping[str, Iterable[str]],
    spelt: Callable[[str], str],
) -> dict[str, tuple[str, ...]]:
    """Return the forms of lures, with those in one word that are usually a fish: "taxman" for the Tax Man."""
    usual = {spelt(form) for forms in fish.values() for form in forms}
    found = {}
    for name, forms in names.items():
        joined = (form.replace(" ", "") for form in forms if " " in form)
        found[name] = tuple(dict.fromkeys((*forms, *(word for word in joined if word in usual))))
    return found


def is_name(said: str, names: Collection[str]) -> bool:
    """Return whether a form is that of a lure called in several words, or in these as one."""
    bare = said.removeprefix("the ")
    if " " in bare:
        return bare in names
    return any(" " in name and name.replace(" ", "") == bare for name in names)


def with_full_names(
    line: str, ends: Mapping[str, str], articles: Collection[str], verbs: Collection[str]
) -> str:
    """Return a line with "the quilt" as the Grandma's Quilt; the rest stays letter for letter.

    `articles` stand before such an end of a name and `verbs` behind; alone it is a word like any other.
    """
    low = line.lower().replace("\u2019", "'")
    if not ends or len(low) != len(line) or not any(end in low for end in ends):
        return line
    pattern = _pattern(tuple(ends), tuple(sorted(articles)), tuple(sorted(verbs)))
    parts: list[str] = []
    at = 0
    for found in pattern.finditer(low):
        end = found["one"] or found["two"]
        whole = ends[end]
        start = found.end() - len(end)
        if not low[:start].rstrip().endswith(whole.removesuffix(end).strip()):
            parts += [line[at : found.start()], whole]
            at = found.end()
    return "".join((*parts, line[at:]))


@lru_cache(maxsize=16)
def _pattern(
    ends: tuple[str, ...], articles: tuple[str, ...], verbs: tuple[str, ...]
) -> re.Pattern[str]:
    before, end, behind = alternatives(articles), alternatives(ends), alternatives(verbs)
    return re.compile(
        rf"\b(?:{before}) (?P<one>{end})(?!\w)|(?<![\w'-])(?P<two>{end})(?='s\b| (?:{behind})\b)"
    )


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
    end, lure, place = alternatives(ends), alternatives((*ends, *names)), alternatives(places)
    joined = r"(?:,| and|, and| &|/| for|, then)"
    on = "(?:on|to|out on|back on|back out on)"
    behind = alternatives(beside) or "(?!)"
    return re.compile(
        rf"(?<![\w'-])(?P<one>{end})(?=(?: {on})?(?: the)? (?:{place})(?![\w'-])"
        rf"|{joined}(?: the)? (?:{lure})(?![\w'-])| (?:{behind})(?![\w'-]))"
        rf"|(?:(?<![\w'-])(?:{place})[:,]? (?:the )?|(?<![\w'-])(?:{lure}){joined}(?: the)? )"
        rf"(?P<two>{end})(?![\w'-])"
    )
