"""Files of strangers for `import`, `replay`, `box import`: one line each, the log as it was, in good time.

Bounds of the whole folder: an answer within 5 s, memory under 400 MB.
"""

import json
import struct
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot.errors import AudioError
from bot.logbook.store import Logbook
from bot.speech.audio import to_pcm
from tests.hostile.rig import entries, fished, run

ROOT = Path(__file__).parents[2]
DEEP = "[" * 200_000
LONG = "9" * 5000


def line(**changes: Any) -> str:
    """Return a line of an export that is changed in one place."""
    made: dict[str, Any] = {
        "kind": "entry", "boat": "Gull", "id": "0000aaaa", "trip": "theirs",
        "at": "2026-03-14T07:00:00Z", "crew": "Ann", "source": "console", "text": "strike",
        "record": {"message": "m", "version": 1, "body": {"call": {"act": "strike"}}},
    }  # fmt: skip
    record = made["record"] | {
        key: changes.pop(key) for key in ("version", "body", "message") if key in changes
    }
    return json.dumps(made | changes | {"record": record})


def void(*names: str, **changes: Any) -> str:
    """Return a line that voids entries."""
    return line(**{"kind": "voided", "id": "0000ffff", "body": {"entries": list(names)}} | changes)


def call(**slots: Any) -> dict[str, Any]:
    return {"call": {"act": "strike"} | slots}


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return fished(tmp_path / "home")


def taken(home: Path, *lines: str, more: tuple[str, ...] = ()) -> Any:
    file = home.parent / "theirs.jsonl"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return run(home, "import", str(file), *more)


# what would change this boat's own log


def test_a_file_cannot_void_what_this_boat_logged(home: Path) -> None:
    before = entries(home)
    own = [str(row[0]) for row in before]

    for trip in ("theirs", str(before[0][1])):
        done = taken(home, line(), void(*own, trip=trip))

        assert done.code == 1
        assert "clash with this log" in done.err.splitlines()[-1]
        assert entries(home) == before


def test_of_a_file_that_voids_foreign_entries_the_rest_can_be_had(home: Path) -> None:
    before = entries(home)
    own = [str(row[0]) for row in before]

    done = taken(home, line(), void(*own), more=("--skip-bad",))

    assert done.code == 0
    assert "takes back" in done.err
    assert [row for row in entries(home) if row[1] != "theirs"] == before
    assert len(entries(home)) == len(before) + 1


def test_a_file_cannot_add_to_a_trip_that_was_logged_here(home: Path) -> None:
    before = entries(home)

    done = taken(home, line(trip=before[0][1]))

    assert done.code == 1
    assert "was logged here" in done.err
    assert entries(home) == before


def test_one_boat_cannot_change_the_trip_of_another(home: Path) -> None:
    assert taken(home, line()).code == 0
    before = entries(home)

    for changed in (line(id="0000aaab", boat="Shag"), void("0000aaaa", boat="Shag")):
        assert taken(home, changed).code == 1
        assert entries(home) == before
    assert taken(home, void("0000aaaa")).code == 0
    assert [row[-1] for row in entries(home) if row[0] == "0000aaaa"] == [1]


def test_a_file_cannot_take_the_place_of_a_message_that_may_be_edited(home: Path) -> None:
    with Logbook.open(home) as log:
        (own, *_) = (name for (name,) in log.rows("SELECT id FROM messages"))
    before = entries(home)

    done = taken(home, line(message=own))

    assert done.code == 1
    assert "message of this log" in done.err
    assert entries(home) == before


def test_the_same_id_twice_with_two_meanings_takes_nothing(home: Path) -> None:
    before = entries(home)

    done = taken(home, line(), line(trip="other"), void("0000aaaa", trip="other"))

    assert done.code == 1
    assert entries(home) == before


def test_clashes_are_shown_before_anything_is_taken(home: Path) -> None:
    before = entries(home)
    many = [line(id=f"0000b{n:03x}", trip=before[0][1]) for n in range(30)]

    done = taken(home, line(), *many)

    assert done.err.count("was logged here") == 10
    assert "and 20 more such records" in done.err
    assert entries(home) == before


# times and sizes


@pytest.mark.parametrize("days", [2, 400, 60_000])
def test_a_trip_that_has_not_been_yet_is_not_taken_and_every_command_works_on(
    home: Path, days: int
) -> None:
    then = (datetime.now(UTC) + timedelta(days=days)).strftime("%Y-%m-%dT%H:%M:%SZ")
    before = entries(home)

    done = taken(home, line(at=then, boat="", body=call() | {"latitude": 10, "longitude": 10}))

    assert done.code == 1
    assert "has not come yet" in done.err
    assert entries(home) == before
    for command in (("trips",), ("tally", "--trip", "all"), ("next",), ("report",)):
        assert run(home, *command).code == 0


def test_an_id_of_the_year_2500_does_not_push_the_ids_of_this_log(home: Path) -> None:
    done = taken(home, line(id="0f000000-0000-7000-8000-000000000000"))

    assert done.code == 1
    assert "has not come yet" in done.err


BAD: dict[str, str] = {
    "half a letter in the crew": line(crew="\ud800"),
    "half a letter in the words": line(text="strike \udfff"),
    "half a letter in a slot": line(body=call(species="\ud800")),
    "half a letter in a key": line(body=call(**{"\ud800": 1})),
    "half a letter as an id to void": void("\ud800"),
    "200,000 deep": DEEP,
    "200,000 deep, closed": DEEP + "]" * 200_000,
    "200,000 deep inside": line().replace('"m"', '{"a":' * 200_000 + "1" + "}" * 200_000),
    "900 deep in the body": line(body=call(text=json.loads("[" * 900 + "]" * 900))),
    "a number of 5,000 digits": line().replace('"version": 1', f'"version": {LONG}'),
    "a weight of 300 digits": line(body=call(weight_kg=int("9" * 300))),
    "a weight of 4,000 digits": line(body=call(weight_kg=10**4000)),
    "a count of 300 digits": line(body=call(count=10**300)),
    "a version of 300 digits less than nothing": line(version=-(10**300)),
    "a weight without end": line(body=call(weight_kg=float("inf"))),
    "a place that is no number": line(body=call() | {"latitude": float("nan"), "longitude": 1}),
    "a text of a million letters": line(text="x" * 1_000_000),
    "words of 5,000 letters": line(text="x" * 5000),
    "a crew of 5,000 letters": line(crew="x" * 5000),
    "a trip of 5,000 letters": line(trip="x" * 5000),
    "a lure of 5,000 letters": line(body=call(lure="x" * 5000)),
    "100,000 colours": line(body=call(colours=["red"] * 100_000)),
    "10,000 entries voided at once": void(*["0000aaaa"] * 10_000),
    "a boat of two lines": line(boat="Gull\nline 9: all is well"),
    "a crew that clears the screen": line(crew="\x1b[2J"),
    "words that clear the screen": line(text="strike\x1b[2J"),
    "a trip that is a path and a line": line(trip="../../etc\n"),
    "a nought in the words": line(text="strike\x00"),
    "a source that is a list": line(source=["console"]),
    "a body that is a list": line(body=[]),
    "no body": line(body=None),
    "a year of nought": line(at="0000-01-01T00:00:00Z"),
    "the first day of the calendar, east": line(at="0001-01-01T00:00:00+14:00"),
    "the last day of the calendar, west": line(at="9999-12-31T23:59:59-14:00"),
    "a time that is a number": line(at=7),
    "an act that is a list": line(body={"call": {"act": ["strike"]}}),
    "slots that name what replaces": line(body=call() | {"replaces": {"a": 1}}),
    "what is inferred is no list": line(body=call() | {"inferred": 3}),
    "what is inferred is deep": line(body=call() | {"inferred": [[["x"]]]}),
    "a stamp that is text": line(body=call() | {"stamp": "now"}),
    "advice without numbers": line(kind="advised", body={"advice": {"position": "x"}}),
    "an unknown kind": line(kind="; DROP TABLE records"),
}


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD.keys())
def test_a_bad_line_is_named_and_nothing_of_the_file_is_taken(home: Path, bad: str) -> None:
    before = entries(home)

    done = taken(home, line(), bad)

    assert done.code == 1, done
    assert done.err.startswith("line 2: "), done
    assert len(done.err) < 600
    assert "Traceback" not in done.err
    assert "\x1b" not in done.err
    assert entries(home) == before
    assert taken(home, line(), bad, more=("--skip-bad",)).code == 0
    assert len(entries(home)) == len(before) + 1


RAW: dict[str, bytes] = {
    "nothing": b"",
    "noughts": b"\0" * 100_000,
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 100,
    "UTF-16": line().encode("utf-16"),
    "one line of 10 MB": b"x" * 10_000_000,
    "half a line": line().encode()[:-20],
    "JSON text of a string": b'"strike"',
    "a database": b"SQLite format 3\0" + b"\0" * 4096,
}


@pytest.mark.parametrize("raw", RAW.values(), ids=RAW.keys())
@pytest.mark.parametrize("command", [("import",), ("replay",), ("box", "import"), ("restore",)])
def test_what_is_no_such_file_at_all_is_told_in_one_line(
    home: Path, tmp_path: Path, command: tuple[str, ...], raw: bytes
) -> None:
    file = tmp_path / "x"
    file.write_bytes(raw)
    before = entries(home)

    done = run(home, *command, str(file))

    assert "Traceback" not in done.err
    assert "fault of the program" not in done.err
    assert done.code == (0 if raw == b"" and command in (("import",), ("replay",)) else 1), done
    assert all(len(one) < 600 for one in done.err.splitlines())
    assert entries(home) == before


def test_a_file_without_end_is_not_read_to_its_end(home: Path) -> None:
    for command in (("import",), ("replay",), ("box", "import")):
        done = run(home, *command, "/dev/zero")

        assert done.is_one_line
        assert "is larger than" in done.err


PLAYED: dict[str, str] = {
    "deep": DEEP,
    "5,000 digits": f'{{"at": {LONG}, "text": "strike"}}',
    "half a letter": '{"at": "2026-03-14T07:00:00Z", "text": "\\ud800"}',
    "half a letter in the crew": '{"at": "2026-03-14T07:00:00Z", "text": "x", "crew": "\\ud800"}',
    "the year 2199": '{"at": "2199-03-14T07:00:00Z", "text": "strike"}',
    "the end of the calendar": '{"at": "9999-12-31T23:59:59-14:00", "text": "strike"}',
    "the begin of the calendar": '{"at": "0001-01-01T00:00:00+14:00", "text": "strike"}',
    "a list": "[1, 2]",
    "a text of 100,000 letters": json.dumps(
        {"at": "2026-03-14T07:00:00Z", "text": "strike " * 15_000}
    ),
}


@pytest.mark.parametrize("bad", PLAYED.values(), ids=PLAYED.keys())
def test_a_day_with_a_bad_line_is_not_played(home: Path, tmp_path: Path, bad: str) -> None:
    file = tmp_path / "day.jsonl"
    file.write_text(
        '{"at": "2026-03-14T08:00:00Z", "text": "strike shotgun"}\n' + bad + "\n", "utf-8"
    )
    before = entries(home)

    done = run(home, "replay", str(file))

    assert done.is_one_line, done
    assert "line 2" in done.err
    assert len(done.err) < 600
    assert entries(home) == before


LURES: dict[str, str] = {
    "a name that clears the screen": "\x1b[2J,8,purple",
    "a name from right to left": "\u202egpj.exe,8,purple",
    "a name of 10,000 letters": "x" * 10_000 + ",8,purple",
    "a size of 5,000 digits": f"Boot,{LONG},purple",
    "a size in full-width digits": "Boot,８,purple",
    "a size that is no number": "Boot,nan,purple",
    "a size without end": "Boot,1e999,purple",
    "a size less than nothing": "Boot,-8,purple",
    "a colour of 10,000 letters": "Boot,8," + "x" * 10_000,
    "100,000 cells": "Boot,8,purple" + ",x" * 100_000,
    "an open quote": '"Boot,8,purple',
    "half a letter": "\ud800,8,purple",
}


@pytest.mark.parametrize("bad", LURES.values(), ids=LURES.keys())
def test_a_bad_lure_keeps_the_box_as_it_was(home: Path, tmp_path: Path, bad: str) -> None:
    file = tmp_path / "box.csv"
    text = f"name,size_in,colours\nOld Boot,8,purple\n{bad}\n"
    file.write_bytes(text.encode("utf-8", "surrogatepass"))

    done = run(home, "box", "import", str(file))

    assert done.code == 1, done
    assert done.err.startswith("line 3: ")
    assert all(len(one) < 600 for one in done.err.splitlines())
    assert "\x1b" not in done.err
    assert "\u202e" not in done.err
    assert "Old Boot" not in run(home, "box", "list").out


def test_two_names_that_look_the_same_are_one_lure(home: Path, tmp_path: Path) -> None:
    # Unicode Standard Annex #15: the composed and the decomposed form are canonically equivalent
    file = tmp_path / "box.csv"
    file.write_text("name,size_in,colours\nCafe\u0301,8,purple\nCafé,9,red\n", "utf-8")

    done = run(home, "box", "import", str(file))

    assert done.code == 1
    assert "stands on line 2 already" in done.err


# memory and time


def measured(home: Path, *args: str) -> tuple[int, str, float, float]:
    """Run a command in a process of its own; give its code, its errors, its seconds and its peak of MB."""
    program = (
        "import resource, subprocess, sys, time; t = time.monotonic();"
        "done = subprocess.run(sys.argv[1:], capture_output=True, text=True);"
        "peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024;"
        "print(done.returncode, time.monotonic() - t, peak); print(done.stderr[-2000:])"
    )
    command = [
        sys.executable,
        "-c",
        program,
        sys.executable,
        "-m",
        "bot",
        *args,
        "--home",
        str(home),
    ]
    done = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT)
    first, _, err = done.stdout.partition("\n")
    code, seconds, peak = first.split()
    return int(code), err, float(seconds), float(peak)


FLOODS = {
    "bad lines": b"{}\n", "blank lines": b"\n", "one letter a line": b"x\n",
    "deep lines": b"[" * 190_000 + b"\n",
    "noughts": b"\0", "commas": b",", "quotes": b'"',
}  # fmt: skip


@pytest.mark.parametrize("part", FLOODS.values(), ids=FLOODS.keys())
@pytest.mark.parametrize("command", [("import",), ("replay",), ("box", "import")], ids=" ".join)
def test_the_largest_file_that_is_read_takes_little_memory(
    home: Path, tmp_path: Path, command: tuple[str, ...], part: bytes
) -> None:
    most = 1_900_000 if command[0] == "box" else 49_000_000
    file = tmp_path / "flood"
    file.write_bytes(part * (most // len(part)))

    code, err, _, peak_mb = measured(home, *command, str(file))

    assert code in (0, 1), err
    assert "Traceback" not in err
    assert "fault of the program" not in err
    assert peak_mb < 400


SOUNDS = {
    "655 kHz in eight channels": (655_350, 8),
    "1 Hz": (1, 1),
    "24 channels": (48_000, 24),
}


@pytest.mark.parametrize(("rate", "channels"), SOUNDS.values(), ids=SOUNDS.keys())
def test_a_recording_that_claims_a_flood_takes_little_memory(
    tmp_path: Path, rate: int, channels: int
) -> None:
    file = tmp_path / "x.wav"
    data = bytes(min(rate * channels * 2 * 20, 30_000_000))
    head = (
        b"RIFF"
        + struct.pack("<I", 36 + len(data))
        + b"WAVEfmt "
        + struct.pack(
            "<IHHIIHH", 16, 1, channels, rate, min(rate * channels * 2, 2**32 - 1), channels * 2, 16
        )
    )
    file.write_bytes(head + b"data" + struct.pack("<I", len(data)) + data)

    with pytest.raises(AudioError):
        to_pcm(file.read_bytes())
