"""Speech models: fetch one, and say which engine and model would be used."""

import sys

from bot.cli.options import Arguments
from bot.cli.shown import put_json
from bot.errors import ModelMissing
from bot.settings import Settings

TERMINATED = 143
_BROUGHT = {
    "whisper": "Whisper tiny.en as trained on for the deck, which comes with the program, and as it comes",
    "pocketsphinx": "the English one that comes with PocketSphinx",
    "vosk": "none",
}


def model(args: Arguments, found: Settings) -> int:
    """Do the job that was named."""
    return _get(args, found) if args.job == "get" else _list(args, found)


def _get(args: Arguments, found: Settings) -> int:
    import signal

    from bot.speech.models import MODELS, fetch_model

    name = args.name or MODELS[0].name
    wanted = next((one for one in MODELS if one.name == name), None)
    if wanted is None:
        raise ModelMissing(
            f'no model "{name}" is known; known are: {", ".join(one.name for one in MODELS)}.'
            " Any other Vosk model can be unpacked and named with DECKCALL_MODEL"
        )
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(TERMINATED))  # so that nothing is left behind
    folder = fetch_model(found.home, wanted, progress=sys.stderr.isatty())
    print(folder)
    return 0


def _list(args: Arguments, found: Settings) -> int:
    from bot.speech.models import MODELS, choose_hearing, model_folders

    choice = choose_hearing(found.speech.engine, found.speech.model, found.home)
    engine, used = choice.engine, choice.folder
    if choice.trouble:
        print(f"note: {choice.trouble}", file=sys.stderr)
    if args.json:
        known = [
            {"name": one.name, "about": one.about, "bytes": one.size_bytes, "sha256": one.sha256}
            for one in MODELS
        ]
        there = [str(one) for one in model_folders(found.home)]
        put_json(
            {
                "engine": engine,
                "model": str(used) if used else None,
                "workers": found.speech.workers,
                "installed": there,
                "known": known,
            }
        )
        return 0
    print(f"engine: {engine}")
    print(f"model: {used or _BROUGHT[engine]}")
    print(
        f"workers: {found.speech.workers}, each with the model in memory once it has heard something"
    )
    for folder in model_folders(found.home):
        print(f"there: {folder}")
    for one in MODELS:
        print(f"to be had: {one.name} ({one.about}, {one.size_bytes / 1e6:.0f} MB)")
    return 0
