"""Words or sound to calls, without a log: parse and hear."""

import json
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from bot.cli.options import Arguments
from bot.cli.shown import FileUnread, put_json, read_file
from bot.errors import AudioError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.calls.understand import Understanding
    from bot.messages import Reply
    from bot.transcript import Transcript


def parse(args: Arguments, found: Settings) -> int:
    """Print what each call means: the words of the command line, else one call a line from stdin."""
    from bot.build import open_language
    from bot.calls.reader.trust import evidence
    from bot.calls.understand import understand
    from bot.calls.weighed import in_json
    from bot.transcript import typed_transcript

    words = open_language(found)
    for line in _said(args.text):
        meant = understand(typed_transcript(line), words)
        answer = as_json(line, meant)
        if args.explain and words.trust is not None:
            answer["weighed"] = [
                {
                    "calls": in_json(way.calls),
                    "probability": round(way.probability, 3),
                    "by": way.by,
                    "for": evidence(way.figures, words.trust, grammar=way.by == "grammar"),
                }
                for way in meant.ways
            ]
        if args.jsonl or not sys.stdout.isatty():
            put_json(answer)
        else:
            print(json.dumps(answer, ensure_ascii=False, indent=2), flush=True)
    return 0


def hear(args: Arguments, found: Settings) -> int:
    """Print what each recording says and means; with --log, log it too; with --retry, what waits."""
    if args.retry:
        from bot.cli.recordings import retry

        return retry(args, found)
    if args.jsgf:
        return _hear_with(args, found)
    return _hear_and_log(args, found) if args.log else _hear_only(args, found)


def _hear_only(args: Arguments, found: Settings) -> int:
    from bot.build import open_language
    from bot.calls.weigh import Hints
    from bot.desk.understood import understand_transcript, would_do
    from bot.fittings import Ear

    words, ear = open_language(found), Ear(found)

    def one(sound: bytes, name: str) -> dict[str, Any]:
        heard = ear.hear(sound, name, words)
        meant = understand_transcript(heard, words, Hints())
        outcome, question = would_do(meant, heard, datetime.now(UTC))
        answer = as_json(meant.text, meant) | {"ask": question, "outcome": outcome}
        if outcome in ("talk", "refused"):
            answer["calls"] = []
        return answer | _of(heard)

    return _each(args, one)


def _hear_and_log(args: Arguments, found: Settings) -> int:
    from bot.build import open_desk
    from bot.messages import Message

    with open_desk(found) as desk:

        def one(sound: bytes, name: str) -> dict[str, Any]:
            at = datetime.now(UTC)
            reply = desk.answer(
                Message(args.speaker(found.boat.crew), at, "console", sound=sound, name=name)
            )
            return {
                "text": reply.heard,
                "calls": list(reply.calls),
                "confidence": round(reply.confidence, 3),
                "ask": reply.ask,
                "outcome": _outcome(reply),
                "reply": reply.text,
                "logged": list(reply.logged),
            }

        return _each(args, one)


def _outcome(reply: "Reply") -> str:
    """Return what came of a recording that was heard for the log."""
    if reply.logged:
        return "logged"
    if reply.ask is not None:
        return "asked"
    if reply.calls:
        return "answered"
    return "refused" if reply.text else "talk"


def _hear_with(args: Arguments, found: Settings) -> int:
    """Decode with a grammar of somebody else's: what is taken for talk is refused, what is doubtful asked."""
    from bot.desk.settle import ACCEPT_FROM, TALK_BELOW
    from bot.fittings import open_grammar_engine
    from bot.speech.audio import to_pcm
    from bot.speech.engine import EngineGrammar
    from bot.speech.jsgf_reader import jsgf_words

    text = read_file(args.jsgf).decode("utf-8-sig", errors="replace")
    engine = open_grammar_engine(found)
    words = tuple(sorted(jsgf_words(text)))  # Vosk takes no JSGF: it hears these words in any order
    engine.prepare(EngineGrammar(text, words))

    def one(sound: bytes, name: str) -> dict[str, Any]:
        heard = engine.transcribe(to_pcm(sound, name, found.speech.max_s))
        accept = heard.signals.get("accept", 1.0) if heard.best else 0.0
        text = heard.best if accept >= TALK_BELOW else ""
        ask = f'Was that "{text}"?' if text and accept < ACCEPT_FROM else None
        return {"text": text, "confidence": round(accept, 3), "ask": ask} | _of(heard)

    return _each(args, one)


def _each(args: Arguments, hear_one: Callable[[bytes, str], dict[str, Any]]) -> int:
    """Hear file after file; one that cannot be used is told, and the rest goes on."""
    failed = 0
    for file in args.files:
        start = time.perf_counter()
        try:
            answer = hear_one(read_file(file), file)
        except (AudioError, FileUnread) as exc:
            print(f"deckcall: {exc}", file=sys.stderr)
            failed += 1
            continue
        answer = {"file": file} | answer | {"took": round(time.perf_counter() - start, 3)}
        if args.json:
            put_json(answer)
        else:
            print(_in_words(answer), flush=True)
    return 1 if failed else 0


def _of(heard: "Transcript") -> dict[str, Any]:
    return {
        "engine": heard.engine,
        "alternatives": [
            {"text": one.text, "score": round(one.score, 4)} for one in heard.alternatives
        ],
        "seconds": round(heard.seconds, 3),
    }


def _in_words(answer: dict[str, Any]) -> str:
    lines = [f"{answer['file']}: {answer['text'] or '(nothing understood)'}"]
    lines += [f"  {json.dumps(call, ensure_ascii=False)}" for call in answer.get("calls", ())]
    lines += [f"  {answer[key]}" for key in ("ask", "reply") if answer.get(key)]
    return "\n".join(lines)


def as_json(text: str, found: "Understanding") -> dict[str, Any]:
    """Return the form of the contract, section 2."""
    return {
        "text": text,
        "calls": [call.to_json() for call in found.calls],
        "confidence": round(found.confidence, 3),
        "ask": found.ask,
    }


def _said(words: list[str]) -> Iterator[str]:
    """Yield the lines to parse; words without blanks are one call, else each argument is one."""
    if not words:
        yield from (line.rstrip("\r\n") for line in sys.stdin)
    elif any(" " in word for word in words):
        yield from words
    else:
        yield " ".join(words)
