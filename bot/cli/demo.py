"""`demo`: play the made-up day of the fixtures through the real road."""

from pathlib import Path

from bot.cli.options import Arguments
from bot.cli.outfile import out_file
from bot.settings import Settings


def demo(args: Arguments, found: Settings) -> int:
    """Play the demo, and say where pictures and report are left."""
    from bot.demo import LEFT_FILES, play

    if args.out:
        for name in LEFT_FILES:
            out_file(str(Path(args.out) / name), args, found)
    play(Path(args.out) if args.out else None, spoken=not args.typed)
    return 0
