"""`python -m bot.bench export`: writes what the speech engines listen for to grammar/exported/.

A test keeps the files fresh; run this after a change of the grammar.
"""

import argparse

from bot.bench.corpus import ROOT, corpus_language
from bot.calls.ear import ear_rules, jsgf
from bot.calls.sample import phrases

FOLDER = ROOT / "grammar" / "exported"


def export_files() -> dict[str, str]:
    """Return the files (name -> text) as the grammar would have them now."""
    rules = ear_rules(corpus_language(None).grammar)
    return {
        "deckcall.jsgf": jsgf(rules),
        "deckcall.phrases.txt": "\n".join(phrases(rules)) + "\n",
    }


def main(argv: list[str] | None = None) -> int:
    """Write the files."""
    argparse.ArgumentParser(prog="python -m bot.bench export", description=__doc__).parse_args(argv)
    FOLDER.mkdir(exist_ok=True)
    for name, text in export_files().items():
        (FOLDER / name).write_text(text, encoding="utf-8")
        print(f"grammar/exported/{name}: {len(text.splitlines())} lines")
    return 0
