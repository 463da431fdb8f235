"""`python -m bot.bench NAME`: the benchmarks, each loaded when it runs."""

import sys
from importlib import import_module
from importlib.util import find_spec
from typing import Final

from bot.errors import DeckcallError

BENCHES: Final = {
    "parse": "the parser against a general-purpose intent parser, on the same lines",
    "confidence": "how true the stated confidence is; prints weights",
    "reader_data": "lines with their labels to the words and tags that the reader learns from",
    "reader_pack": "all that the training of the reader wants, into a folder",
    "reader_train": "trains the networks of the reader, beside a GPU",
    "reader_weights": "writes the networks of the reader anew, uncompressed: they load faster",
    "word_model": "counts the words of calls and talk; the ear's lines are weighed by it",
    "reader_fit": "fits how far a reading is trusted, on writers that its networks have not seen",
    "export": "writes grammar/exported/",
    "schema": "writes a log of the tables of now to fixtures/schemas/",
    "nmea": "writes a made-up record of instruments to fixtures/nmea/",
    "hear": "calls in noise, by engine and SNR; talk that must not be logged; time and memory",
    "listen": "an hour at the helm: false and missed wakes, calls, waiting; --tune, --vad",
    "hear_people": "the ear on other people's grammars, in human and synthetic voices",
    "hear_fit": "fits what says how far the ear is to be trusted",
    "ear": "the ear of the calls on lines of writers, in noise; --fit",
    "usual": "what it brings that the ear learns its crew",
    "ear_pack": "what the training of the ear wants, into a folder; and the model from what came of it",
    "ear_speak": "says the sentences that the ear is trained on, on all cores",
    "ear_people": "has Whisper as it comes write down the people that the training keeps to",
    "ear_train": "trains Whisper tiny on in the words and noise of a deck, on a GPU",
    "phones_fit": "trains the phone network of the ear on in noise; --look compares",
    "vosk_fit": "fits what says how far a Vosk hearing is to be trusted",
    "plan": "how long a plan takes",
    "advice": "simulated seasons: what the next change wins",
    "sticking": "why fish do not stick: alarms where something is wrong, and where nothing is",
    "works": "what is said to work: how often it comes true, on seas of which the truth is known",
    "scale": "a log of many trips: opening, tally, reply",
    "entered": "how many files of the program one typed call enters",
    "start": "what a command costs before it says anything, on a log of many trips",
    "lives": "conversations and lives of fish: what the log holds at the end; --true",
    "crews": "many groups at once",
    "faults": "calls through kills, outages, full disks: the fault table",
    "platforms": "which machines the program installs on, by what pip finds as wheels",
    "memory": "what the Telegram bot holds in memory before and after it has heard recordings",
}


def main(argv: list[str]) -> int:
    """Run the bench that is named first; the rest is its own."""
    there = {n: d for n, d in BENCHES.items() if find_spec(f"bot.bench.{n}") is not None}
    if not argv or argv[0] not in there:
        print("usage: python -m bot.bench NAME [OPTIONS]\n", file=sys.stderr)
        for name, does in there.items():
            print(f"  {name:<11} {does}", file=sys.stderr)
        return 0 if argv[:1] in (["-h"], ["--help"]) else 2
    bench = import_module(f"bot.bench.{argv[0]}")
    try:
        result = bench.main(argv[1:])
    except DeckcallError as exc:
        print(f"{argv[0]}: {exc}", file=sys.stderr)
        return 1
    return int(result or 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
