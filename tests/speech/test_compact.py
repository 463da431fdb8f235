from bot.speech.compact import compact

# (strike | bite) [the] corner, as PocketSphinx writes it, with rules copied and fillers.
FSG = """FSG_BEGIN <g>
NUM_STATES 9
START_STATE 0
FINAL_STATE 8
TRANSITION 0 0 0.005 <sil>
TRANSITION 0 1 0.5
TRANSITION 0 2 0.5
TRANSITION 1 3 1.0 strike
TRANSITION 2 4 1.0 bite
TRANSITION 2 4 1.0 bite(2)
TRANSITION 3 5 0.5 the
TRANSITION 3 5 0.5
TRANSITION 4 6 0.5 the
TRANSITION 4 6 0.5
TRANSITION 5 8 1.0 corner
TRANSITION 6 8 1.0 corner
FSG_END
"""


def test_the_same_sentences_with_as_few_states_as_can_be() -> None:
    sentences = compact(FSG)

    # By hand: before, after the verb, after the article, after the end.
    assert len(sentences.moves) == 4
    assert sentences.words == {"strike", "bite", "the", "corner"}
    for text in ("strike the corner", "strike corner", "bite the corner", "bite corner"):
        assert sentences.accepts(text)
    for text in ("", "strike", "strike the", "corner", "strike the the corner", "bite corner the"):
        assert not sentences.accepts(text)
