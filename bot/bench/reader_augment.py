"""Tagged lines made anew: other values, slips of the thumb and the ear, tails, lines said together.

Works on words with their tags, so that the tags stay right. Needs nothing but Python: it runs where the
network is trained. Chance is an argument.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate
from random import Random
from typing import Any, Final

NO_ACT: Final = "-"
NO_ROLE: Final = "-"
MOST_WORDS: Final = 44
_FORGOTTEN: Final = 0.25
"""How often a line is made without those before it, as where nobody spoke for minutes."""
_SHORTER: Final = 0.2
"""How often it is made with only the last of them."""
_BETWEEN: Final = "|"
_STRANGE: Final = 0.12
"""How often a line that stands by itself is made with any other before it."""
_MOST_BEFORE: Final = 32
_ALONE: Final = frozenset("amend undo yes no help".split())
"""Acts that stand by themselves; lines with them are not joined to others."""
_SWAPPED: Final = frozenset(
    "position side colours size_in head lure species count weight_kg length_cm speed_kn water_c depth_m"
    " ago_min clock drag_kg wind_kn wind_from sea_m angler tray tag old_colours old_size_in old_lure".split()
)
_SAME_BANK: Final = {"old_colours": "colours", "old_size_in": "size_in", "old_lure": "lure"}
_BEFORE: Final = (
    "okay", "right", "hey", "yeah", "um", "ah", "oi", "well", "boys", "skipper", "captain", "mate",
    "alright", "so", "guys", "cap", "hey skip", "okay boys", "uh", "oh", "yep", "righto", "look",
    "log it", "deck call", "listen", "hang on", "quick", "there you go", "here we go", "yo",
)  # fmt: skip
_AFTER: Final = (
    "mate", "boys", "skip", "captain", "come on", "nice one", "finally", "you beauty", "at last",
    "thanks", "please", "copy", "okay", "over", "yeah", "lads", "haha", "woohoo", "easy", "bloody hell",
    "about time", "let us go", "get some", "how good", "just like that", "i think", "for sure",
    "cheers", "got that", "lol", "now", "eh", "right", "beauty", "told you", "you legend", "everyone",
)  # fmt: skip
_UNREAL: Final = (
    "if", "imagine", "remember when", "last year", "yesterday", "what if", "on the radio",
    "he reckons", "wait until", "did you say", "almost", "nearly", "next time", "tomorrow",
    "if only", "you would think", "they said", "wish we had", "never", "should we", "do you want to",
    "who said", "on their boat", "we used to say", "in my dream", "pretend", "no more", "not yet",
)  # fmt: skip
NAMES: Final = tuple(
    "ana ben tom mia jack sam kate lucy rob jen dave mick gary steve paul maria jose luis carlos pedro"
    " juan miguel ramon diego hector pablo sofia elena joao tiago rui ines hans uwe katrin klaus lars"
    " ole nils sven pierre jean luc marie andre hiro kenji yuki taro mei lin wei ali omar fatima aisha"
    " moses juma kofi sione tavita hemi tane aroha wiremu keoni lani kai makana noa bill bob jim joe"
    " dale wade tripp earl buddy amy beth carol dawn ellen frank george harry ian jenny kevin laura"
    " nick olivia pete quinn rita sharon tim ursula vic wendy xavier yvonne zac sean liam emma noah".split()
)


@dataclass(frozen=True, slots=True)
class Word:
    """One word with what is known of it and its tags."""

    text: str
    known: int = 0
    """Bits: what the language knows of it."""
    act: str = NO_ACT
    begins: bool = False
    role: str = NO_ROLE
    mark: bool = False
    """True for punctuation."""


@dataclass(frozen=True, slots=True)
class Example:
    """One line with its tags."""

    words: tuple[Word, ...]
    flags: int = 0
    """Bits: what was going on."""
    roles_known: bool = True
    source: str = ""
    situated: bool = False
    """True where what was going on belongs to the meaning."""
    before: tuple[Word, ...] = ()
    """The words of the lines before, or their end."""

    @property
    def acts(self) -> frozenset[str]:
        """Return the acts of the line."""
        return frozenset(w.act.partition(":")[0] for w in self.words) - {NO_ACT}


def example_of(data: Mapping[str, Any]) -> Example:
    """Return an example from its JSON form."""
    words = tuple(Word(t, k, a, bool(b), r, bool(m)) for t, k, a, b, r, m in data["words"])
    before = tuple(Word(t, k, mark=bool(m)) for t, k, m in data["before"])
    return Example(words, data["flags"], data["whole"], data["source"], data["situated"], before)


@dataclass
class Mixer:
    """Makes new examples out of those it is given."""

    examples: Sequence[Example]
    slips: Mapping[str, Sequence[str]] = field(default_factory=dict)
    """Word -> what the ear makes of it."""
    flag_count: int = 0
    weights: Sequence[float] | None = None
    _bank: dict[str, list[tuple[Word, ...]]] = field(default_factory=lambda: defaultdict(list))

    def __post_init__(self) -> None:
        """Collect the values of all roles."""
        for example in self.examples:
            if example.roles_known:
                for role, start, end in runs(example.words):
                    if role in _SWAPPED:
                        self._bank[_SAME_BANK.get(role, role)].append(example.words[start:end])
        for name in NAMES:
            self._bank["angler"].append((Word(name),))
        self._name_known = next(
            (w.known for words in self._bank.get("lure", ()) for w in words if w.known), 0
        )
        self._summed = list(accumulate(self.weights or [1.0] * len(self.examples)))

    def make(self, chance: Random) -> Example:
        """Return one new example."""
        [one] = chance.choices(self.examples, cum_weights=self._summed)
        one = self._valued(one, chance)
        if not one.situated and not one.acts & _ALONE and chance.random() < 0.28:
            other = self._valued(chance.choice(self.examples), chance)
            if not other.situated and not other.acts & _ALONE:
                one = join(one, other, chance)
        elif not one.situated and one.acts - _ALONE and chance.random() < 0.03:
            one = self._unreal(one, chance)
        if not one.situated and chance.random() < 0.10:
            one = self._put_right(one, chance)
        if not one.situated and chance.random() < 0.10:
            one = _with_angler(one, chance)
        if chance.random() < 0.18:
            one = self._tailed(one, chance)
        if chance.random() < 0.30:
            one = self._slipped(one, chance)
        if chance.random() < 0.25:
            one = _unmarked(one, chance)
        if chance.random() < 0.15:
            one = _unknown(one, chance)
        if (
            not one.situated
            and self.flag_count
            and chance.random() < (0.25 if len(one.words) > 3 else 0.1)
        ):
            flags = sum(1 << n for n in range(self.flag_count) if chance.random() < 0.12)
            one = replace(one, flags=flags)
        if one.before and chance.random() < _FORGOTTEN:
            one = replace(one, before=())
        elif one.before and chance.random() < _SHORTER:
            one = replace(one, before=_last_line(one.before))
        elif not one.before and not one.situated and chance.random() < _STRANGE:
            one = replace(one, before=chance.choice(self.examples).words[-_MOST_BEFORE:])
        return one if len(one.words) <= MOST_WORDS else replace(one, words=one.words[:MOST_WORDS])

    def _valued(self, one: Example, chance: Random) -> Example:
        if not one.roles_known or chance.random() < 0.35:
            return one
        words: list[Word] = []
        last = 0
        for role, start, end in runs(one.words):
            words += one.words[last:start]
            said = one.words[start:end]
            last = end
            bank = self._bank.get(_SAME_BANK.get(role, role))
            if role in _SWAPPED and bank and chance.random() < 0.5:
                new = chance.choice(bank)
                if role in ("lure", "old_lure") and chance.random() < 0.7:
                    new = self._invented(chance)
                elif role == "angler" and chance.random() < 0.15:
                    new = (Word("".join(chance.choice("aeiourstlnmkpdbgh") for _ in range(5))),)
                first = said[0]
                said = tuple(
                    replace(w, act=first.act, begins=first.begins and n == 0, role=first.role)
                    for n, w in enumerate(new)
                )
            words += said
        words += one.words[last:]
        return replace(one, words=tuple(words))

    def _put_right(self, one: Example, chance: Random) -> Example:
        """Return a line in which a value is said wrong first and put right in the same breath."""
        found = [r for r in runs(one.words) if r[0] in _CORRECTED and self._bank.get(r[0])]
        if not found or not one.roles_known or one.acts & _ALONE:
            return one
        role, start, end = chance.choice(found)
        right = one.words[start:end]
        first = right[0]
        said = chance.choice(self._bank[role])
        wrong = tuple(
            Word(w.text, w.known, first.act, first.begins and n == 0) for n, w in enumerate(said)
        )
        between = tuple(
            Word(t, mark=True) if t in ",." else Word(t, act=first.act)
            for t in chance.choice(_RATHER).split()
        )
        right = tuple(replace(w, begins=False) for w in right)
        words = one.words
        later = chance.random() < 0.5 and not any(w.begins for w in words[end:])
        if later:  # "strike long rigger purple eight, no wait, short rigger"
            return replace(
                one, words=(*words[:start], *wrong, *_unended(words[end:]), *between, *right)
            )
        return replace(one, words=(*words[:start], *wrong, *between, *right, *words[end:]))

    def _invented(self, chance: Random) -> tuple[Word, ...]:
        """Return the name of a lure made of any words there are."""
        count = chance.choice((1, 2, 2, 2, 3))
        found: list[Word] = []
        while len(found) < count:
            word = chance.choice(chance.choice(self.examples).words)
            if not word.mark and word.text.isalpha() and len(word.text) > 2:
                found.append(Word(word.text, self._name_known))
        return tuple(found)

    def _tailed(self, one: Example, chance: Random) -> Example:
        before = _plain(chance.choice(_BEFORE)) if chance.random() < 0.5 else ()
        after: tuple[Word, ...] = ()
        if not before or chance.random() < 0.3:
            after = _plain(chance.choice(_AFTER))
            if chance.random() < 0.2:
                after = (*after, Word(chance.choice(NAMES)))
            if chance.random() < 0.6:
                after = (Word(",", mark=True), *after)
        if one.words and one.words[-1].role == "text":
            after = ()
        return replace(one, words=(*before, *one.words, *after))

    def _unreal(self, one: Example, chance: Random) -> Example:
        """Return talk: what did not happen, or is only asked."""
        words = tuple(Word(w.text, w.known, mark=w.mark) for w in one.words)
        if chance.random() < 0.35:
            while words and words[-1].mark:
                words = words[:-1]
            if not all(act.startswith("ask") or act in ("plan", "help") for act in one.acts):
                return replace(one, words=(*words, Word("?", mark=True)), roles_known=True)
            return one
        return replace(one, words=(*_plain(chance.choice(_UNREAL)), *words), roles_known=True)

    def _slipped(self, one: Example, chance: Random) -> Example:
        words = list(one.words)
        for _ in range(1 if chance.random() < 0.7 else 2):
            at = chance.randrange(len(words)) if words else -1
            if at < 0 or words[at].mark or words[at].role == "text":
                continue
            word = words[at]
            heard = self.slips.get(word.text)
            if heard and chance.random() < 0.5:
                new = chance.choice(heard).split()
            elif len(word.text) > 3 and word.text.isalpha():
                new = [mistype(word.text, chance)]
            else:
                continue
            words[at : at + 1] = [
                replace(word, text=t, known=0, begins=word.begins and n == 0)
                for n, t in enumerate(new)
            ]
        return replace(one, words=tuple(words))


def _last_line(before: tuple[Word, ...]) -> tuple[Word, ...]:
    ends = [n for n, word in enumerate(before) if word.text == _BETWEEN]
    return before[ends[-1] + 1 :] if ends else before


def _unended(words: tuple[Word, ...]) -> tuple[Word, ...]:
    while words and words[-1].mark:
        words = words[:-1]
    return words


def _with_angler(one: Example, chance: Random) -> Example:
    """Return a line of a fish that says besides who is on the rod."""
    acts = [w.act for w in one.words if w.begins]
    if len(acts) != 1 or acts[0] not in _FISHED or any(w.role == "angler" for w in one.words):
        return one
    name = chance.choice(NAMES)
    if chance.random() < 0.2:
        name = "".join(chance.choice("aeioustnrlmkdbgh") for _ in range(chance.randint(3, 7)))
    frame = chance.choice(_RODS)
    act = acts[0]

    def word(text: str) -> Word:
        return Word(name, act=act, role="angler") if text == "@" else Word(text, act=act)

    said = [word(t) for t in frame.split() if t not in ",-."]
    marks = [t for t in frame.split() if t in ",-."]
    words = _unended(one.words)
    if frame.startswith("^"):
        said = said[1:]
        rest = tuple(replace(w, begins=False) for w in words)
        return replace(one, words=(replace(said[0], begins=True), *said[1:], *rest))
    if words and words[-1].role == "text":
        return one
    return replace(one, words=(*words, *(Word(m, mark=True) for m in marks[:1]), *said))


_FISHED: Final = frozenset("strike hookup leader miss pulled_hook break_off boat release".split())
_RODS: Final = (
    ", @ is rod", ", @ is fish", "- @", ", @", ". @", ", @ on the rod", ", @ is on it", "@ has the rod",
    ", @ is got it", ", @ in the chair", ", @ is strapped in", "^ @ is", "^ @ is", "^ @ has", "for @",
    ", rod @", ", angler @", ", that is @ is", "by @", ", @ fighting it", ", @ is up", ", @ is winding",
    ", well done @", ", @ caught it", ", @ is first",
)  # fmt: skip
"""How the angler is said beside a fish; `@` is the name, `^` stands before the fish."""
_CORRECTED: Final = frozenset(
    "position side colours size_in species weight_kg length_cm count clock ago_min lure angler drag_kg"
    " speed_kn water_c depth_m wind_kn wind_from head".split()
)
_RATHER: Final = (
    ", no", ", no wait", "no wait", ", sorry", "sorry", ", i mean", "i mean", ", correction",
    "mistake correction", ", scratch that", ", make that", "make that", ", hang on", "no hold on",
    ", no no", "no i tell a lie it is", "nope", "rather", "or rather", ", my mistake", ", no it is",
    "no it was", ", not that", ", wrong", "excuse me", ". no", ", pardon", "no sorry", "actually",
    ", actually", "uh no", ", oops", "i meant", ", that is wrong", "correction it is", "hold on",
)  # fmt: skip


def runs(words: Sequence[Word]) -> list[tuple[str, int, int]]:
    """Return role, start and end of every run of words with one role in one call."""
    found: list[tuple[str, int, int]] = []
    for at, word in enumerate(words):
        if word.role == NO_ROLE:
            continue
        if found and found[-1][2] == at and found[-1][0] == word.role and not word.begins:
            found[-1] = (word.role, found[-1][1], at + 1)
        else:
            found.append((word.role, at, at + 1))
    return found


def join(one: Example, other: Example, chance: Random) -> Example:
    """Return two lines said in one breath."""
    words = one.words
    join = chance.random()
    if words and words[-1].mark and join < 0.8:
        if words[-1].text == "?" and chance.random() < 0.5:
            words = words[:-1]
    elif join < 0.45:
        words = (*words, Word(chance.choice(".,,,;!"), mark=True))
    elif join < 0.7:
        words = (*words, Word(chance.choice(("and", "and", "then", "also", "plus"))))
    return replace(
        one,
        words=(*words, *other.words),
        roles_known=one.roles_known and other.roles_known,
    )


def mistype(word: str, chance: Random) -> str:
    """Return a word with one slip of the thumb."""
    at = chance.randrange(1, len(word))
    kind = chance.random()
    if kind < 0.3 and at < len(word) - 1:
        return word[:at] + word[at + 1] + word[at] + word[at + 2 :]
    if kind < 0.6:
        return word[:at] + word[at + 1 :]
    if kind < 0.75:
        return word[:at] + word[at] + word[at:]
    if kind < 0.85:
        return word[0] + "".join(c for c in word[1:] if c not in "aeiou")
    return word[:at] + chance.choice(_NEAR.get(word[at], "aeiou")) + word[at + 1 :]


_ROWS: Final = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
_NEAR: Final = {
    c: row[max(0, n - 1) : n] + row[n + 1 : n + 2] for row in _ROWS for n, c in enumerate(row)
}


def _plain(text: str) -> tuple[Word, ...]:
    return tuple(Word(t) for t in text.split())


def _unmarked(one: Example, chance: Random) -> Example:
    keep = chance.random() < 0.3
    words = tuple(w for w in one.words if not w.mark or w.text == "?" or (keep and w.text == ","))
    return replace(one, words=words)


def _unknown(one: Example, chance: Random) -> Example:
    """Return a line of which the language knows less."""
    return replace(
        one,
        words=tuple(replace(w, known=0) if chance.random() < 0.4 else w for w in one.words),
    )


def labels_of(examples: Iterable[Example]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return all acts and roles, those of no meaning first."""
    acts = {w.act for e in examples for w in e.words} - {NO_ACT}
    roles = {w.role for e in examples for w in e.words} - {NO_ROLE}
    roles.add("angler")  # lines that are made anew name one, whether or not a corpus does
    return (NO_ACT, *sorted(acts)), (NO_ROLE, *sorted(roles))
