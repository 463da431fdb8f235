"""What can be read off a W3C JSpeech Grammar Format text without an engine: its words and names.

Reads only as much of the format (W3C Note of 5 June 2000) as the engines need before they load it.
"""

import re

_COMMENT = re.compile(r"/\*.*?\*/|//[^\n]*", re.DOTALL)
_HEADER = re.compile(r"^\s*(?:#JSGF[^;]*;|grammar\s[^;]*;|import\s[^;]*;)", re.MULTILINE)
_WEIGHT = re.compile(r"/\s*[0-9.eE+-]+\s*/")
_TAG = re.compile(r"\{(?:\\.|[^\\}])*\}")
_RULE = re.compile(r"<[^<>]*>")
_DEFINITION = re.compile(r"(?:\bpublic\s+)?<([^<>]*)>\s*=")
_QUOTED = re.compile(r'"((?:\\.|[^"\\])*)"')
_WORD = re.compile(r"[^\s|()\[\]*+;=<>{}/\"]+")


def jsgf_words(text: str) -> frozenset[str]:
    """Return every word that the grammar can hear, as spelt in it."""
    body = _TAG.sub(" ", _HEADER.sub(" ", _COMMENT.sub(" ", text)))
    body = _RULE.sub(" ", _DEFINITION.sub(" ", _WEIGHT.sub(" ", body)))
    return frozenset(_WORD.findall(_QUOTED.sub(r"\1", body)))
