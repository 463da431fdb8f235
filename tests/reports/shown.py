"""What a reader of HTML sees: tags, links, texts by tag, and the rows of tables."""

from html.parser import HTMLParser

OVER = """() => [...document.querySelectorAll('td, th, dd, p, img, h1, h2, figcaption, li')]
  .filter(e => e.offsetParent !== null && getComputedStyle(e).clipPath === 'none' && !e.closest('thead'))
  .filter(e => e.getBoundingClientRect().right > innerWidth + 1
    || e.scrollWidth > e.clientWidth + 1 && e.clientWidth)
  .map(e => e.tagName + ': ' + e.textContent.slice(0, 40))"""
"""What reaches beyond the right edge of the window, or of its own box."""


class Html(HTMLParser):
    """The tags, texts, links and rows of a page of HTML."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.links: list[str] = []
        self.rows: list[list[str]] = []
        self.text = ""
        self._texts: list[tuple[str, str]] = []
        self._in_cell = False
        self.feed(text)

    def of(self, tag: str) -> list[str]:
        """Return the texts that stand directly in such tags."""
        return [text for name, text in self._texts if name == tag]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self._texts.append((tag, ""))
        self.links += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")
            self._in_cell = True

    def handle_data(self, data: str) -> None:
        self.text += data
        if self._texts:
            tag, text = self._texts[-1]
            self._texts[-1] = tag, text + data
        if self._in_cell:
            self.rows[-1][-1] += data

    def handle_endtag(self, tag: str) -> None:
        self._texts.append(("", ""))
        if tag in ("td", "th"):
            self._in_cell = False
