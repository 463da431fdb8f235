"""`demo`: play the made-up day of the fixtures through the real road."""

from pathlib import Path

from bot.cli.options import Arguments
from bot.settings import Settings


def demo(args: Arguments, _found: Settings) -> int:
    """Play it, and say where pictures and report are left."""
    from bot.demo import play

    play(Path(args.out) if args.out else None, spoken=not args.typed)
    return 0
