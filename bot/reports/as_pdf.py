"""A page as PDF (A4), with fonts and pictures inside; drawn by fpdf2, which needs nothing of the system.

The letters are those of DejaVu Sans, which comes with matplotlib; what it lacks is shown as a box that
tells the script, and can still be searched and copied.
"""

import logging
from collections.abc import Sequence
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Final

from fpdf import FPDF
from fpdf.enums import Align, TableBordersLayout, VAlign, XPos, YPos
from fpdf.fonts import FontFace, TTFFont
from matplotlib import get_data_path
from PIL import Image

from bot.reports.blocks import (
    Block,
    Facts,
    Figure,
    Figures,
    Heading,
    Items,
    Notice,
    Page,
    Paragraph,
    Table,
)

FONT: Final = "sans"
MARGIN_MM: Final = 17.0
TEXT_PT: Final = 9.5
SMALL_PT: Final = 8.0
TABLE_PT: Final = 8.3
LINE_MM: Final = 4.9
ROW_MM: Final = 4.6
PICTURE_MM: Final = 78.0
"""Width of a picture that stands upright."""
LEAST_PICTURE_MM: Final = 52.0
"""It may be so narrow where it then fits on the page."""
KEPT_ROWS: Final = 12
"""A table of so many rows is not broken over pages."""
PADDING_MM: Final = 1.4
GAP_MM: Final = 8.0
DEEP: Final = (20, 80, 110)
SOFT: Final = (77, 99, 115)
SEA: Final = (234, 243, 248)
RULE: Final = (201, 214, 222)
INK: Final = (11, 26, 38)
WARN: Final = (138, 75, 0)
_FACES: Final = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}
_LAST_RESORT: Final = "LastResortHE-Regular.ttf"

logging.getLogger("fontTools").setLevel(logging.WARNING)  # it tells of every table that it drops


def pdf(page: Page, made_at: datetime | None = None) -> bytes:
    """Draw a page; `made_at` is the date that stands in the file."""
    sheet = _Sheet(page.title, _letters(page))
    if made_at is not None:
        sheet.set_creation_date(made_at)
    sheet.add_page()
    sheet.head(page)
    for number, block in enumerate(page.blocks):
        following = page.blocks[number + 1] if number + 1 < len(page.blocks) else None
        sheet.block(block, following)
    return bytes(sheet.output())


class _Sheet(FPDF):
    """The document while it is drawn."""

    def __init__(self, title: str, letters: frozenset[str]) -> None:
        super().__init__(orientation="portrait", unit="mm", format="A4")
        self._name = title
        fonts = Path(get_data_path()) / "fonts" / "ttf"
        for style, file in _FACES.items():
            self.add_font(FONT, style, str(fonts / file))
        font = self.fonts[FONT]
        known = font.cmap if isinstance(font, TTFFont) else {}
        lacking = [ord(letter) for letter in letters if ord(letter) not in known]
        if lacking:
            self.add_font("boxes", "", str(fonts / _LAST_RESORT), unicode_range=lacking)
            self.set_fallback_fonts(["boxes"], exact_match=False)
        self.c_margin = 0
        self.set_margins(MARGIN_MM, MARGIN_MM, MARGIN_MM)
        self.set_auto_page_break(True, margin=MARGIN_MM + 4)
        self.set_title(title)
        self.set_creator("deckcall")
        self.set_lang("en")
        self.text_in(TEXT_PT)

    def text_in(self, size_pt: float, style: str = "", colour: tuple[int, int, int] = INK) -> None:
        """Write from here on in this size, style and colour."""
        self.set_font(FONT, "B" if style == "B" else "", size_pt)
        self.set_text_color(*colour)

    def footer(self) -> None:
        """Write the title and the number of the page below it."""
        self.set_y(-MARGIN_MM + 2)
        self.text_in(SMALL_PT, colour=SOFT)
        self.cell(self.epw / 2, 4, self._name, align=Align.L)
        self.cell(self.epw / 2, 4, f"{self.page_no()} of {{nb}}", align=Align.R)

    def head(self, page: Page) -> None:
        """Write the title."""
        self.text_in(17, "B", DEEP)
        self._lines(page.title, 8)
        self.text_in(TEXT_PT, colour=SOFT)
        self._lines(page.subtitle, LINE_MM)
        self.set_draw_color(*DEEP)
        self.set_line_width(0.6)
        self.line(self.l_margin, self.get_y() + 1.5, self.w - self.r_margin, self.get_y() + 1.5)
        self.ln(4)

    def block(self, block: Block, following: Block | None) -> None:
        """Draw one block."""
        match block:
            case Heading():
                self._heading(block, following)
            case Paragraph():
                self.text_in(
                    SMALL_PT if block.small else TEXT_PT, colour=SOFT if block.small else INK
                )
                self._lines(block.text, ROW_MM if block.small else LINE_MM)
                self.ln(2)
            case Facts():
                self._facts(block)
            case Items():
                self._items(block.texts)
            case Notice():
                self._notice(block)
            case Table():
                self._table(block)
            case Figures():
                self._figures(block)

    def _lines(self, text: str, line_mm: float) -> None:
        self.multi_cell(0, line_mm, text, align=Align.L, new_x=XPos.LMARGIN, new_y=YPos.NEXT)

    def _room(self, height_mm: float) -> None:
        """Begin a page where so much does not fit on this one any more."""
        if self.get_y() + height_mm > self.page_break_trigger:
            self.add_page()

    def _heading(self, block: Heading, following: Block | None) -> None:
        least = _least_mm(following) if isinstance(following, Table) else 0.0
        self._room(60 if isinstance(following, Figures | Notice) else max(34.0, 11.0 + least))
        self.ln(3)
        self.text_in(12.5, "B", DEEP)
        self._lines(block.text, 6.5)
        self.ln(1.5)

    def _facts(self, block: Facts) -> None:
        wide, columns = self.epw / 3, 3
        self.ln(1)
        for start in range(0, len(block.pairs), columns):
            row = block.pairs[start : start + columns]
            self._room(11)
            top = self.get_y()
            bottom = top
            for number, (name, value) in enumerate(row):
                self.set_xy(self.l_margin + number * wide, top)
                self.text_in(7.5, colour=SOFT)
                self.cell(wide, 3.6, name)
                self.set_xy(self.l_margin + number * wide, top + 3.6)
                self.text_in(TEXT_PT, "B")
                self.multi_cell(wide - 3, ROW_MM, value, align=Align.L, new_x=XPos.LMARGIN,
                                new_y=YPos.NEXT)  # fmt: skip
                bottom = max(bottom, self.get_y())
            self.set_xy(self.l_margin, bottom + 1.6)

    def _items(self, texts: Sequence[str]) -> None:
        self.text_in(TEXT_PT)
        for text in texts:
            self._room(LINE_MM)
            self.cell(4, LINE_MM, "•")
            self.multi_cell(0, LINE_MM, text, align=Align.L, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
            self.ln(0.8)
        self.ln(2)

    def _notice(self, block: Notice) -> None:
        self.ln(1)
        self._room(24)
        self.text_in(10.5, "B", WARN)
        self._lines(block.title, 5.5)
        self.ln(1)
        for text in block.texts:
            self.text_in(TEXT_PT)
            self._room(2 * LINE_MM)
            top, number = self.get_y(), self.page_no()
            self.set_x(self.l_margin + 4)
            self.multi_cell(0, LINE_MM, text, align=Align.L, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
            if self.page_no() == number:
                self.set_draw_color(*WARN)
                self.set_line_width(0.8)
                self.line(self.l_margin + 1, top, self.l_margin + 1, self.get_y())
            self.ln(1.6)

    def _table(self, block: Table) -> None:
        rows = len(block.rows) + 1
        self._room(
            26 if rows > KEPT_ROWS else rows * (ROW_MM + 1.6) + (6.5 if block.caption else 0)
        )
        if block.caption:
            self.ln(1)
            self.text_in(TEXT_PT, "B")
            self._lines(block.caption, 5.5)
        self.text_in(TABLE_PT)
        self.set_draw_color(*RULE)
        self.set_line_width(0.2)
        align = [Align.R if block.is_number(n) else Align.L for n in range(len(block.heads))]
        total = FontFace(emphasis="BOLD")
        with self.table(
            col_widths=self._widths(block),
            text_align=align,
            line_height=ROW_MM,
            padding=(0.7, PADDING_MM),
            v_align=VAlign.T,
            borders_layout=TableBordersLayout.HORIZONTAL_LINES,
            headings_style=FontFace(emphasis="BOLD", fill_color=SEA, color=INK),
            first_row_as_headings=True,
        ) as table:
            table.row(block.heads)
            for number, cells in enumerate(block.rows):
                last = block.last_is_total and number == len(block.rows) - 1
                table.row(cells, style=total if last else None)
        self.ln(3)

    def _widths(self, table: Table) -> tuple[float, ...]:
        """Return every column its longest word at least; of what is left, short ones get all they want."""
        least, whole = [], []
        for number, head in enumerate(table.heads):
            cells = [head, *(row[number] for row in table.rows)]
            edge = 2 * PADDING_MM + 1.0
            words = [word for cell in cells for word in cell.split()]
            least.append(edge + max((self._wide(word) for word in words), default=0.0))
            whole.append(edge + max(self._wide(cell) for cell in cells))
        spare = self.epw - sum(least)
        if spare <= 0:
            return tuple(least)
        wants = [w - m for w, m in zip(whole, least, strict=True)]
        extra = (spare - sum(wants)) / len(wants)
        if extra >= 0:
            return tuple(w + extra for w in whole)
        given = dict.fromkeys(range(len(wants)), 0.0)
        for place, number in enumerate(sorted(given, key=lambda n: wants[n])):
            waiting = spare - sum(given.values())
            if wants[number] > waiting / (len(wants) - place):
                long = [n for n in given if not given[n] and wants[n] >= wants[number]]
                all_want = sum(wants[n] for n in long)
                given |= {n: waiting * wants[n] / all_want for n in long}
                break
            given[number] = wants[number]
        return tuple(m + given[number] for number, m in enumerate(least))

    def _wide(self, text: str) -> float:
        """Return the width of text in a table, as if it were bold."""
        self.set_font(FONT, "B", TABLE_PT)
        wide = float(self.get_string_width(text))
        self.set_font(FONT, "", TABLE_PT)
        return wide

    def _figures(self, block: Figures) -> None:
        for start in range(0, len(block.all), 2):
            self._beside(block.all[start : start + 2])

    def _beside(self, figures: Sequence[Figure]) -> None:
        """Draw pictures beside each other, as wide as a column, or narrower where that saves a page."""
        column = (self.epw - GAP_MM) / 2
        shapes = [_shape(one.png) for one in figures]
        wide = min(column, PICTURE_MM)
        words = 3 * ROW_MM + 2
        left = (self.page_break_trigger - self.get_y() - words) / max(shapes)
        if LEAST_PICTURE_MM <= left < wide:
            wide = left
        high = wide * max(shapes)
        self._room(high + words)
        top = self.get_y()
        for number, one in enumerate(figures):
            x = self.l_margin + number * (column + GAP_MM)
            self.image(BytesIO(one.png), x=x, y=top, w=wide, alt_text=one.alt)
            self.set_xy(x, top + wide * shapes[number] + 1)
            self.text_in(SMALL_PT, colour=SOFT)
            self.multi_cell(column, ROW_MM, one.alt, align=Align.L)
        self.set_xy(self.l_margin, top + high + words)


def _least_mm(table: Table) -> float:
    """Return the height that a table wants on the page on which it begins."""
    rows = len(table.rows) + 1
    caption = 6.5 if table.caption else 0.0
    return 26.0 if rows > KEPT_ROWS else rows * (ROW_MM + 1.6) + caption


def _shape(png: bytes) -> float:
    """Return the height of a picture over its width."""
    with Image.open(BytesIO(png)) as picture:
        return float(picture.height / picture.width)


def _letters(page: Page) -> frozenset[str]:
    """Return every letter that the page needs."""
    return frozenset(page.title + page.subtitle).union(*(_texts(block) for block in page.blocks))


def _texts(block: Block) -> str:
    match block:
        case Heading() | Paragraph():
            return block.text
        case Facts():
            return "".join(name + value for name, value in block.pairs)
        case Items():
            return "".join(block.texts)
        case Notice():
            return block.title + "".join(block.texts)
        case Figures():
            return "".join(one.alt for one in block.all)
        case Table():
            return block.caption + "".join(
                cell for row in (block.heads, *block.rows) for cell in row
            )
