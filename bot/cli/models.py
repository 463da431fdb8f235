"""Speech models: fetch one, and say which engine and model would be used."""

import sys

from bot.cli.options import Arguments
from bot.cli.shown import put_json
from bot.errors import ModelMissing
from bot.settings import Settings

_BROUGHT = {
    "whisper": "Whisper tiny.en as it comes, and as trained on for the deck; both come with the program",
    "pocketsphinx": "the English one that comes with PocketSphinx",
    "vosk": "none",
}


def model(args: Arguments, found: Settings) -> int:
    """Do the job that was named."""
    return _get(args, found) if args.job == "get" else _list(args, found)


def _get(args: Arguments, found: Settings) -> int:
    from bot.speech.models import DEFAULT_MODEL, MODELS, fetch_model

    name = args.name or DEFAULT_MODEL.name
    wanted = next((one for one in MODELS if one.name == name), None)
    if wanted is None:
        raise ModelMissing(
            f'no model "{name}" is known; known are: {", ".join(one.name for one in MODELS)}.'
            " Any other Vosk model can be unpacked and named with DECKCALL_MODEL"
        )
    folder = fetch_model(found.home, wanted, progress=sys.stderr.isatty())
    print(folder)
    return 0


def _list(args: Arguments, found: Settings) -> int:
    from bot.speech.models import MODELS, choose_engine, find_model, installed

    folder = find_model(found.speech.model, found.home)
    engine = choose_engine(found.speech.engine, folder)
    used = folder if engine == "vosk" else None
    if args.json:
        known = [
            {"name": one.name, "about": one.about, "bytes": one.size_bytes, "sha256": one.sha256}
            for one in MODELS
        ]
        there = [str(one) for one in installed(found.home)]
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
    for folder in installed(found.home):
        print(f"there: {folder}")
    for one in MODELS:
        print(f"to be had: {one.name} ({one.about}, {one.size_bytes / 1e6:.0f} MB)")
    return 0
