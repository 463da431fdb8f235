"""`completion`: the script with which a shell completes the commands."""

from bot.cli.options import Arguments, parser
from bot.settings import Settings


def completion(args: Arguments, _found: Settings) -> int:
    """Print the completion script of a shell."""
    import shtab

    print(shtab.complete(parser(), args.shell))
    return 0
