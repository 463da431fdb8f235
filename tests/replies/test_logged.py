"""One line for each act: every act has its words, and what matters is in them."""

from datetime import timedelta

import pytest

from bot.replies.helping import EXAMPLES, HELP, SHORT_CAUTION, help_text
from bot.replies.logged import LoggedAct, list_words, logged_line, short, spoken_line
from bot.replies.refusals import explain_no_call, explain_not_heard, no_call
from bot.tackle.cautions import CAUTIONS, DEFER
from bot.trip.acts import LOGGED
from bot.trip.call import Call
from bot.trip.meant import Weedy
from tests.builders import at, call, entry, trip

WORDS = [
    ("trip_start", {}, "Trip started, 07:00."),
    ("set", {"position": "shotgun", "lure": "pink 6"}, "Set, shotgun: pink 6-inch."),
    ("set", {"position": "shotgun"}, "Set, shotgun: which lure?"),
    ("clear", {"position": "shotgun"}, "Cleared, shotgun."),
    ("speed", {"speed_kn": 8.5}, "Speed 8.5 kn."),
    ("water", {"water_c": 24.5, "depth_m": 900.0}, "Water: 24.5 °C, 900 m deep."),
    ("sighting", {"what": "birds"}, "Seen: birds."),
    ("sighting", {"species": "wahoo", "count": 3}, "Seen: 3 wahoo."),
    ("mark", {"text": "the drop-off"}, "Marked, 07:00: the drop-off."),
    ("note", {"text": "new leader"}, "Noted: new leader."),
    ("ready", {"lure": "@Tea Cosy"}, "Ready: Tea Cosy."),
    ("rework", {"lure": "purple 8", "text": "new skirt"}, "To rework: purple 8-inch, new skirt."),
    ("raise", {"position": "shotgun", "species": "blue marlin"}, "Raised, shotgun, blue marlin."),
    ("hookup", {"position": "shotgun", "count": 2}, "Hooked up, shotgun, 2 fish."),
    ("miss", {"position": "shotgun"}, "Missed, shotgun."),
    (
        "release",
        {"species": "sailfish", "length_cm": 210.0, "tagged": True, "tag": "A12"},
        "Released, sailfish, 210 cm, tag A12.",
    ),
    ("boat", {"species": "wahoo", "weight_kg": 12.0, "position": "shotgun"},
     "Boated, wahoo, 12 kg, shotgun."),
    ("strike", {"position": "long rigger", "side": "port"}, "Strike, port long rigger."),
]  # fmt: skip


def logged(said: Call, clock: str = "07:00", **about: object) -> LoggedAct:
    return LoggedAct(said, at(clock), at("07:00"), **about)  # type: ignore[arg-type]


@pytest.mark.parametrize(("act", "slots", "words"), WORDS)
def test_an_entry_is_read_back_in_the_words_of_the_deck(
    act: str, slots: dict[str, object], words: str
) -> None:
    assert logged_line(logged(call(act, **slots))) == words  # type: ignore[arg-type]


@pytest.mark.parametrize("act", sorted(LOGGED))
def test_every_act_has_a_line_a_short_name_and_a_spoken_form(act: str) -> None:
    said = call(act)

    assert logged_line(logged(said)).endswith((".", "?"))
    assert short(said)
    assert spoken_line(said).endswith(".")


def test_a_strike_says_how_long_the_lure_was_in_the_water() -> None:
    before = trip(entry("06:00", "lines_in"), entry("06:29", "set", "shotgun", "pink 6"))
    one = logged(call("strike", "shotgun", "pink 6"), before=before, after=before, hours=31 / 60)

    assert logged_line(one) == "Strike, shotgun, pink 6-inch. 31 min in the water."


def test_a_strike_without_a_place_asks_for_it() -> None:
    assert logged_line(logged(call("strike"))).endswith("Which position?")


def test_what_is_told_late_shows_its_time() -> None:
    line = logged_line(logged(call("strike", "shotgun"), "06:40"))

    assert line == "Strike, shotgun, at 06:40."


def test_a_swap_says_what_came_out_and_after_how_long() -> None:
    before = trip(entry("06:00", "lines_in"), entry("06:00", "set", "shotgun", "pink 6"))
    there = before.spread["shotgun"]
    one = logged(call("swap", "shotgun", "black 8"), before=before, hours=1.0, there=there)

    assert (
        logged_line(one) == "Swap, shotgun: black 8-inch for pink 6-inch, 1 h 00 min in the water."
    )


def test_a_fish_that_ended_says_how_long_it_was_on() -> None:
    one = logged(call("release", "shotgun"), fought=timedelta(minutes=25))

    assert logged_line(one) == "Released, shotgun. On for 25 min."


def test_two_fish_on_are_counted_and_one_that_ended_is_not() -> None:
    on = [
        entry("06:00", "lines_in"),
        entry("06:30", "hookup", "shotgun"),
        entry("06:31", "hookup", "long rigger"),
    ]
    second = logged(call("hookup", "long rigger"), after=trip(*on))
    ended = logged(call("boat", "shotgun"), after=trip(*on, entry("06:50", "boat", "shotgun")))

    assert logged_line(second).endswith("2 fish on now.")
    assert "fish on now" not in logged_line(ended)


def test_a_double_on_one_line_counts_down() -> None:
    on = (entry("06:00", "lines_in"), entry("06:30", "hookup", "shotgun", count=2))
    one = logged(call("boat", "shotgun"), after=trip(*on, entry("06:50", "boat", "shotgun")))

    assert "2 fish on now" not in logged_line(one)


def test_a_lost_lure_is_named() -> None:
    before = trip(
        entry("06:00", "lines_in"),
        entry("06:00", "set", "shotgun", "pink 6"),
        entry("06:30", "hookup", "shotgun"),
    )
    after = trip(
        entry("06:00", "lines_in"),
        entry("06:00", "set", "shotgun", "pink 6"),
        entry("06:30", "hookup", "shotgun"),
        entry("06:40", "break_off", "shotgun"),
    )
    line = logged_line(logged(call("break_off", "shotgun"), before=before, after=after))

    assert "Lost: pink 6-inch." in line


def test_several_entries_are_named_one_after_the_other() -> None:
    calls = (call("strike", "shotgun"), call("boat", species="wahoo"))

    assert list_words(calls) == "strike, shotgun; boated, wahoo"


def test_help_holds_the_deference_and_in_private_every_caution() -> None:
    assert DEFER in help_text(private=False)
    assert all(text in help_text(private=True) for text in CAUTIONS.values())


def test_every_example_of_the_help_is_a_call() -> None:
    from bot.calls.language import language
    from bot.calls.understand import understand
    from bot.shipped import grammar_texts
    from bot.transcript import typed_transcript

    words = language(grammar_texts())
    examples = [said for topic in EXAMPLES.values() for said in topic]
    assert len(examples) > 20
    assert all(said in HELP for said in examples)
    for said in examples:
        meant = understand(typed_transcript(said), words)

        assert meant.calls, said
        assert meant.ask is None, said


def test_the_caution_on_deck_fits_two_lines_of_a_phone() -> None:
    assert len(SHORT_CAUTION) <= 110


@pytest.mark.parametrize(
    "text", [explain_not_heard("it is empty"), explain_no_call("eh"), no_call("eh")]
)
def test_what_was_not_logged_says_so_first(text: str) -> None:
    assert text.startswith("Not logged")


@pytest.mark.parametrize(
    ("seen", "line"),
    [
        (call("sighting", what="bait", side="port"), "Seen: bait, to port."),
        (
            call("sighting", what="weed", meant=(Weedy(("long rigger",)),)),
            "Seen: weed, long rigger.",
        ),
        (call("sighting", what="weed", meant=(Weedy(everywhere=True),)), "Seen: weed, all lines."),
        (
            call("sighting", what="tailing fish", species="sailfish", count=3, side="starboard"),
            "Seen: tailing fish, 3 sailfish, to starboard.",
        ),
    ],
)
def test_what_was_seen_is_said_back_with_its_side_and_line(seen: Call, line: str) -> None:
    assert logged_line(LoggedAct(seen, at("08:00"), at("08:00"))) == line
