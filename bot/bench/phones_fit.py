"""`python -m bot.bench phones_fit`: train the phone network on in noise, writes bot/speech/phones.npz.

Begins with the network of the package `hama` (1.7.0), which has heard clean speech only. It now hears the
same in noise and is to say what it said of the clean sound, and besides the phones of what a synthesiser
was given to say. Wants torch, the synthesisers of the bench, and folders with recordings of people, in any
language (`--people`; here Debian's asterisk-core-sounds-fr-g722 and -ru-g722, klettres-data, ktuberling-data,
fillets-ng-data-cs and -nl, the voices of hedgewars-data). Every few minutes it says how the sentences of
voices that are not trained on are found. `--look` says that of the network as it is, and as it was.
"""

import argparse
import sys
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path

import numpy as np

from bot.bench import phones_data, phones_look
from bot.bench.corpus import corpus_language
from bot.bench.hear_sample import read_jsgf
from bot.bench.phones_archive import original
from bot.errors import DeckcallError
from bot.fittings import ear_grammar
from bot.speech.phones import OUTPUTS, Floats, Network, network

_COMMON_WORDS = 8000
_LOOK_SEED = 9090
_LOOK_EVERY_MIN = 10.0
_NOISES_OF_A_KIND = 30


def main(argv: list[str]) -> int:
    """Train, look, write; or look only."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench phones_fit", description=__doc__)
    parser.add_argument("--people", type=Path, nargs="+", default=[], metavar="FOLDER")
    parser.add_argument("--minutes", type=float, default=42.0)
    parser.add_argument("--synthetic", type=int, default=6500, help="sentences by synthesisers")
    parser.add_argument("--recordings", type=int, default=3500, help="at most, of people")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--out", type=Path, default=Path("bot/speech/phones.npz"))
    parser.add_argument("--calls", type=int, default=320, help="calls looked at; people less")
    parser.add_argument("--look", action="store_true")
    args = parser.parse_args(argv)
    before, outputs = original()
    listed = phones_look.recordings(args.calls, args.calls * 3 // 8, _LOOK_SEED)
    if args.look:
        for name, one in (("before", before), ("now", network())):
            print(f"{name}\n{phones_look.looked_at(one, listed)}", flush=True)
        return 0
    if missing := [str(folder) for folder in args.people if not folder.is_dir()]:
        raise DeckcallError(f"no folder {', '.join(missing)}: give those that hold recordings")
    speech = list(_speech(args.people, args.synthetic, args.recordings, args.seed))
    weights = _trained(before, speech, args.minutes, args.seed, listed)
    _write(args.out, weights, outputs)
    return 0


def _speech(
    folders: Sequence[Path], synthetic: int, recordings: int, seed: int
) -> Iterator[phones_data.Speech]:
    sampler = read_jsgf(ear_grammar(corpus_language()).jsgf)
    words = phones_data.common_words(_COMMON_WORDS)
    rng = np.random.default_rng(seed)
    yield from islice(phones_data.people(folders, rng), recordings)
    yield from islice(phones_data.synthetic_speech(sampler, words, rng), synthetic)


def _trained(
    before: Network,
    speech: Sequence[phones_data.Speech],
    minutes: float,
    seed: int,
    listed: Sequence[phones_look.LookSample],
) -> dict[str, Floats]:
    import torch

    from bot.bench.phones_model import PhoneNetwork
    from bot.bench.phones_train import lesson, train

    torch.set_num_threads(1)
    lessons = [lesson(one, before) for one in speech]
    noises = phones_data.Noises(np.random.default_rng(seed + 1), _NOISES_OF_A_KIND, speech)

    def look(weights: Mapping[str, Floats], gone_min: float) -> None:
        table = phones_look.looked_at(Network(weights, before.columns), listed)
        print(f"after {gone_min:.0f} min\n{table}", flush=True)

    model = PhoneNetwork(before.weights)
    found = train(
        model, lessons, noises, minutes, before.columns, seed, look, look_every_min=_LOOK_EVERY_MIN
    )
    look(found, minutes)
    return found


def _write(out: Path, weights: Mapping[str, Floats], outputs: Sequence[str]) -> None:
    """Write weights in half precision, with the names of the outputs."""
    kept = {name: w.astype(np.float16) for name, w in weights.items()}
    np.savez_compressed(out, allow_pickle=False, **kept, **{OUTPUTS: np.array(outputs)})
    print(f"{out}: {out.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
