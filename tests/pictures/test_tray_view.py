"""The card of a tray: it is whole in every form, and holds what lies in the tray."""

import io
from xml.etree import ElementTree

import pytest
from PIL import Image

from bot.answers.drawing import tray_pictures
from bot.pictures.canvas import DPI, WIDTH_IN
from bot.pictures.tray_view import HEAD_TALL, ROW_TALL, ShownInTray, tray_picture
from bot.tackle.items import HEADS, Lure
from bot.tackle.trays import Tray, TrayLure
from tests.answers.views import view

ROWS = tuple(
    ShownInTray("short corner", f"Lure {head}", 8, ("black", "purple"), head, "2 heavy hooks")
    for head in HEADS
)


def test_every_head_is_drawn_and_every_row_makes_the_card_taller() -> None:
    one, all_ = (tray_picture("Slow tray", "6 kn", rows, ()) for rows in (ROWS[:1], ROWS))

    short, tall = (Image.open(io.BytesIO(data)).size for data in (one, all_))
    assert short[0] == tall[0] == WIDTH_IN * DPI
    assert abs(tall[1] - short[1] - (len(HEADS) - 1) * ROW_TALL * DPI) <= 1
    assert short[1] > HEAD_TALL * DPI


def test_the_card_is_a_whole_file_in_each_form_and_the_same_twice() -> None:
    cards = {
        form: tray_picture("A", "", ROWS, ROWS[:2], form=form) for form in ("png", "svg", "pdf")
    }

    assert cards["pdf"].startswith(b"%PDF-")
    assert cards["pdf"].rstrip().endswith(b"%%EOF")
    assert ElementTree.fromstring(cards["svg"]).tag.endswith("svg")
    assert cards["pdf"] == tray_picture("A", "", ROWS, ROWS[:2], form="pdf")


def test_a_long_name_and_an_unknown_size_do_no_harm() -> None:
    odd = ShownInTray("", "A name that is far too long for any card of this width, cut", None, ())

    assert tray_picture("x" * 80, "y" * 80, (odd,), (odd,), foot="z" * 90)


@pytest.mark.parametrize("lures", [(), (TrayLure("Mug", 8, ("red",)),)])
def test_an_empty_tray_has_no_card(lures: tuple[TrayLure, ...]) -> None:
    drawn = tray_pictures(view(box=(Lure("Mug", 8, ("red",)),)), Tray("two", lures))

    assert bool(drawn) is bool(lures)
    assert [one.caption for one in drawn] == ["Tray two"] * len(lures)
