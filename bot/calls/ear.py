"""What the speech engines listen for: the wordings under `ear` with their slots filled in, as rules.

One set of rules from which the JSGF grammar, the phrase list and the sample sentences are made, so that
they cannot differ. The grammar is written in the W3C JSpeech Grammar Format (JSGF), for PocketSphinx: rules
are shared, not written out, so that an engine builds a smaller graph from them. Source of the format: JSpeech
Grammar Format, W3C Note, 5 June 2000. Pure.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from bot.calls.grammar import KINDS, Grammar
from bot.calls.template import Alt, Node, Ref, Seq, Slot, Word, words_in

ROOT: Final = "call"

Speakable = Callable[[str], bool]


def ear_rules(grammar: Grammar, speakable: Speakable = lambda _: True) -> dict[str, Node]:
    """Return the rules (name -> tree with `Ref`s); `call` is the root, `act_...` stands for each act,
    `asked_...` for questions that are no calls.

    `speakable` says whether an engine can be given a word; a form with another word is left out.
    """
    rules: dict[str, Node] = {}
    acts = []
    for act, nodes in grammar.ears.items():
        if nodes:
            rules[f"act_{act}"] = _referring(_choice(nodes))
            acts.append(Ref(f"act_{act}"))
    for name, nodes in grammar.ear_asked.items():
        rules[f"asked_{name}"] = _referring(_choice(nodes))
        acts.append(Ref(f"asked_{name}"))
    rules[ROOT] = Alt(tuple(acts))
    for kind in (*KINDS, "name", *grammar.ear_some):
        forms = [f for f in _forms(grammar, kind) if all(map(speakable, f.split()))]
        if forms:
            rules[kind] = _choice([_words(form) for form in forms])
    for name, node in grammar.ear_pieces.items():
        rules[name] = _referring(node)
    return _pruned(rules)


def _forms(grammar: Grammar, kind: str) -> Iterable[str]:
    of, but = grammar.ear_some.get(kind, (kind, ()))
    table = {m: forms for m, forms in grammar.words.get(of, {}).items() if m not in but}
    first = [forms[0] for forms in table.values() if forms]
    spoken = first if kind != "name" else [f for forms in table.values() for f in forms]
    if kind == "tackle":
        spoken = [f for f in spoken if not f[0].isdigit()]
    return dict.fromkeys((*spoken, *grammar.ear_also.get(kind, ())))


def _choice(nodes: Iterable[Node]) -> Node:
    listed = tuple(nodes)
    return listed[0] if len(listed) == 1 else Alt(listed)


def _words(form: str) -> Node:
    return Seq(tuple(Word(w) for w in form.split()))


def _referring(node: Node) -> Node:
    match node:
        case Slot(name):
            return Ref(name)
        case Seq(parts):
            return Seq(tuple(_referring(p) for p in parts))
        case Alt(choices):
            return Alt(tuple(_referring(c) for c in choices))
        case _:
            return node


def _pruned(rules: Mapping[str, Node]) -> dict[str, Node]:
    """Take out what refers to rules that are not there (no lure has a name), and what nothing uses."""
    kept = dict(rules)
    changed = True
    while changed:
        changed = False
        for name, node in list(kept.items()):
            left = _without(node, kept)
            if left is None:
                del kept[name]
                changed = True
            elif left != node:
                kept[name] = left
                changed = True
    used, todo = {ROOT}, [ROOT]
    while todo:
        for ref in _refs(kept[todo.pop()]):
            if ref not in used:
                used.add(ref)
                todo.append(ref)
    return {name: node for name, node in kept.items() if name in used}


def _without(node: Node, rules: Mapping[str, Node]) -> Node | None:
    match node:
        case Ref(name):
            return node if name in rules else None
        case Seq(parts):
            left = [_without(p, rules) for p in parts]
            return None if None in left else Seq(tuple(p for p in left if p is not None))
        case Alt(choices):
            found = [c for c in (_without(c, rules) for c in choices) if c is not None]
            return _choice(found) if any(c != Seq(()) for c in found) else None
        case _:
            return node


def _refs(node: Node) -> Iterable[str]:
    match node:
        case Ref(name):
            yield name
        case Seq(parts):
            for part in parts:
                yield from _refs(part)
        case Alt(choices):
            for choice in choices:
                yield from _refs(choice)
        case _:
            return


def ear_words(rules: Mapping[str, Node]) -> tuple[str, ...]:
    """Return every word that the engines may hear, sorted."""
    return tuple(sorted(words_in(rules.values())))


def jsgf(rules: Mapping[str, Node], name: str = "deckcall") -> str:
    """Write rules as one JSGF grammar with the public rule <call>."""
    lines = ["#JSGF V1.0 UTF-8 en;", f"grammar {name};", ""]
    lines.append(f"public <{ROOT}> = {_written(rules[ROOT])};")
    lines += [f"<{n}> = {_written(node)};" for n, node in sorted(rules.items()) if n != ROOT]
    return "\n".join(lines) + "\n"


def _written(node: Node) -> str:
    match node:
        case Word(text):
            return text
        case Ref(name):
            return f"<{name}>"
        case Seq(parts):
            return " ".join(_grouped(p) for p in parts if p != Seq(()))
        case Alt(choices):
            said = [_written(c) for c in choices if c != Seq(())]
            joined = " | ".join(said)
            return f"[{joined}]" if Seq(()) in choices else f"({joined})"
        case _:
            raise TypeError(f"{node} has no place in the ear's rules")


def _grouped(node: Node) -> str:
    return _written(node)
