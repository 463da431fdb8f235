"""The ear's rules as a grammar in the W3C JSpeech Grammar Format (JSGF), for PocketSphinx.

Source of the format: JSpeech Grammar Format, W3C Note, 5 June 2000. Rules are shared, not written out:
an engine builds a smaller graph from them. Pure.
"""

from collections.abc import Mapping

from bot.calls.ear import ROOT
from bot.calls.template import Alt, Node, Ref, Seq, Word


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
