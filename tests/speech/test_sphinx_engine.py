"""PocketSphinx for real, with the English model of its wheel and the committed recordings."""

import random

import pytest

from bot.desk.settle import ACCEPT_FROM, TALK_BELOW
from bot.errors import EngineError
from bot.speech.engine import EngineGrammar
from bot.speech.pronunciations import pronunciations
from bot.speech.sphinx_engine import SphinxEngine
from bot.transcript import Transcript
from tests.speech.recordings import PRONUNCIATIONS, SMALL, SMALL_JSGF, noise, pcm, recording, table

CALLS = [line for line in table() if line["noise"] and not line["file"].startswith("oov_")]


@pytest.fixture(scope="module")
def engine() -> SphinxEngine:
    ear = SphinxEngine()
    ear.prepare(SMALL)
    return ear


@pytest.fixture(scope="module")
def heard(engine: SphinxEngine) -> dict[str, Transcript]:
    """Hear every committed recording with noise once."""
    names = [line["file"].removesuffix(".ogg") for line in table() if line["noise"]]
    return {name: engine.transcribe(recording(name)) for name in names}


def _called(text: str) -> str:
    """Leave out the words that make no difference to a call."""
    return " ".join(word for word in text.split() if word not in ("a", "the", "on")) or text


def test_most_of_the_committed_calls_are_heard_and_nearly_all_are_among_the_alternatives(
    heard: dict[str, Transcript],
) -> None:
    first, among = 0, 0
    for line in CALLS:
        texts = [_called(a.text) for a in heard[line["file"].removesuffix(".ogg")].alternatives]
        first += texts[:1] == [_called(line["said"])]
        among += _called(line["said"]) in texts

    assert len(CALLS) >= 24
    assert first >= 0.9 * len(CALLS)
    assert among >= 0.95 * len(CALLS)


def test_talk_is_trusted_less_than_calls_that_were_heard_right(
    heard: dict[str, Transcript],
) -> None:
    said = {line["file"].removesuffix(".ogg"): line["said"] for line in CALLS}
    trusted = [
        h.signals["accept"]
        for n, h in heard.items()
        if _called(h.best) == _called(said.get(n, "-"))
    ]
    talk = [h.signals["accept"] for name, h in heard.items() if name.startswith("oov_")]

    assert len(talk) >= 6
    assert max(talk) < ACCEPT_FROM
    assert sum(trust >= ACCEPT_FROM for trust in trusted) >= 0.3 * len(trusted)
    assert sum(trust >= TALK_BELOW for trust in trusted) >= 0.95 * len(trusted)


def test_a_transcript_says_where_it_came_from(engine: SphinxEngine) -> None:
    sound = recording("lines_in")

    heard = engine.transcribe(sound)

    assert heard.engine == "pocketsphinx"
    assert heard.seconds == sound.seconds
    assert heard.best == "lines in"
    assert {"snr_db", "score_per_frame", "frames"} <= heard.signals.keys()
    assert sum(alternative.score for alternative in heard.alternatives) == pytest.approx(1.0)


def test_the_same_recording_gives_the_same_result_in_any_order(
    engine: SphinxEngine, heard: dict[str, Transcript]
) -> None:
    shuffled = random.Random(5).sample(sorted(heard), 8)

    again = {name: engine.transcribe(recording(name)) for name in shuffled}

    assert again == {name: heard[name] for name in shuffled}


def test_only_complete_sentences_come_out(engine: SphinxEngine) -> None:
    for line in table()[::5]:
        sound = recording(line["file"].removesuffix(".ogg"))
        torn = sound.slice(0.0, 0.45 * sound.seconds)

        for alternative in engine.transcribe(torn).alternatives:
            assert engine.accepts(alternative.text)


def test_noise_alone_does_not_end_in_an_error(engine: SphinxEngine) -> None:
    heard = engine.transcribe(pcm(noise(1.0, 0.05)))

    assert heard.seconds == 1.0


def test_a_sliver_of_sound_does_not_end_in_an_error(engine: SphinxEngine) -> None:
    assert engine.transcribe(pcm(noise(0.01, 0.05))).alternatives == ()


def test_accepts_knows_complete_sentences(engine: SphinxEngine) -> None:
    assert engine.accepts("strike on the long rigger purple eight")
    assert not engine.accepts("strike on the long")
    assert not engine.accepts("hello")
    assert not engine.accepts("")


def test_the_wheel_lacks_words_of_the_trade_and_a_pronunciation_mends_that() -> None:
    ear = SphinxEngine()
    assert ear.missing_words(frozenset({"rigger", "mahi", "corner"})) == ("mahi", "rigger")

    ear.prepare(EngineGrammar(jsgf=SMALL_JSGF, pronunciations=PRONUNCIATIONS))

    assert ear.missing_words(frozenset({"rigger", "mahi", "corner"})) == ()
    assert dict(ear.sounded_out) == {"yellowfin": "Y EH L OW F IH N"}


def test_an_unknown_word_is_sounded_out_and_does_not_kill_the_grammar() -> None:
    ear = SphinxEngine()
    jsgf = "#JSGF V1.0;\ngrammar g;\npublic <g> = lines in | zorblit | MAHI-mahi | Lines Out;\n"

    ear.prepare(EngineGrammar(jsgf=jsgf))

    assert ear.accepts("zorblit")
    assert {"zorblit", "MAHI-mahi"} <= set(ear.sounded_out)
    assert ear.transcribe(recording("lines_in")).best == "lines in"


def test_a_word_may_have_several_pronunciations() -> None:
    ear = SphinxEngine()
    jsgf = "#JSGF V1.0;\ngrammar g;\npublic <g> = wahoo | rigger;\n"
    both = (("wahoo", "W AA HH UW"), ("rigger", "R IH G ER"), ("rigger", "R IH G AH"))

    ear.prepare(EngineGrammar(jsgf=jsgf, pronunciations=both))

    assert ear.missing_words(frozenset({"rigger(2)", "wahoo(2)"})) == ()


def test_the_grammar_can_change_and_change_back() -> None:
    ear = SphinxEngine()
    other = EngineGrammar(jsgf="#JSGF V1.0;\ngrammar o;\npublic <o> = lines out | hooked up;\n")
    ear.prepare(SMALL)
    ear.prepare(other)
    assert not ear.accepts("lines in")
    for number in range(6):
        ear.prepare(
            EngineGrammar(jsgf=f"#JSGF V1.0;\ngrammar g{number};\npublic <g> = trip start;\n")
        )

    ear.prepare(SMALL)

    assert ear.accepts("lines in")
    assert ear.transcribe(recording("lines_in")).best == "lines in"


def test_a_grammar_of_the_note_of_the_w3c_loads_as_it_is() -> None:
    # JSpeech Grammar Format, W3C Note 5 June 2000, the example of section 5 (commands with
    # politeness) with its comments, weights and tags; from memory.
    jsgf = """#JSGF V1.0 ISO8859-1 en;
    grammar com.acme.commands;

    /**
     * Basic command.
     * @example please move the window
     */
    public <basicCmd> = <startPolite> <command> <endPolite>;

    <command> = <action> <object>;
    <action> = /10/ open {OPEN} | /2/ close {CLOSE} | /1/ delete {DELETE} | /1/ move {MOVE};
    <object> = [the | a] (window | file | menu); // the things
    <startPolite> = (please | kindly | could you | oh mighty computer) *;
    <endPolite> = [ please | thanks | thank you ];
    """
    ear = SphinxEngine()

    ear.prepare(EngineGrammar(jsgf=jsgf))

    assert ear.accepts("please could you open the window thank you")
    assert ear.accepts("move a menu")
    assert not ear.accepts("open please")
    assert not ear.sounded_out


@pytest.mark.parametrize("jsgf", ["", "no grammar", "#JSGF V1.0;\ngrammar g;\npublic <g> = (a;"])
def test_a_broken_grammar_is_an_engine_error_that_says_what_to_do(jsgf: str) -> None:
    ear = SphinxEngine()
    ear.prepare(SMALL)

    with pytest.raises(EngineError, match="public rule"):
        ear.prepare(EngineGrammar(jsgf=jsgf))

    assert ear.accepts("lines in")


def test_a_rule_that_is_named_but_not_given_is_an_engine_error() -> None:
    jsgf = "#JSGF V1.0;\ngrammar g;\npublic <g> = lines <way> | <NULL>;"

    with pytest.raises(EngineError, match="<way>"):
        SphinxEngine().prepare(EngineGrammar(jsgf=jsgf))


def test_a_pronunciation_with_unknown_phones_is_an_engine_error() -> None:
    with pytest.raises(EngineError, match="QQ"):
        SphinxEngine().prepare(
            EngineGrammar(jsgf=SMALL_JSGF, pronunciations=(("rigger", "R QQ G"),))
        )


def test_hearing_before_a_grammar_is_an_engine_error() -> None:
    with pytest.raises(EngineError, match="prepare"):
        SphinxEngine().transcribe(recording("lines_in"))


def test_the_dictionary_gives_variants() -> None:
    # The CMU Pronouncing Dictionary, as in the PocketSphinx wheel.
    known = pronunciations()

    assert known["strike"] == ("S T R AY K",)
    assert known["the"] == ("DH AH", "DH IY")
    assert "rigger" not in known
    assert "the(2)" not in list(known)
