"""From words or sound to calls, without a log: parse and hear."""

import json
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from bot.cli.options import Arguments
from bot.cli.shown import put_json
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.calls.understand import Understanding


def parse(args: Arguments, found: Settings) -> int:
    """Print what each call means: the words of the command line, else one call a line from stdin."""
    from bot.calls.understand import understand
    from bot.cli.language import open_language
    from bot.transcript import typed

    words = open_language(found)
    for line in _said(args.text):
        answer = as_json(line, understand(typed(line), words))
        if args.jsonl or not sys.stdout.isatty():
            put_json(answer)
        else:
            print(json.dumps(answer, ensure_ascii=False, indent=2), flush=True)
    return 0


def as_json(text: str, found: "Understanding") -> dict[str, Any]:
    """Give the form of the contract, section 2."""
    return {
        "text": text,
        "calls": [call.to_json() for call in found.calls],
        "confidence": round(found.confidence, 3),
        "ask": found.ask,
    }


def _said(words: list[str]) -> Iterator[str]:
    """Give the lines to parse; words without blanks are one call, else each argument is one."""
    if not words:
        yield from (line.rstrip("\r\n") for line in sys.stdin)
    elif any(" " in word for word in words):
        yield from words
    else:
        yield " ".join(words)
