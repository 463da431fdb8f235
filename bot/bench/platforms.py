"""Which machines the program installs on: every dependency, as a wheel, for every Python and system.

`python -m bot.bench platforms` asks pip, by its dry run, for each direct dependency of `pyproject.toml` that
is wanted there (by its marker) and prints a table. What is optional is asked for too. Wants a package index.
"""

import argparse
import re
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from packaging.requirements import Requirement

PYTHONS: Final = ("3.11", "3.12", "3.13", "3.14")
_LINUX: Final = ("manylinux_2_28", "manylinux_2_27", "manylinux_2_24", "manylinux_2_17", "manylinux2014",
                 "manylinux2010", "manylinux1")  # fmt: skip


@dataclass(frozen=True, slots=True)
class System:
    """A kind of machine, as pip and as markers name it."""

    name: str
    tags: tuple[str, ...]
    marks: Mapping[str, str]


def _marks(platform: str, machine: str, release: str = "6.1.0") -> dict[str, str]:
    return {
        "sys_platform": platform, "platform_machine": machine, "platform_release": release,
        "os_name": "nt" if platform == "win32" else "posix", "implementation_name": "cpython",
    }  # fmt: skip


def _mac(version: int) -> tuple[str, ...]:
    return (f"macosx_{version}_0_arm64", f"macosx_{version}_0_universal2")


SYSTEMS: Final = (
    System("Linux x86_64", tuple(f"{tag}_x86_64" for tag in _LINUX), _marks("linux", "x86_64")),
    System(
        "Linux aarch64", tuple(f"{tag}_aarch64" for tag in _LINUX[:5]), _marks("linux", "aarch64")
    ),
    System("macOS 14 arm64", _mac(14), _marks("darwin", "arm64", "23.6.0")),
    System("macOS 15 arm64", _mac(15), _marks("darwin", "arm64", "24.6.0")),
    System("Windows x86_64", ("win_amd64",), _marks("win32", "AMD64")),
)
_NOT_FOUND: Final = re.compile(
    r"(?:No matching distribution found for|satisfies the requirement) ([\w.-]+)"
)


def main(argv: list[str]) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench platforms", description=__doc__)
    parser.add_argument("--project", type=Path, default=Path("pyproject.toml"))
    args = parser.parse_args(argv)
    project = tomllib.loads(args.project.read_text(encoding="utf-8"))["project"]
    print("| system | " + " | ".join(f"CPython {version}" for version in PYTHONS) + " |")
    print("| --- |" + " --- |" * len(PYTHONS))
    for system in SYSTEMS:
        cells = [_cell(project, system, version) for version in PYTHONS]
        print(f"| {system.name} | " + " | ".join(cells) + " |", flush=True)
    return 0


def _cell(project: Mapping[str, Any], system: System, version: str) -> str:
    """Return whether all that is wanted comes as a wheel, and what of the optional does not come."""
    marks = dict(system.marks)
    marks |= {"python_version": version, "python_full_version": f"{version}.0"}
    every = [Requirement(said) for said in project["dependencies"]]
    wanted = [one for one in every if one.marker is None or one.marker.evaluate(marks)]
    extras = project["optional-dependencies"]
    more = [
        Requirement(said) for name in ("people", "microphone", "serial") for said in extras[name]
    ]
    missing = _missing(wanted, system, version)
    left_out = sorted({one.name for one in every} - {one.name for one in wanted})
    optional = sorted(set(left_out) | set(_missing(more, system, version)))
    if missing:
        return f"**no**: {', '.join(missing)}"
    return "installs" + (f" without {', '.join(optional)}" if optional else "")


def _missing(wanted: Sequence[Requirement], system: System, version: str) -> list[str]:
    """Return the names of what has no wheel."""
    left, missing = list(wanted), list[str]()
    while left:
        bad = _first_missing(left, system, version)
        if bad is None:
            return missing
        missing.append(bad)
        left = [one for one in left if _plain(one.name) != _plain(bad)]
    return missing


def _first_missing(wanted: Iterable[Requirement], system: System, version: str) -> str | None:
    with tempfile.TemporaryDirectory() as folder:
        command = [
            sys.executable, "-m", "pip", "install", "--dry-run", "--quiet", "--no-deps",
            "--only-binary=:all:", "--ignore-installed", "--target", folder,
            "--implementation", "cp", "--python-version", version,
        ]  # fmt: skip
        for tag in system.tags:
            command += ["--platform", tag]
        command += [f"{one.name}{one.specifier}" for one in wanted]
        done = subprocess.run(command, check=False, capture_output=True, text=True)
    if done.returncode == 0:
        return None
    found = _NOT_FOUND.search(done.stderr)
    if found is None:
        raise SystemExit(done.stderr.strip().splitlines()[-1])
    return re.split(r"[<>=!~]", found[1])[0]


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()
