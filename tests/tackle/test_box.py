import string

import pytest
from hypothesis import given, strategies as st

from bot.fittings import colour_words
from bot.tackle import box, items
from bot.tackle.items import COLOURS, HEADS, Lure
from bot.tackle.line_classes import GAUGES

HEADER = (
    "name,head,size_in,colours,hook_gauge,hooks,leader_kg,leader_m,ready,speed_min_kn,speed_max_kn"
)
FULL = "Garden Gate,blunt,10,purple black,heavy,2,220,4.5,yes,7,9"
GATE = Lure("Garden Gate", 10, ("purple", "black"), "blunt", "heavy", 2, 220, 4.5, True, 7, 9)


def reasons(text: str) -> dict[int, str]:
    return dict(box.parse(text).refused)


def test_a_full_line_is_read_whole() -> None:
    file = box.parse(f"{HEADER}\n{FULL}\n")

    assert file.lures == (GATE,)
    assert file.refused == ()


def test_columns_may_stand_in_any_order_and_only_three_are_needed() -> None:
    file = box.parse("colours,name,size_in\nred white,Milk Jug,7.5\n")

    assert file.lures == (Lure("Milk Jug", 7.5, ("red", "white")),)


def test_a_lure_that_is_not_said_to_be_ready_is_not() -> None:
    assert [lure.ready for lure in box.parse("name,size_in,colours\nMilk Jug,7,red\n").lures] == [
        False
    ]


@pytest.mark.parametrize("ends", ["\r\n", "\r", "\n"])
def test_line_ends_of_every_system_are_read(ends: str) -> None:
    file = box.parse(ends.join((HEADER, FULL, "Milk Jug,,7,red,,,,,,,", "")))

    assert [lure.name for lure in file.lures] == ["Garden Gate", "Milk Jug"]
    assert file.refused == ()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_bytes_of_a_spreadsheet_are_read(encoding: str) -> None:
    file = box.parse("name,size_in,colours\nÉclair,7,red\n".encode(encoding))

    assert [lure.name for lure in file.lures] == ["Éclair"]


def test_bytes_in_an_old_encoding_are_refused_with_the_line() -> None:
    file = box.parse("name,size_in,colours\nMug,7,red\nÉclair,7,red\n".encode("cp1252"))

    assert file.lures == ()
    assert file.refused[0][0] == 3
    assert "not UTF-8" in file.refused[0][1]


def test_random_bytes_are_refused_and_never_raise() -> None:
    assert box.parse(b"\x00\xff\xfe\x89PNG").refused


def test_semicolons_with_decimal_commas_are_read() -> None:
    file = box.parse("name;size_in;colours;leader_m\nMilk Jug;7,5;red;4,25\n")

    assert file.lures == (Lure("Milk Jug", 7.5, ("red",), leader_m=4.25),)


def test_tabs_are_read() -> None:
    assert box.parse("name\tsize_in\tcolours\nMilk Jug\t7\tred white\n").lures[0].colours == (
        "red",
        "white",
    )


@pytest.mark.parametrize("text", ["", "\n\n", "\ufeff", "   \n"])
def test_an_empty_file_is_refused(text: str) -> None:
    file = box.parse(text)

    assert file.lures == ()
    assert "empty" in file.refused[0][1]


def test_a_file_with_a_header_alone_is_refused() -> None:
    assert "no lure" in reasons(HEADER + "\n")[1]


def test_a_missing_column_is_named() -> None:
    assert "size_in is missing" in reasons("name,colours\nMilk Jug,red\n")[1]


def test_an_unknown_column_is_refused_and_the_lures_are_still_read() -> None:
    file = box.parse("name,size_in,colours,price\nMilk Jug,7,red,30\n")

    assert "'price' is not known" in dict(file.refused)[1]
    assert [lure.name for lure in file.lures] == ["Milk Jug"]


def test_a_column_that_stands_twice_is_refused() -> None:
    assert "twice" in reasons("name,size_in,size_in,colours\nMilk Jug,7,8,red\n")[1]


@pytest.mark.parametrize(
    ("line", "what"),
    [
        (",7,red,,,,", "name is empty"),
        ("Mug,,red,,,,", "size_in is empty"),
        ("Mug,nan,red,,,,", "no number"),
        ("Mug,inf,red,,,,", "no number"),
        ("Mug,1e1,red,,,,", "no number"),
        ("Mug,1_0,red,,,,", "no number"),
        ("Mug,-7,red,,,,", "no number"),
        ("Mug,\u0667,red,,,,", "no number"),
        ("Mug,8 kg,red,,,,", "no number"),
        ("Mug,0,red,,,,", "not between 1 and 40"),
        ("Mug,254,red,,,,", "not between 1 and 40"),
        ("Mug,7,,,,,", "colours is empty"),
        ("Mug,7,mauve,,,,", "'mauve' is not known"),
        ("Mug,7,red,round,,,", "head 'round' is not known"),
        ("Mug,7,red,,1.5,,", "hooks '1.5' is no whole number"),
        ("Mug,7,red,,99,,", "hooks 99"),
        ("Mug,7,red,,,9,7", "speed_min_kn 9 is above speed_max_kn 7"),
        ('"Mug,7,red,,,,', "quote"),
        ("Mug,7,red,,,,,,,", "put quotes"),
        ("M\x00ug,7,red,,,,", "cannot be printed"),
        (f"{'M' * 61},7,red,,,,", "longer"),
    ],
)
def test_a_bad_line_is_named_with_its_number_and_the_others_are_read(line: str, what: str) -> None:
    header = "name,size_in,colours,head,hooks,speed_min_kn,speed_max_kn"
    line = line + ("x" if what == "put quotes" else "")

    file = box.parse(f"{header}\nJug,7,red,,,,\n{line}\nCup,8,blue,,,,\n")

    assert [lure.name for lure in file.lures] == ["Jug", "Cup"]
    assert [number for number, _ in file.refused] == [3]
    assert what in file.refused[0][1]


def test_a_name_that_stands_twice_is_refused_with_the_first_line() -> None:
    file = box.parse("name,size_in,colours\nMilk Jug,7,red\n\nthe  milk JUG,8,blue\n")

    assert dict(file.refused)[4].endswith("stands on line 2 already: rename one")
    assert len(file.lures) == 1


def test_a_word_for_ready_other_than_yes_and_no_is_refused() -> None:
    assert "use yes or no" in reasons("name,size_in,colours,ready\nMug,7,red,maybe\n")[2]


def test_a_colour_of_the_boats_own_is_read() -> None:
    assert box.parse("name,size_in,colours\nMug,7,teal red\n", ["teal"]).lures[0].colours == (
        "teal",
        "red",
    )


def test_colours_may_be_joined_as_people_write_them() -> None:
    file = box.parse(
        "name,size_in,colours\nMug,7,Blue/Gray\nJug,7,lumo + white\n", words=colour_words({})
    )

    assert [lure.colours for lure in file.lures] == [("blue", "grey"), ("glow", "white")]


LURES = st.builds(
    Lure,
    name=st.text(string.ascii_letters + string.digits + " ',;\"-é", min_size=1, max_size=20)
    .map(lambda name: " ".join(name.split()))
    .filter(bool),
    size_in=st.floats(1, 40).map(lambda size: round(size, 3)),
    colours=st.lists(st.sampled_from(COLOURS), min_size=1, max_size=3, unique=True).map(tuple),
    head=st.none() | st.sampled_from(HEADS),
    hook_gauge=st.none() | st.sampled_from(GAUGES),
    hooks=st.none() | st.integers(0, 6),
    leader_kg=st.none() | st.floats(1, 1000),
    leader_m=st.none() | st.floats(0.1, 30),
    ready=st.booleans(),
    speed_min_kn=st.none() | st.floats(0.5, 8),
    speed_max_kn=st.none() | st.floats(8, 30),
)


@given(st.lists(LURES, min_size=1, max_size=6, unique_by=lambda lure: box.name_key(lure.name)))
def test_what_is_written_is_read_back_the_same(lures: list[Lure]) -> None:
    file = box.parse(box.format(lures))

    assert file.refused == ()
    assert file.lures == tuple(lures)


@given(st.text() | st.binary())
def test_whatever_a_file_holds_is_answered_and_never_raises(data: str | bytes) -> None:
    file = box.parse(data)

    assert file.lures or file.refused


BOX = (
    Lure("Garden Gate", 10, ("purple", "black"), "blunt"),
    Lure("Coat Hanger", 8, ("purple",), "slim"),
    Lure("Tea Cosy", 8, ("purple", "black"), "cupped"),
    Lure("Wheelbarrow", 8, ("black", "purple"), "cupped"),
)


def names(found: tuple[Lure, ...]) -> list[str]:
    return [lure.name for lure in found]


def test_a_lure_is_found_by_name_whatever_the_capitals_and_the_article() -> None:
    assert names(box.find(BOX, lure="the garden gate")) == ["Garden Gate"]


def test_purple_eight_is_the_one_that_is_only_purple() -> None:
    assert names(box.find(BOX, colours=("purple",), size_in=8)) == ["Coat Hanger"]


def test_the_order_of_colours_decides_between_two_that_have_both() -> None:
    assert names(box.find(BOX, colours=("purple", "black"), size_in=8)) == ["Tea Cosy"]


def test_a_lure_with_more_colours_is_found_where_none_has_only_those() -> None:
    assert names(box.find(BOX, colours=("purple",), size_in=10)) == ["Garden Gate"]


def test_all_that_fit_equally_are_found() -> None:
    assert names(box.find(BOX, head="cupped")) == ["Tea Cosy", "Wheelbarrow"]


def test_nothing_said_finds_nothing_and_so_does_a_lure_that_is_not_there() -> None:
    assert box.find(BOX) == ()
    assert box.find(BOX, lure="Garden Gate", size_in=8) == ()


def test_an_import_replaces_by_name_and_adds_at_the_end() -> None:
    new = (Lure("TEA COSY", 9, ("red",)), Lure("Mug", 6, ("blue",)))

    assert names(box.merge(BOX, new)) == [
        "Garden Gate",
        "Coat Hanger",
        "TEA COSY",
        "Wheelbarrow",
        "Mug",
    ]


def test_the_colours_and_heads_of_the_box_are_those_of_the_calls() -> None:
    from bot.trip import call

    assert items.COLOURS == call.COLOURS
    assert items.HEADS == call.HEADS
    assert items.STANDARD_POSITIONS == call.POSITIONS


def test_a_name_over_two_lines_is_refused_on_both() -> None:
    found = box.parse('name,size_in,colours\n"Mug\nJug",8,purple\nCup,7,red\n')

    assert [line for line, _ in found.refused] == [2, 3]
    assert [lure.name for lure in found.lures] == ["Cup"]


def test_the_line_that_is_not_utf_8_is_named() -> None:
    found = box.parse("name,size_in,colours\nMug,8,red\nCafé,8,red\n".encode("latin-1"))

    assert [line for line, _ in found.refused] == [3]


def test_spares_are_the_others_of_its_size_that_lead_with_its_colour_or_have_its_colours() -> None:
    lures = [
        Lure("Mug", 8, ("purple", "black")),
        Lure("Jug", 8, ("purple",)),
        Lure("Cup", 8, ("black", "purple")),
        Lure("Bowl", 9, ("purple",)),
    ]

    assert [lure.name for lure in box.spares(lures[0], lures)] == ["Jug", "Cup"]
    assert box.spares(lures[3], lures) == ()


@pytest.mark.parametrize(
    ("written", "colours", "taken"),
    [
        ("purple over black", ("purple", "black"), ()),
        ("red-black", ("red", "black"), ()),
        ("Purple and Black", ("purple", "black"), ()),
        ("dark red", ("red",), ("dark red is taken for red",)),
        ("teal", ("green",), ("teal is taken for green",)),
        ("hot pink/white", ("pink", "white"), ("hot pink is taken for pink",)),
        ("see through", ("clear",), ("see through is taken for clear",)),
        ("gray blk", ("grey", "black"), ()),
        ("black black", ("black",), ()),
    ],
)
def test_colours_are_read_as_people_write_them(
    written: str, colours: tuple[str, ...], taken: tuple[str, ...]
) -> None:
    found = box.parse(f"name,size_in,colours\nMug,7,{written}\n", words=colour_words({}))

    assert found.lures[0].colours == colours
    assert tuple(said for _, said in found.taken_for) == taken


def test_a_shade_that_the_boat_has_a_name_for_is_that_colour() -> None:
    found = box.parse(
        "name,size_in,colours\nMug,7,penny\n", words=colour_words({"bronze": ("penny",)})
    )

    assert found.lures[0].colours == ("bronze",)


def test_what_is_no_colour_is_refused_with_what_may_have_been_meant() -> None:
    found = box.parse("name,size_in,colours\nMug,7,orenge\nJug,7,dark\n", words=colour_words({}))

    assert found.refused[0] == (2, "colour 'orenge' is not known: did you mean orange?")
    assert found.refused[1][0] == 3


def test_all_bad_cells_of_a_line_are_named_at_once() -> None:
    found = box.parse(f"{HEADER}\n,blont,x,plaid,heavy,2.5,220,4.5,maybe,7,900\n")

    assert [line for line, _ in found.refused] == [2] * 7
    assert [reason.split()[0] for _, reason in found.refused] == [
        "size_in", "name", "colour", "head", "ready", "speed_max_kn", "hooks",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("head", "meant"),
    [("length", "size_in"), ("size", "size_in"), ("Size (in)", "size_in"), ("size_inn", "size_in")],
)
def test_a_column_by_another_name_is_asked_about_and_not_called_missing(
    head: str, meant: str
) -> None:
    found = box.parse(f"name,{head},colours\nMug,7,red\n")

    assert found.refused == ((1, f"column {head.lower()!r} is not known: did you mean {meant}?"),)


def test_the_example_is_a_good_file_with_every_column() -> None:
    found = box.parse(box.TEMPLATE, words=colour_words({}))

    assert found.refused == ()
    assert box.TEMPLATE.splitlines()[0].split(",") == list(box.COLUMNS)
    assert len(found.lures) == 5
