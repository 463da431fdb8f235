"""What took a fish or a lure and is no fish: a shark's toll is a loss, an animal in the lines no catch.

What is right stands beside each talk; common practice, no source.
"""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.answers.values import tally_json
from bot.messages import Reply
from tests.desk_rig import rows

START = datetime(2026, 3, 14, 6, tzinfo=UTC)
LINES = ("trip start", "set long rigger purple 8", "set shotgun blue 6", "lines in")


def told(home: Path, *lines: str) -> tuple[list[Reply], tuple[int, int, int]]:
    """Return the replies to lines of one of the crew, three minutes apart, and the counts at the end."""
    with Desk(home) as desk:
        for text in LINES:
            desk.say(text, crew="Ana", at=START)
        times = [START + timedelta(minutes=31 + 3 * n) for n in range(len(lines))]
        replies = [desk.say(text, crew="Ana", at=at) for at, text in zip(times, lines, strict=True)]
        total = tally_json(desk.view(times[-1]), "none")["total"]
    return replies, (total["strikes"], total["hookups"], total["caught"])


def ended(home: Path) -> list[str]:
    ends = ("boat", "release", "break_off", "pulled_hook", "miss")
    found = rows(home, "SELECT act, species, position FROM entries WHERE NOT void ORDER BY at, id")
    return [f"{r['act']} {r['species'] or '-'} {r['position']}" for r in found if r["act"] in ends]


@pytest.mark.parametrize(
    "said",
    [
        "shark's got him", "a shark got him", "taxed by a shark", "shark took it", "just the head left",
        "he got eaten by a shark", "lost him to the shark", "sharked", "the shark ate our fish",
    ],
)  # fmt: skip
def test_a_fish_that_a_shark_took_is_lost(tmp_path: Path, said: str) -> None:
    _, counts = told(tmp_path, "fish on long rigger, yellowfin", said)

    assert counts == (1, 1, 0)
    assert ended(tmp_path) == ["break_off yellowfin tuna long rigger"]


@pytest.mark.parametrize(
    "said", ["sharks behind him i think", "hope the shark doesn't get him", "is it a shark"]
)
def test_a_shark_that_took_nothing_ends_nothing(tmp_path: Path, said: str) -> None:
    _, counts = told(tmp_path, "fish on long rigger, yellowfin", said)

    assert counts == (1, 1, 0)
    assert ended(tmp_path) == []


@pytest.mark.parametrize(
    ("said", "end"),
    [
        ("cut him off", "break_off"), ("had to cut the line", "break_off"),
        ("we cut the leader", "break_off"), ("cut the leader and let him go", "release"),
    ],
)  # fmt: skip
def test_a_line_that_is_cut_ends_the_fish(tmp_path: Path, said: str, end: str) -> None:
    told(tmp_path, "fish on long rigger, marlin", said)

    assert ended(tmp_path) == [f"{end} marlin long rigger"]


@pytest.mark.parametrize(
    ("hooked", "freed", "animal", "line"),
    [
        ("caught a turtle on the long rigger", "cut it free", "turtle", "long rigger"),
        ("whale's tangled in the shotgun", "whale's broken free", "whale", "shotgun"),
        ("bird's tangled in the long rigger", "bird's free", "seabird", "long rigger"),
        ("foul hooked a booby on the shotgun", "it's off", "seabird", "shotgun"),
        ("seal's taken the lure on the long rigger", "seal's off", "seal", "long rigger"),
    ],
)
def test_an_animal_in_the_lines_is_no_catch(
    tmp_path: Path, hooked: str, freed: str, animal: str, line: str
) -> None:
    replies, counts = told(tmp_path, hooked, freed)

    assert counts == (0, 0, 0)
    assert ended(tmp_path) == [f"release {animal} {line}"]
    assert "the law here binds" in replies[0].text
    assert rows(tmp_path, "SELECT 1 FROM entries WHERE act = 'clear'") == []


def test_a_fish_that_turns_out_to_be_a_protected_shark_is_none(tmp_path: Path) -> None:
    _, counts = told(tmp_path, "fish on long rigger", "that's a great white", "cut him off")

    assert counts == (0, 0, 0)
    assert ended(tmp_path) == ["release protected shark long rigger"]


def test_beside_a_fish_the_animal_that_is_named_ends(tmp_path: Path) -> None:
    lines = ("fish on shotgun", "turtle on the long rigger", "turtle's off", "boated, mahi")

    _, counts = told(tmp_path, *lines)

    assert counts == (1, 1, 1)
    assert ended(tmp_path) == ["release turtle long rigger", "boat mahi-mahi shotgun"]


@pytest.mark.parametrize(
    "said", ["we caught a turtle once", "nearly hooked a turtle", "don't hook a turtle"]
)
def test_a_story_of_an_animal_is_none(tmp_path: Path, said: str) -> None:
    told(tmp_path, said)

    assert rows(tmp_path, "SELECT 1 FROM entries WHERE species = 'turtle' AND NOT void") == []
