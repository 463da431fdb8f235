"""Run `python -m bot`: the same program as `deckcall`."""

import sys

from bot.cli import main

if __name__ == "__main__":
    sys.exit(main())
