"""A page as one HTML file: style and pictures are inside, and nothing is fetched when it is opened."""

from base64 import b64encode

from jinja2 import Environment, PackageLoader, StrictUndefined

from bot.reports.blocks import Block, Page
from bot.reports.words import NONE

TEMPLATE = "page.html.jinja"
STACKED_FROM = 4
"""On a phone the rows of a table with more columns stand one below the other, each value with its head."""


def html(page: Page) -> str:
    """Write a page; whatever stands in it is text, never markup."""
    made = Environment(
        loader=PackageLoader("bot.reports", ""),
        autoescape=True,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )
    return made.get_template(TEMPLATE).render(
        page=page, kind_of=_kind, data_uri=_data_uri, NONE=NONE, STACKED_FROM=STACKED_FROM
    )


def _kind(block: Block) -> str:
    return type(block).__name__


def _data_uri(png: bytes) -> str:
    return f"data:image/png;base64,{b64encode(png).decode('ascii')}"
