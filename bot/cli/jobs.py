"""Options that many commands share, and the commands that have jobs: box and model."""

import argparse
from collections.abc import Sequence
from typing import Any

COLUMNS_TOLD = """columns, in any order; all but the first three may be missing or empty:
  name           what you call it; each name once
  size_in        length of the lure in inches, e.g. 8 or 7.5
  colours        the leading colour first, e.g. purple black
  head           blunt, cupped (chugger), slanted, slim (bullet), jet or plug (diver)
  hook_gauge     light, medium or heavy
  hooks          how many, 0 to 6
  leader_kg      breaking strain of the leader in kilos
  leader_m       its length in metres, lure and hooks included
  ready          yes where it has been made ready and not been in the water since
  speed_min_kn   the knots between which
  speed_max_kn   it runs well

deckcall box template prints an example."""
_Parser = argparse.ArgumentParser


def box(command: _Parser) -> None:
    """Add the jobs of the tackle box."""
    jobs = command.add_subparsers(title="jobs", metavar="JOB", required=True, dest="job")
    bring = jobs.add_parser(
        "import", help="add or update lures by name from a CSV file", epilog=COLUMNS_TOLD,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    bring.add_argument("file", metavar="FILE.csv")
    bring.add_argument(
        "--skip-bad", action="store_true", help="import the good lines of a bad file"
    )
    as_json(jobs.add_parser("list", help="what is in the box"))
    example = jobs.add_parser("template", help="an example of such a file with every column")
    to_file(example)
    out = jobs.add_parser("export", help="the box as CSV")
    to_file(out)
    show = jobs.add_parser("show", help="one lure and what the log says of it")
    show.add_argument("name", nargs="+", metavar="NAME")
    as_json(show)
    gone = jobs.add_parser("remove", help="take one lure out of the box; the log keeps what it did")
    gone.add_argument("name", nargs="+", metavar="NAME")
    for job in jobs.choices.values():
        also_common(job)


def tray(command: _Parser) -> None:
    """Add the jobs of trays."""
    jobs = command.add_subparsers(title="jobs", metavar="JOB", required=True, dest="job")
    as_json(jobs.add_parser("list", help="which trays there are, and what is not ready"))
    show = jobs.add_parser("show", help="what lies in one, and where it goes")
    show.add_argument("name", nargs="+", metavar="NAME")
    as_json(show)
    card = jobs.add_parser("card", help="the card for its lid, as .pdf, .svg or .png")
    card.add_argument("name", nargs="+", metavar="NAME")
    to_file(card)
    bring = jobs.add_parser("import", help="fill trays from a CSV file; template shows one")
    bring.add_argument("file", metavar="FILE.csv")
    to_file(jobs.add_parser("export", help="all trays as CSV"))
    to_file(jobs.add_parser("template", help="an example of such a file"))
    drop = jobs.add_parser("drop", help="give one up; its lures stay in the box")
    drop.add_argument("name", nargs="+", metavar="NAME")
    for job in jobs.choices.values():
        also_common(job)


def model(command: _Parser) -> None:
    """Add the jobs of speech models."""
    jobs = command.add_subparsers(title="jobs", metavar="JOB", required=True, dest="job")
    get = jobs.add_parser("get", help="fetch a model; its checksum is verified")
    get.add_argument("name", nargs="?", metavar="MODEL", help="default: the small English one")
    as_json(jobs.add_parser("list", help="which engine and model would be used"))
    for job in jobs.choices.values():
        also_common(job)


def also_common(command: _Parser) -> None:
    """Add the common options to a job of a command, where they may also stand."""
    unset = argparse.SUPPRESS
    command.add_argument(
        "--home", metavar="DIR", default=unset, help="folder of the log and its settings"
    )
    command.add_argument(
        "--debug", action="store_true", default=unset, help="show tracebacks and more of the log"
    )


def as_json(command: _Parser) -> None:
    """Add `--json`."""
    command.add_argument("--json", action="store_true", help="the answer for a program")


def to_file(command: _Parser) -> None:
    """Add `--out` and `--yes`, for a command that writes one file."""
    command.add_argument("--out", metavar="FILE", help="instead of standard output")
    yes(command)


def yes(command: _Parser) -> None:
    """Add `--yes`."""
    command.add_argument("--yes", action="store_true", help="write over a file that is there")


class Version(argparse.Action):
    """Prints name and version, and ends."""

    def __init__(self, option_strings: Sequence[str], dest: str, **more: Any) -> None:
        super().__init__(option_strings, dest, nargs=0, **more)

    def __call__(self, parser: argparse.ArgumentParser, *_: Any) -> None:
        """Print them; what is not installed has no number."""
        from importlib.metadata import PackageNotFoundError, version

        try:
            number = version("deckcall")
        except PackageNotFoundError:
            number = "of a folder that is not installed"
        print(f"deckcall {number}")
        parser.exit()
