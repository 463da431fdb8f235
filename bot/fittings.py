"""What a desk stands on, made from the settings: the call language, the boat, the ear.

The only place that joins `calls` with `speech`. The log is not opened here, and an engine is started
only when the first recording comes.
"""

import logging
import os
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import astuple, dataclass, field, replace
from functools import cache, lru_cache, partial
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unicodedata import combining, normalize

from bot.collector import collector_off
from bot.settings import Settings
from bot.shipped import grammar_texts
from bot.tackle.crew_units import CrewUnits
from bot.tackle.items import Boat, Lure, Outfit, Spool
from bot.transcript import Transcript

if TYPE_CHECKING:
    from bot.calls.language import Language
    from bot.calls.reader.network import Network
    from bot.calls.reader.trust import Trust
    from bot.calls.word_model import WordModel
    from bot.speech.engine import Engine, EngineGrammar
    from bot.speech.models import ChosenEngine
    from bot.speech.spotter import Spotter
    from bot.speech.workers import Workers
    from bot.tackle.colour_words import ColourWords

_log = logging.getLogger(__name__)

OwnWords = dict[str, dict[str, tuple[str, ...]]]

_PART = re.compile(r"[a-z']+|\d{1,9}")
_SPEAKABLE = re.compile(r"[a-z]+(?:['-][a-z]+)*'?")
_ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen"
    " fifteen sixteen seventeen eighteen nineteen"
).split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()


def boat_of(found: Settings) -> Boat:
    """Return the boat that the settings describe."""
    outfits = tuple(
        Outfit(
            o.position,
            o.line_class_kg,
            strike_drag_kg=o.strike_drag_kg,
            line_m=o.line_m,
            hook_gauge=o.hook_gauge,  # type: ignore[arg-type]
            spool=Spool(*astuple(o.spool)) if o.spool else None,
            double_m=o.double_m,
        )
        for o in found.outfits
    )
    return Boat(
        found.boat.timezone, found.boat.positions, outfits, tuple(found.words.colours),
        found.boat.usual_kn, found.boat.name,
        CrewUnits(found.boat.units == "imperial") if found.boat.units else None,
    )  # fmt: skip


def own_words(found: Settings, lures: Iterable[Lure]) -> OwnWords:
    """Return the boat's own words by table of the grammar: meaning to spoken forms."""
    said = found.words
    names = {lure.name: spoken_forms(lure.name) for lure in lures}
    for name, forms in said.nicknames.items():
        names[name] = (*names.get(name, ()), *forms)
    positions: dict[str, tuple[str, ...]] = {p: (p,) for p in found.boat.positions}
    positions |= {p: (p, *forms) for p, forms in said.positions.items()}
    return {
        "position": positions,
        "both": _together(found.boat.positions),
        "colour": {c: (c, *forms) for c, forms in said.colours.items()},
        "species": {s: (s, *forms) for s, forms in said.species.items()},
        "name": names,
    }


def _together(positions: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Return what "both riggers" are where the boat names its riggers otherwise than is usual."""
    found: dict[str, tuple[str, ...]] = {}
    for kind in ("corner", "rigger"):
        pair = [p for p in positions if p.endswith(f" {kind}")]
        if len(pair) == 2 and not {f"short {kind}", f"long {kind}"} & set(pair):
            found[", ".join(pair)] = tuple(
                f"{w} {kind}s" for w in ("both", "both the", "the", "two")
            )
    return found


def clashes(
    found: Settings, lures: Iterable[Lure], only: frozenset[str] | None = None
) -> tuple[str, ...]:
    """Return which of the boat's own words mean something else already, one line each with the mend.

    `only` names those that are wanted (lures, positions, colours, fish); None wants all.
    """
    from bot.calls.selfcheck import collisions
    from bot.tackle.trays import STANDBY

    named = (lure for lure in lures if lure.name.casefold() not in STANDBY)  # meant to be so called
    own = own_words(found, named)
    del own["both"]
    return collisions(_language(_Wanted((), found.home, False)).grammar, own, only)


@lru_cache(maxsize=2)
def _tables(text: str) -> Mapping[str, Any]:
    return tomllib.loads(text)


def colour_words(own: Mapping[str, Iterable[str]]) -> "ColourWords":
    """Return how colours and heads may be written in a table of lures; `own` are the boat's colours."""
    from bot.tackle.colour_words import ColourWords

    words = _tables(grammar_texts()["words.toml"])
    meant: dict[str, str] = {}
    for table in (words["shade"], words["colour"], own):
        for colour, forms in table.items():
            meant |= dict.fromkeys(
                (colour.casefold(), *(f.casefold() for f in forms)), colour.casefold()
            )
    aside = words["colour_aside"]
    heads = {form: head for head, forms in words["head"].items() for form in forms}
    return ColourWords(meant, frozenset(aside["tint"]), frozenset(aside["join"]), heads)


def spoken_forms(name: str) -> tuple[str, ...]:
    """Return the ways in which a written name is said: without marks and accents, figures as words too."""
    bare = "".join(c for c in normalize("NFKD", name.casefold()) if not combining(c))
    parts = _PART.findall(bare.replace("\u2019", "'"))
    said = " ".join(in_words(int(p)) if p.isdecimal() else p.strip("'") for p in parts)
    written = " ".join(p.strip("'") for p in parts)
    return tuple(form for form in dict.fromkeys((" ".join(said.split()), written)) if form)


def in_words(value: int) -> str:
    """Return a whole number below 1000 in words; a longer one figure by figure."""
    if value >= 1000:
        return " ".join(in_words(int(figure)) for figure in str(value))
    hundreds, rest = divmod(value, 100)
    words = [_ONES[hundreds], "hundred"] if hundreds else []
    if rest >= 20:
        words += [_TENS[rest // 10 - 2], *([_ONES[rest % 10]] if rest % 10 else [])]
    elif rest or not hundreds:
        words.append(_ONES[rest])
    return " ".join(words)


def language_of(found: Settings, lures: Iterable[Lure], *, keep: bool = True) -> "Language":
    """Make the call language with the boat's own words; raises GrammarError.

    The same words give the same language, so several desks of one process share it. What was compiled is
    kept in the home, if that is there and `keep` is not False.
    """
    own = own_words(found, lures)
    aboard: dict[str, tuple[str, ...]] = {name: (name.casefold(),) for name in found.boat.crew}
    own |= {"aboard": aboard} if aboard else {}
    return _language(
        _Wanted(
            tuple((kind, tuple(sorted(said.items()))) for kind, said in sorted(own.items())),
            found.home,
            keep,
        )
    )


@dataclass(frozen=True, slots=True)
class _Wanted:
    """The words of a language, and where what is compiled of them is kept."""

    own: tuple[tuple[str, tuple[tuple[str, tuple[str, ...]], ...]], ...]
    home: Path = field(compare=False)
    keep: bool = field(compare=False)


@lru_cache(maxsize=4)
def _language(wanted: _Wanted) -> "Language":
    from bot.calls.completed_ways import missing_positions
    from bot.calls.grammar import load
    from bot.calls.language import Language
    from bot.compiled import kept_grammar

    texts = grammar_texts()
    with collector_off():
        grammar = kept_grammar(
            wanted.home,
            (texts, wanted.own),
            lambda: load(texts, {kind: dict(said) for kind, said in wanted.own}),
            keep=wanted.keep,
        )
        lines = [name for kind, said in wanted.own if kind == "position" for name, _ in said]
        made = Language(grammar, Sounds(), _sounded_out, *learned_reader())
        return replace(made, lacks=missing_positions(lines), word_model=word_model)


@cache
def learned_reader() -> "tuple[Network, Trust]":
    """Return the learned reader that the package carries, and how far it is trusted."""
    from bot.calls.reader.forest import load as load_forest
    from bot.calls.reader.network import load as load_network
    from bot.calls.reader.trust import trust_of

    _one_blas_thread()
    held = files("bot.calls.reader")
    return (
        load_network(*((held / f"reader_{one}.npz").read_bytes() for one in "ab")),
        trust_of(
            (held / "trust.json").read_text(encoding="utf-8"),
            load_forest((held / "trust.npz").read_bytes()),
        ),
    )


@cache
def word_model() -> "WordModel":
    """Return how likely lines are as words of a deck, for what was heard."""
    from bot.calls.word_model import load

    return load((files("bot.calls") / "words.npz").read_bytes())


def _one_blas_thread() -> None:
    """Let numpy multiply with one thread: the matrices are small, and threads cost more than they save."""
    if os.environ.get("OPENBLAS_NUM_THREADS") == "1":  # it was loaded so
        return
    from threadpoolctl import threadpool_limits

    threadpool_limits(1, user_api="blas")


class Sounds(Mapping[str, tuple[str, ...]]):
    """The pronouncing dictionary, read when the first word is looked up."""

    def __getitem__(self, word: str) -> tuple[str, ...]:
        return _dictionary()[word]

    def __iter__(self) -> Iterator[str]:
        return iter(_dictionary())

    def __len__(self) -> int:
        return len(_dictionary())

    def __contains__(self, word: object) -> bool:
        return word in _dictionary()


def _dictionary() -> Mapping[str, tuple[str, ...]]:
    """Return how words are said; nothing where the package with the dictionary is missing."""
    from bot.errors import EngineMissing
    from bot.speech.pronunciations import pronunciations

    try:
        return pronunciations()
    except EngineMissing as exc:
        _log.info("%s; words are compared by how they are spelt", exc)
        return {}


def _sounded_out(word: str) -> str:
    from bot.speech.pronunciations import sounded_out

    return sounded_out(word, _dictionary())


def ear_grammar(words: "Language") -> "EngineGrammar":
    """Return what the engines may hear, in the forms that they take."""
    from bot.calls.ear import ear_rules, jsgf
    from bot.calls.sample import phrases
    from bot.speech.engine import EngineGrammar

    rules = ear_rules(words.grammar, lambda word: _SPEAKABLE.fullmatch(word) is not None)
    pronounced = tuple(
        (word, phones) for word, forms in words.grammar.sounds.items() for phones in forms
    )
    return EngineGrammar(jsgf(rules), phrases(rules), pronounced)


@dataclass(slots=True)
class Ear:
    """The speech engine of the settings, started when it is first needed."""

    settings: Settings
    engine: "Engine | None" = None
    workers: "Workers | None" = None
    """Where recordings are heard instead, if not in this process."""
    _grammar: "EngineGrammar | None" = None
    _grammar_of: "Language | None" = None
    _prepared: "EngineGrammar | None" = None

    def hear(self, sound: bytes, name: str, words: "Language") -> Transcript:
        """Return what a recording says; raises AudioError where it cannot be used, EngineError."""
        if self.workers is not None:
            return self.workers.hear(sound, name, self.grammar(words)).result()
        from bot.speech.audio import to_pcm

        pcm = to_pcm(sound, name, self.settings.speech.max_s)
        engine = self.ready(words)
        return engine.transcribe(pcm)

    def grammar(self, words: "Language") -> "EngineGrammar":
        """Return what may be heard of a language, made once for the language in use."""
        if self._grammar is None or self._grammar_of is not words:
            self._grammar, self._grammar_of = ear_grammar(words), words
        return self._grammar

    def ready(self, words: "Language") -> "Engine":
        """Return the engine, ready for a language; it keeps what it has compiled by digest."""
        if self.engine is None:
            self.engine = open_engine(self.settings)
        grammar = self.grammar(words)
        if self._prepared is not grammar:
            self.engine.prepare(grammar)
            self._prepared = grammar
        return self.engine


def ear_workers(found: Settings) -> "Workers":
    """Return the ears in processes of their own that the settings want; none is started yet."""
    from bot.speech.workers import EarLimits, Workers

    said = found.speech
    limits = EarLimits(said.workers, said.queue, said.give_up_s, said.max_s)
    return Workers(partial(open_engine, found), limits)


def open_spotter(found: Settings, words: "Language") -> "Spotter":
    """Return what finds the boat's wake phrase; raises SettingsError where the phrase is of no use."""
    from bot.speech.spotter import SphinxSpotter, vosk_spotter, ways_of
    from bot.speech.wake_phrase import check

    said = found.listen
    called = ear_grammar(words).phrases
    check(said.wake, called, ways_of, "[listen] wake")
    used = _chosen(found)
    if used.engine == "vosk" and used.folder is not None:
        return vosk_spotter(used.folder, said.wake, called, said.strictness)
    return SphinxSpotter(said.wake, said.strictness)


def open_engine(found: Settings) -> "Engine":
    """Start the engine that the settings choose; raises EngineError."""
    from bot.speech.models import plain_whisper

    used = _chosen(found)
    if used.engine == "whisper":
        from bot.speech.open_ear import OpenEngine

        return OpenEngine(plain_whisper(found.home))
    return _grammar_engine(used.engine, used.folder)


def _chosen(found: Settings) -> "ChosenEngine":
    """Return the engine to use; what keeps the one that was set from it is said."""
    from bot.speech.models import choose_hearing

    used = choose_hearing(found.speech.engine, found.speech.model, found.home)
    if used.trouble:
        _log.warning("%s; meanwhile %s hears", used.trouble, used.engine)
    return used


def open_grammar_engine(found: Settings) -> "Engine":
    """Start what hears the sentences of any grammar and nothing else; raises EngineError."""
    used = _chosen(found)
    return _grammar_engine(used.engine, used.folder)


def _grammar_engine(chosen: str, folder: Path | None) -> "Engine":
    if chosen == "vosk" and folder is not None:
        from bot.speech.vosk_engine import VoskEngine

        return VoskEngine(folder)
    from bot.speech.sphinx_engine import SphinxEngine

    return SphinxEngine()
