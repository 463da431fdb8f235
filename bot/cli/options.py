"""What may be typed after `deckcall`, and which function does it.

Only argparse lives here: no command is imported before it is known which one is wanted, so that
`--help` and `parse` start fast.
"""

import argparse
import sys
from collections.abc import Callable, Sequence
from typing import Any

from bot.cli.jobs import Version, also_common, as_json, box, model, to_file, tray, yes
from bot.errors import SettingsError
from bot.settings.values import ENGINES, OPTIONS

COUNTED_BY = ("position", "colour", "size", "lure", "species", "crew", "angler", "hour", "head", "side",
              "speed", "month", "light", "water", "place", "trip")  # fmt: skip
MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september",
          "october", "november", "december")  # fmt: skip
LIGHTS = ("dark", "dawn", "low morning sun", "day", "low evening sun", "dusk")
SPANS = ("week", "month", "season", "year", "last", "all")
SIDES = ("port", "starboard")
HEADS = ("blunt", "cupped", "slanted", "slim", "jet", "plug")
LENIENT = ("doctor", "guide", "setup", "completion")
"""Commands that help to mend the settings, so they run with wrong ones."""
EXPORTS = ("csv", "jsonl", "gpx", "geojson", "parquet", "sqlite")
_Parser = argparse.ArgumentParser


class Arguments(argparse.Namespace):
    """What was typed; the options of a command are attributes besides these."""

    run: str
    """`module:function` that does it."""
    debug: bool
    lenient: bool
    """True where the command runs with wrong settings; it finds them in `wrong`."""
    wrong: list[SettingsError]

    def __getattr__(self, name: str) -> Any:
        """Let a command read its own options."""
        raise AttributeError(name)

    def speaker(self, crew: Sequence[str]) -> str:
        """Return who is speaking: as said, else the first of the boat's crew."""
        said: str | None = self.crew
        return said or (crew[0] if crew else "Skipper")

    @property
    def settings(self) -> dict[str, str | None]:
        """Return the options that override settings."""
        return {name: getattr(self, name, None) for name in OPTIONS}


def read(argv: Sequence[str] | None) -> Arguments:
    """Read the command line; ends the program with code 2 where it is wrong."""
    typed = sys.argv[1:] if argv is None else argv
    commands = parser(next((word for word in typed if not word.startswith("-")), ""))
    found = commands.parse_args(argv, namespace=Arguments(wrong=[]))
    if found.run == "bot.cli.replay:replay" and found.file is None and found.nmea is None:
        commands.error("replay: name a file of calls, or a record with --nmea")
    return found


def parser(only: str | None = None) -> argparse.ArgumentParser:
    """Make the parser of all commands; with `only`, of the others no more than name and description."""
    top = _Parser(
        prog="deckcall",
        description="Deckside assistant for trolling crews: calls become a log, a tally, the next change.",
    )
    top.add_argument("--version", action=Version, help="show the number of this version, and end")
    commands = top.add_subparsers(title="commands", metavar="COMMAND", required=True)

    def add(name: str, run: str, about: str, *options: Callable[[_Parser], None]) -> None:
        command = commands.add_parser(
            name, help=about, description=about[0].upper() + about[1:] + "."
        )
        if only not in (None, name):
            return  # their options would take longer than a short answer
        _common(command)
        for option in options:
            option(command)
        command.set_defaults(run=f"bot.cli.{run}", lenient=name in LENIENT)

    add("demo", "demo:demo", "play the demo trip in a fresh temporary home", _demo)
    add(
        "setup",
        "setup:setup",
        "ask for boat, positions, rods, time zone and crew; write the settings",
    )
    add("chat", "talk:chat", "a conversation on the terminal, one call a line; reads a pipe too",
        _ear, _crew)  # fmt: skip
    add("telegram", "talk:telegram", "the Telegram bot", _ear, _telegram)
    add("serve", "talk:serve", "the same conversation as a web page on the boat's own network",
        _ear, _serve)  # fmt: skip
    add("listen", "listening:listen", "hands-free: a microphone, a wake phrase, replies aloud",
        _ear, _crew, _listen)  # fmt: skip
    add("parse", "hearing:parse", "calls as JSON; nothing is stored", _parse)
    add(
        "hear",
        "hearing:hear",
        "recordings to transcripts and calls; nothing is stored",
        _ear,
        _hear,
    )
    add("recording", "recordings:recording", "what was said, as sound: a list, or one as a file",
        _recording)  # fmt: skip
    add("forget", "recordings:forget", "remove recordings and what was learnt; the log stays",
        _forget)  # fmt: skip
    add("learnt", "learnt:show", "what the ear has learnt of how the crew speaks", _learnt)
    add("replay", "replay:replay", "a recorded day through the path of a live call", _replay)
    add("tally", "record:tally", "strikes, hours and rates", _tally, _picture)
    add("spread", "record:spread", "what is in the water, where and since when", as_json, _picture)
    add(
        "next",
        "record:next_change",
        "the next change worth making, or why to hold",
        as_json,
        _picture,
    )
    add("plan", "record:plan", "a spread to start with", _plan, _picture)
    add("box", "tackle:box", "the tackle box: import, list, export, show, remove, template", box)
    add("tray", "trays:tray", "trays: list, show, the card for a lid, import, export, template, drop",
        tray)  # fmt: skip
    add("trips", "record:trips", "the trips of the log", as_json)
    add("report", "report:report", "a trip on paper: HTML, PDF or Markdown", _report)
    add("export", "exchange:export", "the log for other programs and boats", _export)
    add("import", "exchange:bring", "an export of another boat; nothing is doubled", _import)
    add("backup", "keeping:backup", "a checked copy of the log, made while it is in use", _backup)
    add("restore", "keeping:restore", "a copy in the place of the log; the old one is kept",
        _restore)  # fmt: skip
    add("guide", "guide:guide", "the guide that ships with the program, page by page", _guide)
    add("model", "models:model", "speech models: get, list", _ear, model)
    add("doctor", "checkup:doctor", "check the set-up and say what to do about what is missing",
        _ear, as_json)  # fmt: skip
    add("completion", "completion:completion", "the script with which a shell completes commands",
        _shell)  # fmt: skip
    return top


def _common(command: _Parser) -> None:
    command.set_defaults(home=None, debug=False)
    also_common(command)


def _ear(command: _Parser) -> None:
    command.add_argument("--engine", choices=ENGINES, help="speech engine")
    command.add_argument("--model", metavar="DIR", help="folder of a Vosk model")


def _crew(command: _Parser) -> None:
    command.add_argument(
        "--crew", metavar="NAME", help="who is speaking; default: the first of the crew, or Skipper"
    )


def _demo(command: _Parser) -> None:
    command.add_argument("--out", metavar="DIR", help="where the pictures and the report go")
    command.add_argument("--typed", action="store_true", help="leave the recordings out")
    yes(command)


def _telegram(command: _Parser) -> None:
    command.add_argument(
        "--token-file", metavar="FILE", help="file of mode 600 with the bot's token"
    )
    command.add_argument("--pair", action="store_true", help="show a code that lets one chat in")


def _shell(command: _Parser) -> None:
    command.add_argument("shell", choices=("bash", "zsh", "tcsh"))


def _serve(command: _Parser) -> None:
    command.add_argument("--host", help="address to listen on; 0.0.0.0 for the boat's network")
    command.add_argument("--port", type=int, metavar="N", help="port to listen on")
    instead = command.add_mutually_exclusive_group()
    instead.add_argument(
        "--pair", action="store_true", help="show new codes for the server that runs, and end"
    )
    instead.add_argument("--devices", action="store_true", help="list the phones that were let in")
    instead.add_argument("--remove", metavar="PHONE", help="let a phone in no more; number or name")


def _listen(command: _Parser) -> None:
    command.add_argument(
        "--from", dest="source", metavar="FILE",
        help="a recording instead of the microphone; - for raw 16 kHz mono 16 bit from standard input",
    )  # fmt: skip
    command.add_argument("--microphone", metavar="NAME", help="number or part of the device's name")
    command.add_argument("--quiet", action="store_true", help="no tones, and nothing read aloud")


def _parse(command: _Parser) -> None:
    command.add_argument(
        "text", nargs="*", metavar="TEXT", help="a call; else one a line from stdin"
    )
    command.add_argument("--jsonl", action="store_true", help="one line of JSON for each call")
    command.add_argument(
        "--explain",
        action="store_true",
        help="the readings that were weighed, and what spoke for each",
    )


def _hear(command: _Parser) -> None:
    what = command.add_mutually_exclusive_group(required=True)
    what.add_argument("files", nargs="*", default=[], metavar="FILE", help="WAV, FLAC, OGG/Opus")
    what.add_argument(
        "--retry", action="store_true", help="log what could not be heard when it was said"
    )
    as_json(command)
    _crew(command)
    command.add_argument("--log", action="store_true", help="store the calls")
    command.add_argument(
        "--jsgf", metavar="GRAMMAR", help="decode with this W3C JSGF grammar instead"
    )


def _recording(command: _Parser) -> None:
    command.add_argument(
        "id", nargs="?", metavar="ID", help="of an entry or a recording; the end of it will do"
    )
    to_file(command)
    as_json(command)


def _forget(command: _Parser) -> None:
    which = command.add_mutually_exclusive_group(required=True)
    which.add_argument("--all", action="store_true", help="every recording")
    which.add_argument(
        "--older-than", type=float, metavar="DAYS", help="those that came so long ago"
    )
    which.add_argument("--crew", metavar="NAME", help="those of one of the crew")
    which.add_argument("--entry", metavar="ID", help="that of one entry or message")
    command.add_argument("--yes", action="store_true", help="do not ask")


def _learnt(command: _Parser) -> None:
    command.add_argument("--crew", metavar="NAME", help="of one of the crew only")
    as_json(command)


def _replay(command: _Parser) -> None:
    command.add_argument(
        "file", nargs="?", metavar="FILE.jsonl", help="one call a line: at, crew, text"
    )
    command.add_argument(
        "--nmea",
        metavar="FILE",
        help="what the instruments said that day: NMEA 0183, with ZDA or RMC",
    )


def _tally(command: _Parser) -> None:
    command.add_argument("--by", choices=COUNTED_BY, default="position", help="what to count by")
    command.add_argument("--and", choices=COUNTED_BY, dest="also", help="a second thing at once")
    which = command.add_mutually_exclusive_group()
    which.add_argument("--trip", metavar="ID", help="a trip of `deckcall trips`, or all")
    which.add_argument("--span", choices=SPANS, help="the trips of this week, season, ...")
    only = command.add_argument_group(
        "only what fits", "each narrows down; a position may be repeated"
    )
    only.add_argument("--position", action="append", metavar="NAME", help="e.g. long rigger")
    only.add_argument("--side", choices=SIDES)
    only.add_argument(
        "--colour", action="append", metavar="NAME", help="repeated: both on one lure"
    )
    only.add_argument("--size", type=float, metavar="INCHES")
    only.add_argument("--lure", metavar="NAME")
    only.add_argument("--head", choices=HEADS)
    only.add_argument("--species", metavar="NAME", help="`marlin` stands for all of them")
    only.add_argument("--who", metavar="NAME", help="who called it")
    only.add_argument("--month", choices=MONTHS, type=str.casefold, help="of whatever year")
    only.add_argument("--light", action="append", choices=LIGHTS, help="several: any of them")
    only.add_argument(
        "--water", action="append", type=float, metavar="DEGREES", help="°C, to the degree"
    )
    only.add_argument(
        "--place", action="append", metavar="PLACE", help="as --by place names it, or LAT,LON"
    )
    command.add_argument(
        "--conversion", action="store_true", help="also the shares hooked and landed"
    )
    command.add_argument(
        "--compare", action="store_true", help="also how each stands against the average, how sure"
    )
    as_json(command)


def _one_trip(command: _Parser, else_: str) -> None:
    command.add_argument(
        "trip", nargs="?", metavar="TRIP", help=f"a trip of `deckcall trips`; default: {else_}"
    )
    command.add_argument("--trip", dest="of_trip", metavar="ID", help="another way to name it")


def _report(command: _Parser) -> None:
    _one_trip(command, "the latest")
    command.add_argument(
        "--span", choices=SPANS, help="instead of a trip: what works over several, how sure it is"
    )
    command.add_argument(
        "--format", choices=("html", "pdf", "md"),
        help="default: as the name of --out ends, else md",
    )  # fmt: skip
    to_file(command)
    command.add_argument(
        "--positions", action="store_true", help="say where things were; places are left out else"
    )
    as_json(command)


def _export(command: _Parser) -> None:
    _one_trip(command, "all")
    command.add_argument(
        "--format", choices=EXPORTS, help="default: as the name of --out ends, else csv"
    )
    to_file(command)
    command.add_argument(
        "--positions", action="store_true",
        help="with places; gpx and geojson always have them, the others have none else",
    )  # fmt: skip


def _import(command: _Parser) -> None:
    command.add_argument("file", metavar="FILE.jsonl", help="as `deckcall export` writes it")
    command.add_argument("--skip-bad", action="store_true", help="import the good lines only")
    as_json(command)


def _backup(command: _Parser) -> None:
    command.add_argument(
        "--out", metavar="FILE", help="a file or a folder; default: backups/ beside the log"
    )
    as_json(command)


def _restore(command: _Parser) -> None:
    command.add_argument("file", metavar="FILE", help="a copy that deckcall backup made")


def _plan(command: _Parser) -> None:
    command.add_argument(
        "--tackle", metavar="CLASS", help="light, medium, heavy, or a line class in kg"
    )
    command.add_argument(
        "--speed", type=float, metavar="KN", help="speed through the water in knots"
    )
    command.add_argument("--species", metavar="FISH", help="the fish that it is for, e.g. wahoo")
    command.add_argument("--tray", metavar="NAME", help="keep the plan as a tray of this name")
    command.add_argument(
        "--another",
        action="count",
        default=0,
        help="a second plan, with three other lures at least; given twice, a third one",
    )
    as_json(command)


def _picture(command: _Parser) -> None:
    command.add_argument(
        "--picture", type=_picture_file, metavar="FILE", help="draw it too, as .png or .svg"
    )
    yes(command)


def _picture_file(name: str) -> str:
    if not name.lower().endswith((".png", ".svg")):
        raise argparse.ArgumentTypeError(f"{name} must end in .png or .svg")
    return name


def _guide(command: _Parser) -> None:
    command.add_argument("topic", nargs="?", metavar="TOPIC", help="a page; without it their list")
    command.add_argument("--find", metavar="WORD", help="where a word stands")
