"""The call language with the boat's own words: grammar files, tackle box and settings put together."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from bot.errors import GrammarError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.calls.understand import Language
    from bot.tackle.items import Lure


def open_language(found: Settings) -> "Language":
    """Read the grammar and the box of a home; nothing is written."""
    from bot.calls.understand import language
    from bot.logbook.store import FILE, Logbook
    from bot.speech.pronunciations import pronunciations, sounded_out

    lures: Iterable[Lure] = ()
    if (found.home / FILE).exists():
        with Logbook.open(found.home) as logbook:
            lures = logbook.lures()
    known = pronunciations()
    return language(
        grammar_texts(), own_words(found, lures), known, lambda word: sounded_out(word, known)
    )


def own_words(found: Settings, lures: Iterable["Lure"]) -> dict[str, dict[str, tuple[str, ...]]]:
    """Give the boat's own words by table of the grammar: meaning to spoken forms."""
    names: dict[str, tuple[str, ...]] = {lure.name: (lure.name.lower(),) for lure in lures}
    for name, forms in found.words.nicknames.items():
        names[name] = (*names.get(name, ()), *forms)
    positions: dict[str, tuple[str, ...]] = {p: (p,) for p in found.boat.positions}
    positions |= {p: (p, *forms) for p, forms in found.words.positions.items()}
    return {
        "position": positions,
        "colour": {c: (c, *forms) for c, forms in found.words.colours.items()},
        "species": {s: (s, *forms) for s, forms in found.words.species.items()},
        "name": names,
    }


def grammar_texts() -> dict[str, str]:
    """Give the grammar files, name to text: inside the installed package, else beside it."""
    package = Path(__file__).parents[1]
    for folder in (package / "_grammar", package.parent / "grammar"):
        if found := {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.toml")}:
            return found
    raise GrammarError(f"no grammar beside {package}; install deckcall again")
