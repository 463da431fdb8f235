"""What the log has to know of a call beyond its slots, out of its words: weed, waves, moves, tackle."""

import pytest

from bot.calls.meant.facts import on_wave
from bot.desk.understood import hints_of, understand_transcript
from bot.transcript import typed_transcript
from bot.trip.call import Call
from bot.trip.fold import fold
from bot.trip.meant import Concerns, FromOtherLine, LostLure, Meaning, OnWave, Weedy, wrong_field
from tests.meanings import as_said, reader


def meant(call: Call, text: str) -> tuple[Meaning, ...]:
    return as_said(call, text).meant


@pytest.mark.parametrize(
    ("text", "back_m", "wave"),
    [
        ("short corner is fourteen metres back on the second wave", 14.0, 2),
        ("the short corner is 14 m back on the 2nd wave", 14.0, 2),
        ("long rigger 40 m back, wave 4", 40.0, 4),
        ("short corner's fourteen back on the second wave", 14.0, 2),
        ("port short rigger is sixty feet back on wave three", 18.3, 3),  # foot: 0.3048 m exactly
        ("short corner 14.5m back on the 4th wave", 14.5, 4),
        ("the second wave is twelve metres back", 12.0, 2),
        ("short cornr is fourten meters bck on the secnd wave", 14.0, 2),
    ],
)
def test_a_distance_and_a_wave_are_read_out_of_a_note(text: str, back_m: float, wave: int) -> None:
    found = on_wave(reader().line(text))

    assert found is not None
    assert (found.back_m, found.wave) == (back_m, wave)


@pytest.mark.parametrize(
    "text",
    ["", "out of ice", "the second wave", "fourteen metres back", "a big wave broke the 3 m ladder",
     "wave 2 at 900 m", "wave 40 at 20 m"],
)  # fmt: skip
def test_a_note_that_tells_no_distance_is_only_a_note(text: str) -> None:
    assert on_wave(reader().line(text)) is None


@pytest.mark.parametrize(
    ("text", "weedy"),
    [
        ("weed on the long rigger", Weedy(("long rigger",))),
        ("weed on the long riger", Weedy(("long rigger",))),
        ("weed on sr and lr", Weedy(("short rigger", "long rigger"))),
        ("weed on the corners", Weedy(("short corner", "long corner"), ("corner",))),
        ("weed on the outriggers", Weedy(("short rigger", "long rigger"), ("rigger",))),
        ("weed on the long riggers", Weedy(("long rigger",))),
        ("weed on all the lines", Weedy(everywhere=True)),
        ("weed on evrything", Weedy(everywhere=True)),
        ("strike short corner, weed on the shotgun", Weedy(("shotgun",))),
    ],
)
def test_weed_hangs_on_the_lines_that_are_named(text: str, weedy: Weedy) -> None:
    assert meant(Call("sighting", what="weed"), text) == (weedy,)


@pytest.mark.parametrize("text", ["lots of weed about", "weed line", "weed, strike long rigger"])
def test_weed_that_drifts_by_hangs_on_nothing(text: str) -> None:
    assert meant(Call("sighting", what="weed"), text) == ()


def test_a_lure_is_moved_where_the_words_say_so() -> None:
    put = Call("set", "shotgun", colours=("purple",))

    assert meant(put, "move the purple to the shotgun") == (FromOtherLine(),)
    assert meant(put, "shifted the purple to the shotgun") == (FromOtherLine(),)
    assert meant(put, "purple on the shotgun") == ()


def test_work_speaks_of_tackle_and_only_a_lure_that_is_gone_itself_is_lost() -> None:
    def work(text: str) -> tuple[Meaning, ...]:
        return meant(Call("rework", lure="Cup", text=text), f"Cup {text}")

    assert work("new leader and hooks") == (Concerns(("leader", "hooks")),)
    assert work("lost") == work("gone overboard") == (LostLure(),)
    assert work("lost its skirt") == ()


def test_what_is_understood_carries_what_it_means() -> None:
    from bot.bench.corpus import corpus_language

    found = understand_transcript(
        typed_transcript("weed on the long riger"), corpus_language(), hints_of(fold(()))
    )

    assert [call.meant for call in found.calls] == [(Weedy(("long rigger",)),)]
    assert [o.calls[0].meant for o in found.options] == [(Weedy(("long rigger",)),)]


def test_a_field_of_the_wrong_type_is_named() -> None:
    assert wrong_field(OnWave(14, 2, ("shotgun",))) is None
    assert wrong_field(OnWave("far", 2)) == "back_m"  # type: ignore[arg-type]
    assert wrong_field(Weedy((5,))) == "positions"  # type: ignore[arg-type]
    assert wrong_field(Weedy(everywhere=1)) == "everywhere"  # type: ignore[arg-type]
