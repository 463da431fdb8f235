from bot.speech.compact import compact
from bot.speech.jsgf_reader import WordGraph

# (strike | bite) [the] corner, with rules copied.
GRAPH = WordGraph(
    start=0,
    end=8,
    arcs={
        1: [("strike", 3)],
        2: [("bite", 4), ("bite", 4)],
        3: [("the", 5)],
        4: [("the", 6)],
        5: [("corner", 8)],
        6: [("corner", 8)],
    },
    empty={0: [1, 2], 3: [5], 4: [6]},
)


def test_the_same_sentences_with_as_few_states_as_can_be() -> None:
    sentences = compact(GRAPH)

    # By hand: before, after the verb, after the article, after the end.
    assert len(sentences.moves) == 4
    assert sentences.words == {"strike", "bite", "the", "corner"}
    for text in ("strike the corner", "strike corner", "bite the corner", "bite corner"):
        assert sentences.accepts(text)
    for text in ("", "strike", "strike the", "corner", "strike the the corner", "bite corner the"):
        assert not sentences.accepts(text)
