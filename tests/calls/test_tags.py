"""Numbers of tags: what stands between the word and the number is passed over once, however it is read."""

from bot.calls.lattice import plain, with_repairs
from bot.calls.tags import tags_at
from bot.calls.tokens import tokenise

MANY = 16


def test_a_tag_behind_many_words_that_may_be_others_is_read_a_few_times_only() -> None:
    """Found by fuzzing: every reading of every word doubled the ways, 65,536 here."""
    line = plain(tokenise("tag " + "number " * MANY + "7712", {}))
    wide = with_repairs(line, [(n, n + 1, ("no",), 0.1) for n in range(1, MANY + 1)])

    found = list(tags_at(wide, 0))

    assert {tag.number for tag in found} == {"7712"}
    assert len(found) <= 2 * MANY


def test_letters_of_the_international_code_stand_for_themselves() -> None:
    """The spelling table of the International Code of Signals (IMO): Zulu is Z, Alfa is A."""
    line = plain(tokenise("tag number zulu four four one seven", {}))

    assert "Z4417" in {tag.number for tag in tags_at(line, 0)}
