"""The same call language for hassil, a general-purpose intent parser, so that two parsers can be compared.

Made from the same grammar files, as an engineer who uses it would do by hand: each wording of an act is
a sentence with the phrases that may go with it before and behind, tables of words are lists, numbers
with units are lists with their values, notes are wildcards. A breath with several calls is cut at its
stops and joins where the whole is none. Only the benches know hassil.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from hassil import Intents, RecognizeResult, recognize_best

from bot.bench.hassil_lists import number_lists, tackle_classes
from bot.calls.tokens import Token, tokenise
from bot.trip.acts import TAKES
from bot.trip.call import Call

SKIPPED: Final = (
    "please okay captain skipper boys guys folks mate uh um er omg hey well so just now".split()
)
"""Words that hassil may leave out anywhere; those that wordings need ("on", "up", "it") are not here."""
_MADE: Final = {
    "{where}": "<where>", "{lure}": "<lure>", "{old}": "<old>", "{fish}": "<fish>",
    "{when}": "<when>", "{side}": "{side}", "{ofwhen}": "<when>", "{ofwhere}": "<where>",
    "{offish}": "<fish>", "{hour}": "{clock}",
    "{damage}": "<damage>", "{state}": "<state_said>", "{colours}": "<colours>",
    "{inches}": "<inches>", "{depth}": "{depth}", "{degrees}": "{degrees}",
    "{degreesbare}": "({degrees}|{degreesbare})", "{tenths}": "{degreesbare}",
    "{knots}": "{knots}", "{knotsbare}": "({knots}|{knotsbare})", "{boatword}": "<boatword>",
    "{waterwhat}": "{what}", "{alltext}": "{text}", "{worktext}": "{text}",
    "{tagno}": "tag [number] [is|was] {text:tag}", "{tagdigits}": "{text:tag}", "{wave}": "<wave>",
    "{reminder}": "<reminder>",
    "{act}": "(strike|bite|hook up|release|raise)", "{colourfish}": "{colourfish:species}",
    "{count}": "{count}", "{pair}": "{pair:count}", "{times}": "{times:count}", "{ago}": "<ago>",
    "{clock}": "<clock>", "{sureclock}": "{sureclock:clock}",
}  # fmt: skip
_PHRASES: Final = {
    "position": "<where>", "side": "<side>", "colours": "<lure>", "species": "<fish>",
    "count": "<counted>", "weight_kg": "{weight}", "length_cm": "{length}", "ago_min": "<when>",
    "tag": "tag [number] {text:tag}", "about": "(by|per|for each) {about}",
}  # fmt: skip
"""A slot that an act takes -> the phrase that may stand before or behind its wording."""


@dataclass(frozen=True, slots=True)
class Hassil:
    """The intents with what the text needs before it is matched."""

    intents: Intents
    spelling: Mapping[str, tuple[str, ...]]

    def calls(self, line: str) -> tuple[Call, ...]:
        """Return the calls of a line, none where no sentence fits."""
        tokens = tokenise(line, self.spelling)
        whole = self._matched(tokens, line)
        if whole is not None:
            return whole
        found: list[Call] = []
        parts = list(_parts(tokens))
        for part in parts if len(parts) > 1 else ():
            calls = self._matched(part, line)
            if calls is None:
                return ()
            found += calls
        return tuple(found)

    def _matched(self, tokens: Sequence[Token], line: str) -> tuple[Call, ...] | None:
        text = " ".join(t.text for t in tokens)
        result = recognize_best(text, self.intents) if text else None
        found = tuple(_calls(result, tokens, line)) if result is not None else ()
        return found if found and found != (Call("amend"),) else None


def hassil_of(texts: Mapping[str, Any], names: Mapping[str, Sequence[str]]) -> Hassil:
    """Make the intents of parsed grammar files (`words`, `rules`, `calls`) and the names of a box."""
    words, rules, calls = texts["words"], texts["rules"], texts["calls"]
    lists: dict[str, Any] = {
        kind: _values((form, meaning) for meaning, forms in words[kind].items() for form in forms)
        for kind in ("position", "both", "side", "colour", "head", "species", "what", "about")
    }
    lists["what"] = _values(
        (f, m) for m, forms in words["what"].items() if m != "boat" for f in forms
    )
    lists["tackle"] = _values(
        (*tackle_classes(), *((f, m) for m, forms in words["tackle"].items() for f in forms))
    )
    lists["name"] = _values((f, name) for name, forms in names.items() for f in forms)
    lists["colourfish"] = _values((c, f"{c} marlin") for c in ("blue", "black"))
    lists["text"] = {"wildcard": True}
    lists |= {name: _values(pairs) for name, pairs in number_lists()}
    data = {
        "language": "en",
        "lists": lists,
        "expansion_rules": _rules(words, rules),
        "skip_words": SKIPPED,
        "intents": {act: {"data": list(_data(act, table))} for act, table in calls.items()},
    }
    spelling = {k: tuple(v.split()) for k, v in words["spelling"].items()}
    return Hassil(Intents.from_dict(data), spelling)


def _values(pairs: Any) -> dict[str, Any]:
    seen = {_plain(form): out for form, out in pairs}
    return {"values": [{"in": form, "out": out} for form, out in seen.items()]}


def _plain(form: str) -> str:
    return re.sub(r"[(){}\[\]<>|;\\]", " ", form)


_LEAN: Final = {
    "det": "(the|a|an|our|my|that)", "prep": "(on|off|from|to|at|in|for|with|behind|over|by)",
    "rod": "(rod|reel|line|lure|clip)", "noun": "(lure|one|skirt|head)",
    "adj": "(nice|good|big|small|little|solid|huge|massive|decent|another)",
    "where": "[<prep>] [<det>] [{side}] ({position}|{both}) [<rod>]",
    "fish": "[<det>] [{count}] [<adj>] ({species}|{colourfish:species})",
    "lead": "(right|okay|captain|yeah|hey)",
    "colours": "{colour} [[and|over|with|/] {colour}] [[and|over|with|/] {colour}]",
    "inches": "{size} (inch|inches|in|incher)", "ago": "{ago}", "clock": "{clock} [{half}]",
}  # fmt: skip
"""Rules kept short: hassil tries every alternative of a rule at every place (measured: 2.5 times faster
than with all of the grammar's, and as many lines right)."""


def _rules(words: Mapping[str, Any], rules: Mapping[str, Any]) -> dict[str, str]:
    found = {name: _made(text) for name, text in rules["piece"].items()}
    for name in ("side", "lure", "when", "damage", "wave", "reminder", "count", "state"):
        made = "(" + "|".join(_made(t) for t in rules["slot"][name]) + ")"
        found[{"state": "state_said", "count": "counted"}.get(name, name)] = made
    found |= _LEAN
    found["boatword"] = "(" + "|".join(words["what"]["boat"]) + ")"
    old = found["lure"].replace("<colours>", "<old_colours>").replace("<inches>", "<old_inches>")
    old = old.replace("{size}", "{size:old_size}").replace("{name}", "{name:old_lure}")
    found["old"] = old.replace("{head}", "{head:old_head}")
    found["old_colours"] = found["colours"].replace("{colour}", "{colour:old_colour}")
    found["old_inches"] = found["inches"].replace("{size}", "{size:old_size}")
    return found


def _made(text: str) -> str:
    """Turn a template of the grammar into one of hassil: the slots that code makes become rules."""
    return re.sub(r"\{[a-z_]+\}", lambda m: _MADE.get(m[0], m[0]), text).replace("*|", "").strip()


def _data(act: str, table: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    before, behind = _around(act)
    loose = [f"[<lead>] {before} {_made(t)} {behind}" for t in table.get("say", ())]
    loose += [f"[<lead>] {_made(t)} {behind}" for t in table.get("opens", ())]
    loose += [f"[<lead>] {before} {_made(t)}" for t in table.get("alone", ())]
    loose += [f"[<lead>] {_made(t)}" for t in table.get("whole", ())]
    if act == "set":
        loose += ["[<lead>] <where> <lure> [<when>]", "[<lead>] <lure> <where> [<when>]"]
    if act == "strike":
        loose.append("[<lead>] <where> <where>")
    yield {"sentences": loose}
    for form in table.get("form", ()):
        given = {k: v for k, v in form["gives"].items() if not k.startswith("of_")}
        sentences = [f"[<lead>] {before} {_made(t)} {behind}" for t in form["say"]]
        yield {"sentences": sentences, "slots": given}


def _around(act: str) -> tuple[str, str]:
    """Return the phrases that may go with an act, before its wording and behind it."""
    takes = TAKES.get(act, frozenset(_PHRASES) | {"speed_kn"})
    fit = list(dict.fromkeys(phrase for slot, phrase in _PHRASES.items() if slot in takes))
    if not fit:
        return "", ""
    one = "[" + "|".join(fit) + "]"
    return one, f"{one} {one} {one}"


def _parts(tokens: Sequence[Token]) -> Iterator[Sequence[Token]]:
    """Cut a line at its stops and at "and" and "then"."""
    start = 0
    for n, token in enumerate(tokens):
        join = token.text in ("and", "then")
        if n > start and (token.stop or join):
            yield tokens[start:n]
            start = n + join
    if start < len(tokens):
        yield tokens[start:]


def _calls(result: RecognizeResult, tokens: Sequence[Token], line: str) -> Iterator[Call]:
    """Yield the calls of a match: slots by their names, "both riggers" as two."""
    act: Any = result.intent.name
    slots: dict[str, Any] = {}
    colours: dict[str, list[str]] = {"colours": [], "old_colours": []}
    positions: list[str] = []
    for entity in result.entities_list:
        name, value = entity.name, entity.value
        if name in ("colour", "old_colour"):
            listed = colours[f"{name}s"]
            listed += [value] if value not in listed else []
        elif name == "both":
            positions = [p.strip() for p in value.split(",")]
        elif name in ("text", "tag") and entity.is_wildcard:
            slots[name] = _said(entity.text_clean, tokens, line)
        else:
            slots.setdefault(_SLOT.get(name, name), value)
    slots |= {k: tuple(v) for k, v in colours.items() if v}
    slots |= {k: v for k, v in result.intent_data.slots.items() if k not in slots}
    _finished(act, slots)
    takes = TAKES.get(act, frozenset(Call.__dataclass_fields__))
    slots = {k: v for k, v in slots.items() if k in takes and k in Call.__dataclass_fields__}
    for more in [{"position": p} for p in positions] or [{}]:
        yield Call(act, **(slots | more))


_SLOT: Final = {
    "size": "size_in", "old_size": "old_size_in", "name": "lure", "weight": "weight_kg",
    "length": "length_cm", "depth": "depth_m", "degrees": "water_c", "degreesbare": "water_c",
    "knots": "speed_kn", "knotsbare": "speed_kn", "ago": "ago_min",
}  # fmt: skip


_DIGITS: Final = {
    word: str(n)
    for n, words in enumerate(("zero oh", "one", "two", "three", "four", "five", "six", "seven",
                               "eight", "nine"))
    for word in words.split()
}  # fmt: skip


def _finished(act: str, slots: dict[str, Any]) -> None:
    """Put right what a list cannot say: afternoons, single fish, tags, inches of a fish."""
    if slots.get("half") == "pm" and "clock" in slots and int(slots["clock"][:2]) < 12:
        slots["clock"] = f"{int(slots['clock'][:2]) + 12}{slots['clock'][2:]}"
    if slots.get("count") == 1:
        del slots["count"]
    if slots.get("ago_min") == 0:
        del slots["ago_min"]
    if "tag" in slots:
        slots["tagged"] = True
        digits = (_DIGITS.get(word, word) for word in slots["tag"].split())
        slots["tag"] = re.sub(r"\W", "", "".join(digits)).upper()
    if act in ("boat", "release") and "size_in" in slots:
        slots.setdefault("length_cm", round(slots.pop("size_in") * 2.54, 1))
    tackle = slots.get("tackle")
    if isinstance(tackle, str) and tackle.isdigit():
        slots["tackle"] = float(tackle)


def _said(text: str, tokens: Sequence[Token], line: str) -> str:
    """Return free text as it stood in the line."""
    words = text.split()
    for n in range(len(tokens) - len(words) + 1):
        if [t.text for t in tokens[n : n + len(words)]] == words:
            return line[tokens[n].start : tokens[n + len(words) - 1].end]
    return text
