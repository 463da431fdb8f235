"""`python -m bot.bench hear`: calls and talk in noise, played to the ear as a messenger sends them.

For each ratio of speech to noise: calls right (and logged, or asked about), wrong but asked about,
wrong and logged, refused; for bites on a named lure the same where the log knows what is in the water;
for talk and for people's recordings how many would be logged; the time from recording to parsed call,
and memory. `--model DIR` plays it to a Vosk model, and first says which words that model lacks; `--peer DIR`
to faster-whisper with the model in that folder, its text through our own parser; `--two` also to two ears,
without Whisper, `--alone` also to PocketSphinx by itself.
"""

import argparse
import resource
import statistics
from collections.abc import Iterable, Sequence
from pathlib import Path

from bot.bench import hear_data
from bot.bench.corpus import corpus_language
from bot.bench.hear_run import Listener, Result, play
from bot.bench.hear_sample import read_jsgf
from bot.fittings import ear_grammar
from bot.speech.audio import Pcm
from bot.speech.engine import EngineGrammar
from bot.transcript import Alternative, Transcript

SNRS_DB = (20.0, 10.0, 5.0, 0.0)
SEED = 90
_DONE = ("logged", "answered")


def main(argv: list[str]) -> int:
    """Run the bench and print its tables, row by row."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench hear", description=__doc__)
    parser.add_argument("--count", type=int, default=200, help="calls; half as much talk")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--model", type=Path, help="folder of a Vosk model")
    parser.add_argument("--peer", type=Path, help="folder of a faster-whisper model")
    parser.add_argument("--two", action="store_true", help="also two ears, without Whisper")
    parser.add_argument("--alone", action="store_true", help="also PocketSphinx by itself")
    parser.add_argument("--all-voices", action="store_true", help="also those fitted on")
    args = parser.parse_args(argv)
    words = corpus_language()
    grammar = ear_grammar(words)
    calls, others = _items(grammar.jsgf, args.count, args.seed, all_voices=args.all_voices)
    engines: list[tuple[str, Listener]] = [("the ear", _engine(args.model, grammar))]
    if args.two:
        engines.append(("two ears", _sphinx(grammar, written=False)))
    if args.alone:
        engines.append(("PocketSphinx alone", _sphinx(grammar, phones=False)))
    if args.peer:
        engines.append(("faster-whisper", _Peer(args.peer)))
    for name, engine in engines:
        print(f"\n{name}\n{_HEAD}", flush=True)
        results: list[Result] = []
        for snr in SNRS_DB:
            results += play((c for c in calls if c.snr_db == snr), engine, words)
            print(row(snr, results), flush=True)
        if any(r.known is not None for r in results):
            print(with_state(results), flush=True)
        for kind in ("talk", "human"):
            heard = list(play((o for o in others if o.kind == kind), engine, words))
            results += heard
            print(_talk(kind, heard), flush=True)
        print(_costs(results), flush=True)
    return 0


def _items(
    jsgf: str, count: int, seed: int, *, all_voices: bool
) -> tuple[list[hear_data.Item], list[hear_data.Item]]:
    """Return calls and what is no call: voices, noises and talk of the part that nothing was fitted on."""
    test = hear_data.PARTS["test"]
    parts = hear_data.PARTS.values() if all_voices else (test,)
    voices = tuple(voice for part in parts for voice in part.voices)
    noises = tuple(dict.fromkeys(noise for part in parts for noise in part.noises))
    calls = hear_data.calls(read_jsgf(jsgf), count, seed, voices, noises, SNRS_DB)
    others = hear_data.talk(count // 2, seed + 1, voices, noises, SNRS_DB, test.corpora)
    others += hear_data.people(count // 2, seed + 2, noises, SNRS_DB, test.third)
    return calls, others


_HEAD = "  dB   calls  first right  right+done  right+asked  wrong+asked  WRONG+LOGGED  refused"


def row(snr_db: float, results: Iterable[Result]) -> str:
    """Return what became of the calls at one ratio."""
    rows = [r for r in results if r.item.kind == "call" and r.item.snr_db == snr_db]
    shares = [
        sum(r.right for r in rows),
        sum(r.right and r.outcome in _DONE for r in rows),
        sum(r.right and r.outcome == "asked" for r in rows),
        sum(not r.right and r.outcome == "asked" for r in rows),
        sum(not r.right and r.outcome in _DONE for r in rows),
        sum(r.outcome == "refused" for r in rows),
    ]
    return f"  {snr_db:3.0f}  {len(rows):5d}" + "".join(f"{_share(n, rows):13.1%}" for n in shares)


def with_state(results: Iterable[Result]) -> str:
    """Return what knowing the spread does for bites that were called with their lure."""
    rows = [(r, *r.known) for r in results if r.known is not None]
    without = sum(r.right for r, *_ in rows), sum(_is_wrong(r.outcome, r.right) for r, *_ in rows)
    known = sum(right for *_, right in rows), sum(_is_wrong(o, right) for _, o, right in rows)
    said = (
        f"first right {_share(a, rows):.1%}, wrong and logged {_share(b, rows):.1%}"
        for a, b in (without, known)
    )
    return f"  {len(rows)} bites on a named lure: " + "; with the spread known: ".join(said)


def _is_wrong(outcome: str, right: bool) -> bool:
    return outcome in _DONE and not right


def _share(count: int, rows: Sequence[object]) -> float:
    return count / max(1, len(rows))


def _talk(kind: str, rows: Sequence[Result]) -> str:
    outcomes = {o: sum(r.outcome == o for r in rows) for o in (*_DONE, "asked")}
    counts = "  ".join(f"{o} {n} ({_share(n, rows):.1%})" for o, n in outcomes.items())
    return f"  {kind}: {len(rows)} recordings  {counts}"


def _costs(results: Sequence[Result]) -> str:
    took = sorted(r.took_s for r in results)
    length = sum(r.heard.seconds for r in results)
    return (
        f"  recordings of {length / len(results):.1f} s; seconds to the parsed call: median"
        f" {statistics.median(took):.2f}, 95 % {took[int(0.95 * len(took))]:.2f}; real-time factor"
        f" {sum(took) / max(1, length):.2f}; peak memory"
        f" {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB"
    )


def _engine(model: Path | None, grammar: EngineGrammar) -> Listener:
    if model is not None:
        return vosk_listener(model, grammar)
    return _sphinx(grammar)


def vosk_listener(model: Path, grammar: EngineGrammar) -> Listener:
    """Return a Vosk model ready for a grammar, and print how much of it the model can hear."""
    from bot.speech.vosk_engine import VoskEngine

    vosk = VoskEngine(model)
    words = {word for phrase in grammar.phrases for word in phrase.lower().split()}
    missing = vosk.missing_words(words)
    print(
        f"{model}: has {len(words) - len(missing)} of the {len(words)} words of the ear's grammar"
    )
    if missing:
        print("  lacks " + " ".join(missing))
    vosk.prepare(grammar)
    whole = {phrase.lower() for phrase in grammar.phrases} & set(vosk.phrases)
    print(f"  can hear {len(whole)} of {len(grammar.phrases)} phrases as they are", flush=True)
    return vosk


def _sphinx(grammar: EngineGrammar, *, phones: bool = True, written: bool = True) -> Listener:
    from bot.speech.sphinx_engine import SphinxEngine

    sphinx = SphinxEngine(phones=phones, written=written)
    sphinx.prepare(grammar)
    return sphinx


class _Peer:
    """faster-whisper as it comes, without prompt; what it writes goes through our parser."""

    def __init__(self, folder: Path) -> None:
        from faster_whisper import WhisperModel  # type: ignore[import-not-found,unused-ignore]

        self._model = WhisperModel(str(folder), device="cpu", compute_type="int8", cpu_threads=2)

    def transcribe(self, pcm: Pcm) -> Transcript:
        """Hear one recording."""
        parts, _ = self._model.transcribe(
            pcm.samples.astype("float32") / 32768, language="en", beam_size=1
        )
        text = " ".join(part.text.strip() for part in parts).strip()
        heard = (Alternative(text, 1.0),) if text else ()
        return Transcript(heard, "faster-whisper", pcm.seconds)
