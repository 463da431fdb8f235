"""`python -m bot.bench hear`: calls and talk in noise, played to the ear as a messenger sends them.

For each ratio of speech to noise: calls right (and logged, or asked about), wrong but asked about,
wrong and logged, refused; for talk and for people's telephone prompts: how many would be logged; the
time from recording to parsed call, and memory. `--model DIR` plays the same to a Vosk model,
`--peer DIR` to faster-whisper with the model in that folder, its text through our own parser.
"""

import argparse
import resource
import statistics
from collections.abc import Sequence
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
CORPORA = ("held_out", "crew_d", "crew_f")


def main(argv: list[str]) -> int:
    """Run the bench and print its tables."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench hear", description=__doc__)
    parser.add_argument("--count", type=int, default=200, help="calls; half as much talk")
    parser.add_argument("--model", type=Path, help="folder of a Vosk model")
    parser.add_argument("--peer", type=Path, help="folder of a faster-whisper model")
    parser.add_argument("--all-voices", action="store_true", help="also those fitted on")
    args = parser.parse_args(argv)
    words = corpus_language()
    grammar = ear_grammar(words)
    voices = hear_data.TEST_VOICES + (hear_data.FIT_VOICES if args.all_voices else ())
    noises = hear_data.TEST_NOISES
    items = hear_data.calls(read_jsgf(grammar.jsgf), args.count, SEED, voices, noises, SNRS_DB)
    items += hear_data.talk(args.count // 2, SEED + 1, voices, noises, SNRS_DB, CORPORA)
    items += hear_data.people(args.count // 2, SEED + 2, noises, SNRS_DB, 1)
    engines = [("the ear", _engine(args.model, grammar))]
    if args.peer:
        engines.append(("faster-whisper", _Peer(args.peer)))
    for name, engine in engines:
        show(name, list(play(items, engine, words)))
    return 0


def show(name: str, results: Sequence[Result]) -> None:
    """Print the tables of one engine."""
    print(
        f"\n{name}\n  dB   calls  first right  right+done  right+asked  wrong+asked  WRONG+LOGGED  refused"
    )
    for snr in SNRS_DB:
        rows = [r for r in results if r.item.kind == "call" and r.item.snr_db == snr]
        shares = [
            sum(r.right for r in rows),
            sum(r.right and r.outcome in ("logged", "answered") for r in rows),
            sum(r.right and r.outcome == "asked" for r in rows),
            sum(not r.right and r.outcome == "asked" for r in rows),
            sum(not r.right and r.outcome in ("logged", "answered") for r in rows),
            sum(r.outcome == "refused" for r in rows),
        ]
        print(
            f"  {snr:3.0f}  {len(rows):5d}"
            + "".join(f"{n / max(1, len(rows)):13.1%}" for n in shares)
        )
    for kind in ("talk", "human"):
        rows = [r for r in results if r.item.kind == kind]
        if rows:
            outcomes = {
                o: sum(r.outcome == o for r in rows) for o in ("logged", "answered", "asked")
            }
            counts = "  ".join(f"{o} {n} ({n / len(rows):.1%})" for o, n in outcomes.items())
            print(f"  {kind}: {len(rows)} recordings  {counts}")
    took = sorted(r.took_s for r in results)
    length = sum(r.heard.seconds for r in results)
    print(
        f"  seconds to the parsed call: median {statistics.median(took):.2f}, "
        f"95 % {took[int(0.95 * len(took))]:.2f}; real-time factor {sum(took) / max(1, length):.2f}; "
        f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB"
    )


def _engine(model: Path | None, grammar: EngineGrammar) -> Listener:
    if model is not None:
        from bot.speech.vosk_engine import VoskEngine

        vosk = VoskEngine(model)
        vosk.prepare(grammar)
        return vosk
    from bot.speech.sphinx_engine import SphinxEngine

    sphinx = SphinxEngine()
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
