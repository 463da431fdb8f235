"""A grammar with the boat's own words, ready for use.

Made once for a tackle box and a set of positions; `understand` and what it calls are given it. Pure.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from bot.calls.grammar import Grammar, load
from bot.calls.meant.reader import Reader
from bot.calls.numbers import WORDS
from bot.calls.reader.network import Network
from bot.calls.reader.trust import Trust
from bot.calls.repair import Repairer, phrases_of
from bot.calls.short_names import with_full_names, with_marks, with_whole_names
from bot.calls.template import Node, pairs_of
from bot.calls.times import AGO_WORDS as SPANS
from bot.calls.tokens import tokenise
from bot.calls.word_classes import classes_of
from bot.calls.word_model import WordModel


@dataclass
class Language:
    """A grammar with the boat's own words, ready to understand; what it caches changes no answer."""

    grammar: Grammar
    pronunciations: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    sound_out: Callable[[str], str] | None = None
    network: Network | None = None
    """The learned reader; without it the grammar reads alone."""
    trust: Trust | None = None
    crew: frozenset[str] = frozenset()
    """Names of people aboard, in small letters, that are no short names of lures."""
    lacks: frozenset[str] = frozenset()
    """The usual positions that the boat has not, which has names of its own for its lines."""
    word_model: Callable[[], WordModel] | None = None
    """Loads how likely lines are as words, when the first recording is read; None weighs sounds alone."""
    whole: "Language | None" = None
    """The language without a crew that this one is made of."""

    def with_crew(self, names: Iterable[str]) -> "Language":
        """Return the language in which people aboard are no lures: with a Jules, "Jules" is no Little Jules.

        The same language where no lure is called so in short.
        """
        low = (name.casefold() for name in names)
        crew = frozenset(name for name in low if name in self.grammar.ends)
        if not crew:
            return self
        if crew not in self._of_crews:
            self._of_crews[crew] = replace(self, crew=crew, whole=self)
        return self._of_crews[crew]

    @cached_property
    def _of_crews(self) -> "dict[frozenset[str], Language]":
        return {}

    @cached_property
    def _ends(self) -> dict[str, str]:
        """Return the short names of lures, and the name of each as it is said whole."""
        return {end: whole for end, whole in self._parts.items() if whole.endswith(f" {end}")}

    @cached_property
    def _parts(self) -> dict[str, str]:
        """Return ends and first words of names, and the name of each as it is said whole."""
        return {part: whole for part, whole in self.grammar.ends.items() if part not in self.crew}

    @cached_property
    def _names(self) -> tuple[str, ...]:
        """Return how the lures of the box are called."""
        return tuple(form for said in self.grammar.words.get("name", {}).values() for form in said)

    @cached_property
    def _places(self) -> tuple[str, ...]:
        """Return how lines are called, in one word and more."""
        said = self.grammar.words["position"].values()
        several = (form for forms in said for form in forms if " " in form)
        return (*several, *self.grammar.lists["short_places"])

    @cached_property
    def fish(self) -> frozenset[str]:
        """Return the words that a fish's name begins with."""
        forms = (form for said in self.grammar.words["species"].values() for form in said)
        return frozenset(form.split()[0] for form in forms)

    @cached_property
    def repairer(self) -> Repairer:
        """Return the repairer, made when the first line needs one."""
        if self.whole is not None:
            return self.whole.repairer
        grammar = self.grammar
        forms = [
            " ".join(t.text for t in tokenise(form, grammar.spelling))
            for table in grammar.words.values()
            for said in table.values()
            for form in said
        ]
        pairs = (" ".join(pair) for node in _ears(grammar) for pair in pairs_of(node))
        return Repairer(
            grammar.vocabulary | frozenset(WORDS) | grammar.lists["units"],
            self.pronunciations,
            phrases_of((*forms, *pairs)),
            grammar.heard,
            grammar.sounds,
            self.sound_out,
            grammar.lists,
        )

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Return the words of the call language, none of which is taken for a name."""
        listed = (word for words in self.grammar.lists.values() for word in words)
        return self.grammar.vocabulary | frozenset(listed) | frozenset(WORDS)

    @cached_property
    def own_words(self) -> frozenset[str]:
        """Return the words of which the boat's own names are made: of lures, lines, people."""
        tables = (self.grammar.words.get(kind, {}) for kind in ("name", "position", "aboard"))
        forms = (form for table in tables for said in table.values() for form in said)
        return frozenset(word for form in forms for word in form.lower().split())

    @cached_property
    def word_classes(self) -> dict[str, str]:
        """Return the words that the model of words has as classes."""
        return classes_of(self.grammar)

    @cached_property
    def reader(self) -> Reader:
        """Return the reader of what words mean beyond the slots of calls."""
        grammar, known = self.grammar, self.pronunciations
        return Reader(
            grammar.signs, grammar.vocabulary, SPANS | frozenset(WORDS) | grammar.lists["units"],
            lambda word: word in known, grammar.heard, self.in_full,
        )  # fmt: skip

    def in_full(self, line: str) -> str:
        """Return a line with lures by their whole names: "the quilt" is the Grandma's Quilt."""
        lists = self.grammar.lists
        before, behind = lists["before_end_of_name"], lists["behind_end_of_name"]
        line = with_full_names(with_marks(line, self._names), self._ends, before, behind)
        return with_whole_names(line, self._parts, self._names, self._places, lists["list_words"])


def _ears(grammar: Grammar) -> list[Node]:
    return [node for nodes in grammar.ears.values() for node in nodes]


def language(
    texts: Mapping[str, str],
    extra: Mapping[str, Mapping[str, Iterable[str]]] | None = None,
    pronunciations: Mapping[str, tuple[str, ...]] | None = None,
    sound_out: Callable[[str], str] | None = None,
    network: Network | None = None,
    trust: Trust | None = None,
) -> Language:
    """Make a language of grammar files (name -> text), the boat's own words (table -> meaning -> spoken
    forms; tables `position`, `colour`, `species`, `name` ...), a pronouncing dictionary, and a rule for
    words that it lacks. Raises GrammarError.
    """
    known = (
        {} if pronunciations is None else pronunciations
    )  # its length is not asked: that reads it
    return Language(load(texts, extra), known, sound_out, network, trust)
