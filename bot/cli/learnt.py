"""`learnt`: what the ear has learnt of how the crew speaks."""

import json

from bot.calls.usual import usual_of
from bot.cli.options import Arguments
from bot.logbook.learnt import crew_speech
from bot.logbook.store import Logbook
from bot.settings import Settings

MOST = 12
"""Wordings shown of each speaker."""


def show(args: Arguments, found: Settings) -> int:
    """Print the usual wordings of each of the crew, and the names that are known."""
    with Logbook.open(found.home) as log:
        known = crew_speech(log)
    speakers = dict.fromkeys(one.crew for one in known.said)
    wanted = [s for s in speakers if args.crew is None or s.casefold() == args.crew.casefold()]
    crews = {name: usual_of(known.said, name).wordings for name in wanted}
    if args.json:
        rounded = {
            name: {line: round(counts, 2) for line, counts in lines.items()}
            for name, lines in crews.items()
        }
        told = {"learns": found.speech.learn, "crew": rounded, "names": list(known.names)}
        print(json.dumps(told, ensure_ascii=False))
        return 0
    if not found.speech.learn:
        print("Nothing is learnt ([speech] learn = false); what the log would tell:")
    if not crews:
        print("Nothing yet: it learns from calls that stand.")
    for name, lines in crews.items():
        print(f"{name or 'somebody without a name'}:")
        for line, counts in list(lines.items())[:MOST]:
            print(f"  {counts:5.1f}  {line}")
    if known.names:
        print(f"Names: {', '.join(known.names)}")
    return 0
