"""What words mean where it is known what they are there for, and that they mean it nowhere else.

Sources: wordings of our own; units by the international pound
(1 lb = 0.45359237 kg, 1 st = 14 lb) and the nautical mile (1 m/s = 1.943844 kn);
force 5 is 17 to 21 knots (WMO, code table 1100).
"""

from typing import Any

import pytest

from bot.bench.reader_align import align
from bot.calls.language import Language
from bot.calls.reader.decode import tagged_calls
from bot.calls.reader.values import values_of
from bot.calls.reader.words import words_of
from bot.calls.short_names import telling_words
from bot.calls.understand import understand
from bot.transcript import typed_transcript

CORNERS, RIGGERS = ("short corner", "long corner"), ("short rigger", "long rigger")


@pytest.mark.parametrize(
    ("role", "said", "value"),
    [
        ("position", "gun", ("shotgun",)),
        ("position", "down the middle", ("shotgun",)),
        ("position", "the flats", CORNERS),
        ("position", "outriggers", RIGGERS),
        ("position", "the shorts", ("short corner", "short rigger")),
        ("position", "all but the gun", (*CORNERS, *RIGGERS)),
        ("position", "everything except the corners and the gun", RIGGERS),
        ("lure", "the hat", "Church Hat"),
        ("lure", "hats", "Church Hat"),
        ("lure", "bh", "Broom Handle"),
        ("clock", "half six", "06:30"),
        ("clock", "10.40", "10:40"),
        ("size_in", "inch and a half", 1.5),
        ("old_lure", "hat of church", "Church Hat"),
        ("species", "yellas", "yellowfin tuna"),
        ("species", "thon jaune", "yellowfin tuna"),
        ("species", "dolly", "mahi-mahi"),
        ("species", "peto", "wahoo"),
        ("species", "tax man", "shark"),
        ("weight_kg", "kilo and a half", 1.5),
        ("weight_kg", "twelve kilo four hundred", 12.4),
        ("weight_kg", "six stone", 38.1),
        ("length_cm", "metre thirty", 130),
        ("weight_kg", "kilo twenty six", 26),
        ("weight_kg", "kilo four hundred", 1.4),
        ("length_cm", "half a metre", 50),
        ("speed_kn", "seven knot half", 7.5),
        ("speed_kn", "eight less one quarter", 7.75),
        ("speed_kn", "six two", 6.2),
        ("speed_kn", "seven eight knots", 7.8),
        ("ago_min", "hour and a half", 90),
        ("sea_m", "foot and a half", 0.46),
        ("wind_kn", "eight metres per second", 15.6),
        ("wind_kn", "force five", 19),
        ("tag", "eight double two five", "8225"),
        ("tag", "B 55 203", "B55203"),
        ("tag", "P T four zero eight one", "PT4081"),
        ("tag", "NSW forty one oh nine", "NSW4109"),
        ("side", "bombordo", "port"),
        ("side", "tribord", "starboard"),
        ("wind_from", "nor-est", "ne"),
        ("colours", "roxo", ("purple",)),
        ("count", "both of them", 2),
        ("count", "triple header", 3),
        ("count", "two hundred", 200),
        ("what", "a ship", "boat"),
    ],
)
def test_words_with_a_role_have_its_value(
    role: str, said: str, value: Any, words: Language
) -> None:
    line = words_of(said, words.grammar)

    found = values_of(line, role, 0, len(line.tokens))[0]

    assert found == (value,)


@pytest.mark.parametrize(
    ("said", "word", "position"),
    [
        ("the port rigger is away, the long one", "long", "long rigger"),
        ("short, the corner", "short", "short corner"),
        ("corners stay, pull the riggers, the short first", "short", "short rigger"),
    ],
)
def test_the_short_one_is_of_the_kind_of_line_that_was_spoken_of(
    said: str, word: str, position: str, words: Language
) -> None:
    line = words_of(said, words.grammar)
    at = [t.text for t in line.tokens].index(word)

    assert values_of(line, "position", at, at + 1)[0] == ((position,),)


def test_the_rest_are_the_lines_that_were_not_named(words: Language) -> None:
    line = words_of("leave the gun, get the rest", words.grammar)

    assert values_of(line, "position", 4, 6)[0] == ((*CORNERS, *RIGGERS),)


@pytest.mark.parametrize(
    ("said", "at", "positions"),
    [
        ("strike short corner, strike gun, both missed", 5, ("short corner", "shotgun")),
        ("rigger baits in, both", 3, RIGGERS),
        ("all up but the gun", 2, (*CORNERS, *RIGGERS)),
    ],
)
def test_both_and_but_point_at_what_was_named(
    said: str, at: int, positions: tuple[str, ...], words: Language
) -> None:
    line = words_of(said, words.grammar)

    assert values_of(line, "position", at, len(line.tokens))[0] == (positions,)


def test_a_bare_weight_is_in_the_only_unit_of_its_line(words: Language) -> None:
    pounds = words_of("one thirty on the nose, pounds", words.grammar)
    both = words_of("one thirty pounds, or sixty kilos", words.grammar)

    assert values_of(pounds, "weight_kg", 0, 2)[0] == (59.0,)
    assert values_of(both, "weight_kg", 0, 2)[0] == (130,)


def test_what_is_left_out_is_not_what_is_meant(words: Language) -> None:
    line = words_of("bring in everything except for the gun", words.grammar)

    assert values_of(line, "position", 5, 7)[0] == ((*CORNERS, *RIGGERS),)


def test_the_force_of_the_wind_is_no_number_of_knots(words: Language) -> None:
    line = words_of("wind force five", words.grammar)

    assert values_of(line, "wind_kn", 2, 3)[0] == (19,)


def test_words_beside_the_ones_with_the_role_are_not_read_freely(words: Language) -> None:
    line = words_of("that rod but all gone", words.grammar)

    assert values_of(line, "position", 0, 2)[0] == ()


@pytest.mark.parametrize("said", ["gun it", "down the middle", "the hat", "all but the middle"])
def test_elsewhere_such_words_make_no_call(said: str, words: Language) -> None:
    assert understand(typed_transcript(said), words).calls == ()


def test_only_words_of_one_lure_tell_it_and_no_colour_does() -> None:
    tables: dict[str, dict[str, tuple[str, ...]]] = {
        "colour": {"red": ("red",)}, "head": {}, "position": {}, "side": {}, "species": {},
        "name": {"Red Kite": ("red kite",), "Old Kite": ("old kite",), "Red Boot": ("red boot",)},
    }  # fmt: skip

    found = telling_words(tables, str)

    assert found == {
        "old": "Old Kite", "ok": "Old Kite", "boot": "Red Boot", "rk": "Red Kite", "rb": "Red Boot",
    }  # fmt: skip


def test_colours_said_apart_are_the_colours_of_one_lure(words: Language) -> None:
    label = [{"act": "set", "colours": ["red", "yellow"], "size_in": 10.0}]
    line = words_of("red ten with some yellow goes out", words.grammar)
    found = align(line, label)

    assert found is not None
    assert found.whole
    [call] = tagged_calls(line, found.tags)
    assert call.slots == {"colours": ("red", "yellow"), "size_in": 10}


def test_a_line_of_which_one_position_is_said_is_not_whole_with_two(words: Language) -> None:
    calls = [{"act": "clear", "position": p} for p in ("short corner", "shotgun")]
    one = align(words_of("shotgun in, please", words.grammar), calls)
    two = align(words_of("short corner and gun in", words.grammar), calls)

    assert one is not None
    assert two is not None
    assert (one.whole, two.whole) == (False, True)


@pytest.mark.parametrize(
    ("said", "calls"),
    [
        (
            "the hat and the nail in tray two",
            [{"lure": "Church Hat", "tray": "two"}, {"lure": "Rusty Nail", "tray": "two"}],
        ),
        (
            "nail in tray one with the pink six",
            [{"lure": "Rusty Nail", "tray": "one"},
             {"colours": ["pink"], "size_in": 6.0, "tray": "one"}],
        ),
    ],
)  # fmt: skip
def test_a_tray_is_said_once_for_all_that_goes_into_it(
    said: str, calls: list[dict[str, Any]], words: Language
) -> None:
    found = _there_and_back(said, [{"act": "tray", **call} for call in calls], words)

    assert found == calls


def test_a_fish_is_named_once_for_several_that_are_weighed(words: Language) -> None:
    calls = [
        {"species": "mahi-mahi", "weight_kg": 10.0},
        {"species": "mahi-mahi", "weight_kg": 8.0},
    ]

    found = _there_and_back(
        "both mahi came over the rail, ten kilos and eight kilos",
        [{"act": "boat", **call} for call in calls],
        words,
    )

    assert found == calls


def _there_and_back(
    said: str, calls: list[dict[str, Any]], words: Language
) -> list[dict[str, Any]]:
    """Return what is read of a line that is tagged as its label wants."""
    line = words_of(said, words.grammar)
    found = align(line, calls)
    assert found is not None
    assert found.whole
    return [
        {k: list(v) if isinstance(v, tuple) else v for k, v in call.slots.items()}
        for call in tagged_calls(line, found.tags)
    ]
