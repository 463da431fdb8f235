"""What a question asks for beyond its slots, a question about tackle, and a choice, out of the words."""

import pytest

from bot.calls.meant.questions import another_plan, asks_in, choice, naming_words, tally_question
from bot.calls.meant.tackle import tackle_question
from bot.trip.conditions import MONTHS
from bot.trip.exposure import BYS
from bot.trip.meant import NamesReading, TackleQuestion, TallyQuestion
from tests.meanings import reader


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("tally by colour and position", TallyQuestion(("colour", "position"))),
        ("tally by colour and positon", TallyQuestion(("colour", "position"))),
        ("tally by color and pos", TallyQuestion(("colour", "position"))),
        ("colour by head this season", TallyQuestion(("colour", "head"), "season")),
        ("which months are best", TallyQuestion(("month",))),
        ("tally by hour last week", TallyQuestion(("hour",), "week_before")),
        ("tally by hour last weak", TallyQuestion(("hour",))),  # an English word is believed
        ("tally by size this seson", TallyQuestion(("size",), "season")),
        ("what worked at first light in may", TallyQuestion(month="May", lights=("dawn",))),
        ("what may work", TallyQuestion()),
        ("what works in octber", TallyQuestion(month="October")),
        ("what works in twenty four degrees", TallyQuestion(water_c=24)),
        ("tally", TallyQuestion()),
    ],
)
def test_what_a_tally_is_asked_for(text: str, meant: TallyQuestion) -> None:
    assert tally_question(reader().line(text)) == meant


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("chart of the strikes by hour", {"picture", "show"}),
        ("chrat of the strikes by hour", {"picture", "show"}),
        ("show the spread", {"show"}),
        ("what works best around here", {"here", "working"}),
        ("here what works", {"here", "working"}),
        ("how far to the last mark", {"way", "mark"}),
        ("set it", {"sets"}),
        ("tally", set()),
    ],
)
def test_what_else_is_asked_for(text: str, asks: set[str]) -> None:
    found = asks_in(reader().line(text))

    assert set(found.what if found else ()) == asks


def test_every_key_and_month_of_the_grammar_is_one_of_the_program() -> None:
    keys = {name for table, name in _names() if table == "tally"}
    months = {name for table, name in _names() if table == "month"}

    assert keys == set(BYS) - {"none"}
    assert months == set(MONTHS)


def _names() -> set[tuple[str, str]]:
    """Return the table and the name of every sign that can be found."""
    automaton = reader().signs.automaton
    seen, todo, found = set(), [automaton.start], set()
    while todo:
        state = todo.pop()
        if id(state) in seen:
            continue
        seen.add(id(state))
        found |= set(state.accepts)
        ways = automaton.open(state)
        todo += [automaton.into(ways, word) for word in list(ways)]
    return found


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("will i be spooled", ("spooled",)),
        ("will i be spoold on the shotgun", ("spooled",)),
        ("how long a leader am i allowed", ("lengths",)),
        ("is that hook rig legal", ("hooks",)),
        ("how far back is the long riger", ("back",)),
        ("how far back to the harbour", ()),
        ("how hard does the purple eight pull on the drag", ("fits", "drag")),
        ("i'll put the pink one on in a minute", ()),
        ("don't put the purple one out yet", ()),
        ("that hook's too big", ()),
        ("nice day", ()),
    ],
)
def test_a_question_about_tackle_is_known_by_its_words(text: str, kinds: tuple[str, ...]) -> None:
    found = tackle_question(reader().line(text))

    assert (found.kinds if found else ()) == kinds


def test_what_a_question_about_tackle_names() -> None:
    found = tackle_question(
        reader().line("will a fourteen inch black pull too much on the thirties")
    )

    # 30 lb is the 15 kg class (record books)
    assert found == TackleQuestion(("fits",), colours=("black",), size_in=14, class_kg=15)


@pytest.mark.parametrize(
    ("text", "number"),
    [("first", 1), ("the 2nd one", 2), ("2", 2), ("Number three.", 3), ("the latter", 2),
     ("fourth", 4), ("one strike", None), ("second wind", None), ("furst", None)],
)  # fmt: skip
def test_a_choice_is_all_that_is_said(text: str, number: int | None) -> None:
    found = choice(reader().line(text))

    assert (found.number if found else None) == number


def test_a_few_words_may_name_a_reading_and_many_do_not() -> None:
    assert naming_words(reader().line("Short corner!")) == NamesReading(
        "short corner", position="short corner"
    )
    assert naming_words(reader().line("Ana")) == NamesReading("ana")
    assert naming_words(reader().line("well that was quite something")) is None


def test_another_plan_is_all_that_is_said() -> None:
    assert another_plan(reader().line("no, give me another one please")) is not None
    assert another_plan(reader().line("another strike")) is None
