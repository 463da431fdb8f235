"""`guide`: the pages that ship with the program, listed, shown and searched. Needs no settings and no log."""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from importlib.resources import files
from typing import Final

from bot.cli.options import Arguments
from bot.cli.shown import put_columns
from bot.errors import DeckcallError
from bot.settings import Settings

TOPICS: Final = (
    "calls", "tackle-box", "trays", "settings", "voice", "hands-free", "telegram", "web", "instruments",
    "reminders", "advice", "reports", "keeping", "machines", "safety", "commands", "changes",
)  # fmt: skip
"""The pages, in the order in which a crew comes to need them."""
ALSO: Final = {
    word: topic
    for topic, words in {
        "machines": "systemd service autostart windows macos completion version install",
        "keeping": "backup restore forget privacy recordings",
        "reports": "import export report",
        "tackle-box": "box lures csv",
        "trays": "tray plan spread packing card slow casting diver",
        "hands-free": "helm listen",
        "web": "wifi serve",
        "instruments": "nmea",
        "advice": "tally works",
        "voice": "speech hear",
        "calls": "help words",
        "safety": "cautions",
        "settings": "setup",
    }.items()
    for word in words.split()
}
"""Other words for a page."""
LONGEST_SHOWN: Final = 100


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the guide."""

    topic: str
    text: str
    """Markdown."""

    @property
    def title(self) -> str:
        """Return its heading."""
        return self.text.splitlines()[0].removeprefix("# ")

    @property
    def summary(self) -> str:
        """Return its first paragraph in one line, without marks."""
        first = self.text.split("\n\n")[1]
        return " ".join(first.split()).replace("**", "").replace("`", "")


def guide(args: Arguments, found: Settings) -> int:
    """Show the contents, a page, or the places that hold a word."""
    del found
    if args.find is not None:
        return _show_hits(args.find, pages() if args.topic is None else (page(args.topic),))
    if args.topic is None:
        print(
            "The guide of deckcall. A page: deckcall guide TOPIC; a word: deckcall guide --find WORD\n"
        )
        put_columns(("topic", ""), [(one.topic, f"  {one.summary}") for one in pages()], left=2)
        return 0
    _show(page(args.topic))
    return 0


def pages() -> tuple[Page, ...]:
    """Return every page, in order."""
    folder = files("bot") / "guide"
    return tuple(Page(t, (folder / f"{t}.md").read_text(encoding="utf-8")) for t in TOPICS)


def page(said: str) -> Page:
    """Return the page that is meant; raise DeckcallError where no topic is near."""
    topic = topic_of(said)
    if topic is None:
        near = get_close_matches(said.casefold(), (*TOPICS, *ALSO), 1, 0.6)
        meant = f'did you mean "{near[0]}"?' if near else f"there are: {', '.join(TOPICS)}"
        raise DeckcallError(f'no page "{said}" in the guide; {meant}')
    return next(one for one in pages() if one.topic == topic)


def topic_of(said: str) -> str | None:
    """Return the topic that a word or its beginning stands for, None where it is none or several."""
    word = "-".join(said.casefold().split())
    known = {topic: topic for topic in TOPICS} | dict(ALSO)
    if word in known:
        return known[word]
    begun = {topic for name, topic in known.items() if name.startswith(word)}
    return begun.pop() if word and len(begun) == 1 else None


def hits(word: str, among: Sequence[Page]) -> Iterator[tuple[str, str, str]]:
    """Yield topic, section and line of every place that holds the word, whatever its case."""
    wanted = word.casefold()
    for one in among:
        section = one.title
        for line in one.text.splitlines():
            if line.startswith("#"):
                section = line.lstrip("# ")
            if wanted in line.casefold():
                yield one.topic, section, line.strip("# |").strip()


def _show_hits(word: str, among: Sequence[Page]) -> int:
    if not word.strip():
        raise DeckcallError("--find needs a word")
    found = tuple(hits(word, among))
    if not found:
        raise DeckcallError(f'"{word}" stands nowhere in the guide; deckcall guide lists its pages')
    for topic, section, line in found:
        print(f"{topic} ({section}): {_around(word, line)}")
    return 0


def _around(word: str, line: str) -> str:
    """Cut a long line down to what stands around the word."""
    if len(line) <= LONGEST_SHOWN:
        return line
    at = line.casefold().find(word.casefold())
    start = max(0, min(at - LONGEST_SHOWN // 2, len(line) - LONGEST_SHOWN))
    before = line[:start].rfind(" ") + 1 if start else 0
    cut = line[before : start + LONGEST_SHOWN].rsplit(" ", 1)[0]
    return f"{'… ' if start else ''}{cut}{' …' if before + len(cut) < len(line) else ''}"


def shown_on_a_terminal(said: str) -> str | None:
    """Return the page on a topic, set for a terminal; None where there is no such page."""
    topic = topic_of(said)
    return None if topic is None else _set(page(topic)).rstrip()


def _show(one: Page) -> None:
    print(_set(one), end="")


def _set(one: Page) -> str:
    """Set a page for the terminal where there is one; it stays as it is for a pipe."""
    if not sys.stdout.isatty():
        return one.text
    from rich.console import Console
    from rich.markdown import Markdown

    console = Console(width=min(Console().width, LONGEST_SHOWN))
    with console.capture() as text:
        console.print(Markdown(one.text))
    return text.get()
