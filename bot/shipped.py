"""Data that ships with the package: where its folders are, and the text of the grammar files."""

from pathlib import Path

from bot.errors import GrammarError


def data_folder(name: str) -> Path:
    """Return a folder of data: inside the installed package (`_grammar`), else beside it (`grammar`)."""
    package = Path(__file__).parent
    for folder in (package / f"_{name}", package.parent / name):
        if folder.is_dir():
            return folder
    raise GrammarError(f"no folder {name} beside {package}; install deckcall again")


def grammar_texts() -> dict[str, str]:
    """Return the grammar files, name to text."""
    return {
        path.name: path.read_text(encoding="utf-8")
        for path in sorted(data_folder("grammar").glob("*.toml"))
    }
