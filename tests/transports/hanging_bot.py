"""The bot itself, with its Desk, whose ear hangs, crashes or hears as the recording tells it to.

`python hanging_bot.py WORKERS QUEUE GIVE_UP_S`; everything else comes from the environment.
"""

import sys

from bot.cli.talk import crew_answers, telegram_config
from bot.settings import load
from bot.speech.workers import EarLimits, Workers
from bot.transports.telegram import run
from tests.speech.ears import open_moody
from tests.transports.quick_bot import quick


def main() -> None:
    """Serve until told to stop."""
    workers, queue, give_up_s = int(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3])
    found = load()
    with Workers(open_moody, EarLimits(workers, queue, give_up_s)) as ears:
        run(quick(telegram_config(found)), lambda _lane: crew_answers(found, ears))


if __name__ == "__main__":
    main()
