"""Feeds any bytes at all to the parser, guided by which code they reach; nothing may raise. Not a test.

    pip install atheris
    mkdir corpus
    nice -n 10 python -m tests.calls.fuzz_understand corpus -max_total_time=600 -max_len=4096

libFuzzer's options go behind the folder of the corpus. The first byte chooses how the rest becomes a line:
as it is, or as words of the language, so that deep code is reached soon. A line that raises, or takes
over `SLOW_S` of this thread's time, ends the run and is written to a file beside it.
"""

import sys
import time
from typing import Final

import atheris

with atheris.instrument_imports(include=["bot.calls"]):
    from bot.bench.corpus import corpus_language
    from bot.calls.understand import understand
    from bot.transcript import typed_transcript

SLOW_S: Final = 1.0
"""Ten times what a line may take: instrumented code is slower, and machines are shared."""
LONGEST: Final = 4096
SLOWEST = [0.0]

_LANGUAGE = corpus_language()
_WORDS: Final = sorted(_LANGUAGE.grammar.vocabulary | _LANGUAGE.grammar.talk_words)


def one(data: bytes) -> None:
    """Read one line; raise where it takes too long."""
    line = _line(data)
    start = time.thread_time()
    found = understand(typed_transcript(line), _LANGUAGE)
    took_s = time.thread_time() - start
    if took_s > SLOWEST[0]:
        SLOWEST[0] = took_s
        print(f"slowest so far {took_s * 1000:.0f} ms, {len(line)} characters", file=sys.stderr)
    if not 0.0 <= found.confidence <= 1.0:
        raise ValueError(f"confidence {found.confidence} of {line!r}")
    if took_s > SLOW_S:
        raise TimeoutError(f"{took_s:.2f} s for {line!r}")


def _line(data: bytes) -> str:
    if not data or data[0] % 2:
        return data[1:].decode("utf-8", "replace")[:LONGEST]
    pairs = zip(data[1::2], data[2::2], strict=False)
    return " ".join(_WORDS[(a * 256 + b) % len(_WORDS)] for a, b in pairs)[:LONGEST]


if __name__ == "__main__":
    atheris.Setup(sys.argv, one)
    atheris.Fuzz()
