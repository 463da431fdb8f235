"""PocketSphinx's decoder: started with its English model, taught words, phones and grammars.

What is heard with it is the business of `sphinx_engine`. Raises EngineMissing and EngineError.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bot.errors import EngineError, EngineMissing
from bot.speech.compact import Sentences
from bot.speech.pronunciations import PronouncingDictionary, pronunciations

BEAM = 1e-40
"""Narrower (larger) is faster and loses sentences; measured: wider gains nothing."""
PHONE_BEAM = 1e-40
WORD_BEAM = 1e-25
LANGUAGE_WEIGHT = 6.5
"""PocketSphinx's own."""
_ALL_PHONES = ("measure", "oil", "how", "the", "thing", "church", "judge", "should", "who", "yes", "why",
               "father", "buying", "pat", "dog", "coffee", "zoo",
               "very", "loud", "bird", "make", "no")  # fmt: skip
"""Words that between them have every phone of English."""
PHONE_LOOP = "_phones"
"""Name of the search that follows sounds without words."""


@dataclass(frozen=True, slots=True)
class Dictionary:
    """How words are said: those taught to the decoder, and all others of its dictionary.

    The decoder is taught only the words of its grammars, for the whole dictionary takes it 18 MB; and it
    is never asked for one, for what it answers stays in memory.
    """

    decoder: Any
    taught: dict[str, str] = field(default_factory=dict)
    """Entry to phones; `word(2)` is the second way to say a word."""
    others: Mapping[str, tuple[str, ...]] = field(default_factory=pronunciations)

    def __contains__(self, word: object) -> bool:
        return word in self.taught or word in self.others

    def __getitem__(self, word: str) -> tuple[str, ...]:
        found, entry = [], word
        while (phones := self.taught.get(entry)) is not None:
            found.append(phones)
            entry = f"{word}({len(found) + 1})"
        return tuple(found) or self.others[word]

    def teach_known(self, word: str) -> None:
        """Teach the decoder what the dictionary says of a word, unless it knows the word."""
        if word not in self.taught:
            for phones in self.others.get(word, ()):
                self.teach(word, phones)

    def teach(self, word: str, phones: str) -> None:
        """Teach the decoder a pronunciation, as a variant where the word is known; raises EngineError."""
        entry, number = word, 1
        while (known := self.taught.get(entry)) is not None:
            if known.split() == phones.split():
                return
            number += 1
            entry = f"{word}({number})"
        try:
            self.decoder.add_word(entry, phones, False)
        except RuntimeError as exc:
            raise EngineError(
                f"PocketSphinx refuses the pronunciation {phones!r} of {word!r}: "
                "use the phones of the CMU dictionary"
            ) from exc
        self.taught[entry] = phones


def add_phone_loop(decoder: Any, words: PronouncingDictionary) -> None:
    """Teach the decoder each phone as a word of its own, in any order."""
    import pocketsphinx

    phones = sorted({phone for word in _ALL_PHONES for phone in words[word][0].split()})
    loop = pocketsphinx.FsgModel(PHONE_LOOP, decoder.get_logmath(), LANGUAGE_WEIGHT, 2)
    for phone in phones:
        decoder.add_word(f"_{phone}", phone, False)
        loop.trans_add(0, 0, 0, loop.word_add(f"_{phone}"))
    loop.null_trans_add(0, 1, 0)
    loop.set_start_state(0)
    loop.set_final_state(1)
    decoder.add_fsg(PHONE_LOOP, loop)


def build_search(name: str, sentences: Sentences, logmath: Any) -> Any:
    """Return an automaton in the form that PocketSphinx searches, all sentences alike likely."""
    import pocketsphinx

    end = len(sentences.moves)
    fsg = pocketsphinx.FsgModel(name, logmath, LANGUAGE_WEIGHT, end + 1)
    numbers = {word: fsg.word_add(word) for word in sorted(sentences.words)}
    for state, moves in enumerate(sentences.moves):
        for word, to in moves.items():
            fsg.trans_add(state, to, 0, numbers[word])
    for state in sentences.ends:
        fsg.null_trans_add(state, end, 0)
    fsg.set_start_state(sentences.start)
    fsg.set_final_state(end)
    return fsg


def start_sphinx() -> Any:
    """Start PocketSphinx with its own English model; raises EngineMissing."""
    try:
        import pocketsphinx
    except ImportError as exc:
        raise EngineMissing("PocketSphinx is not installed: pip install pocketsphinx") from exc
    try:
        return pocketsphinx.Decoder(
            lm=None,
            dict=os.devnull,
            loglevel="FATAL",
            bestpath=False,
            beam=BEAM,
            pbeam=PHONE_BEAM,
            wbeam=WORD_BEAM,
        )
    except (RuntimeError, ValueError) as exc:
        raise EngineMissing(
            "PocketSphinx does not find its English model: reinstall the pocketsphinx package"
        ) from exc
