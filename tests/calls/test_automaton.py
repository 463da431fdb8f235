"""Many templates matched at once: against templates written out and compared one by one."""

from itertools import product

from hypothesis import given, strategies as st

from bot.calls.automaton import Automaton
from bot.calls.template import Alt, Node, Seq, Word, parse_template


def _accepted(automaton: Automaton[str], words: list[str]) -> tuple[str, ...]:
    state = automaton.start
    for word in words:
        after = automaton.step(state, word)
        if after is None:
            return ()
        state = after
    return state.accepts


def test_templates_of_one_beginning_give_each_its_payload() -> None:
    automaton = Automaton([
        (parse_template("strike [that]"), "strike"),
        (parse_template("strike that from the log"), "undo"),
    ])  # fmt: skip

    assert _accepted(automaton, ["strike"]) == ("strike",)
    assert _accepted(automaton, ["strike", "that"]) == ("strike",)
    assert _accepted(automaton, "strike that from the log".split()) == ("undo",)
    assert _accepted(automaton, ["strike", "that", "from"]) == ()
    assert _accepted(automaton, ["bite"]) == ()


def test_a_sentence_of_two_templates_gives_both() -> None:
    automaton = Automaton([(parse_template("(on|tight)"), "a"), (parse_template("on [now]"), "b")])

    assert sorted(_accepted(automaton, ["on"])) == ["a", "b"]


_SAID = st.lists(st.sampled_from(["a", "b", "(a|b) c", "[a] b", "[a]", "{x} a"]), max_size=5)


@given(_SAID, _SAID)
def test_templates_that_are_added_are_taken_as_if_all_had_been_given_at_once(
    first: list[str], then: list[str]
) -> None:
    given_, added = ([(parse_template(t), t) for t in said] for said in (first, then))
    few = Automaton(given_)

    more = few.with_more(added)

    assert more.__getstate__() == Automaton([*given_, *added]).__getstate__()
    assert few.__getstate__() == Automaton(given_).__getstate__()


def test_slots_are_listed_where_they_may_follow() -> None:
    automaton = Automaton([(parse_template("clear ({position}|the {both})"), "clear")])
    after = automaton.step(automaton.start, "clear")

    assert automaton.start.slots == {}
    assert after is not None
    end = automaton.step(after, "{position}")
    assert list(after.slots) == ["{position}"]
    assert end is not None
    assert end.accepts == ("clear",)


_WORDS = st.sampled_from("abc").map(Word)
_TREES: st.SearchStrategy[Node] = st.recursive(
    _WORDS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda parts: Seq(tuple(parts))),
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: Alt(tuple(parts))),
    ),
    max_leaves=6,
)


def _written_out(node: Node) -> set[tuple[str, ...]]:
    match node:
        case Word(text):
            return {(text,)}
        case Seq(parts):
            every = product(*map(_written_out, parts))
            return {tuple(w for part in parts for w in part) for parts in every}
        case Alt(choices):
            return set().union(*map(_written_out, choices))
        case _:
            raise AssertionError(node)


@given(st.lists(_TREES, min_size=1, max_size=3), st.lists(st.sampled_from("abc"), max_size=5))
def test_it_accepts_what_the_templates_written_out_hold(trees: list[Node], said: list[str]) -> None:
    automaton = Automaton([(tree, str(n)) for n, tree in enumerate(trees)])

    for words in [tuple(said), *(s for tree in trees for s in sorted(_written_out(tree)))]:
        want = {str(n) for n, tree in enumerate(trees) if words in _written_out(tree)}
        assert set(_accepted(automaton, list(words))) == want
