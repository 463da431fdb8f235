"""The program as a process: exit codes, streams, one line for a failure."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from bot.cli import main
from bot.cli.options import parser
from tests.cli.run import run

ROOT = Path(__file__).parents[2]
BOX = """name,head,size_in,colours,hook_gauge,hooks,leader_kg,leader_m,ready,speed_min_kn,speed_max_kn
Loud Neighbour,cupped,8,purple,medium,2,150,4.5,yes,6,9
Old Boot,slim,10,black blue,heavy,1,,,,,
"""


def _process(home: Path, *args: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    environ = {k: v for k, v in os.environ.items() if not k.startswith("DECKCALL_")}
    return subprocess.run(
        [sys.executable, "-m", "bot", *args],
        input=stdin,
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=environ | {"DECKCALL_HOME": str(home)},
        timeout=120,
    )


def _commands() -> list[str]:
    for action in parser()._actions:
        if action.choices:
            return list(action.choices)
    raise AssertionError("no commands")


def test_help_is_there_for_every_command() -> None:
    for name in _commands():
        with pytest.raises(SystemExit) as ended:
            parser().parse_args([name, "--help"])

        assert ended.value.code == 0


@pytest.mark.parametrize("args", [[], ["fly"], ["tally", "--by", "mood"], ["replay"], ["box"]])
def test_a_usage_error_ends_with_2(tmp_path: Path, args: list[str]) -> None:
    done = _process(tmp_path, *args)

    assert done.returncode == 2
    assert done.stdout == ""
    assert "usage: deckcall" in done.stderr


@pytest.mark.parametrize(
    ("args", "part"),
    [
        (["box", "import", "missing.csv"], "missing.csv cannot be read"),
        (["box", "show", "Nobody"], 'no lure "Nobody"'),
        (["tally", "--trip", "T9"], 'no trip "T9"'),
        (["model", "get", "big"], 'no model "big"'),
        (["telegram"], "DECKCALL_TELEGRAM_TOKEN"),
    ],
)
def test_a_failure_is_one_line_and_ends_with_1(tmp_path: Path, args: list[str], part: str) -> None:
    done = _process(tmp_path, *args)

    assert done.returncode == 1
    assert done.stdout == ""
    assert part in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_wrong_setting_is_named_and_debug_shows_more(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text("[boat]\nspeed = 7\n", encoding="utf-8")

    done, more = _process(tmp_path, "trips"), _process(tmp_path, "trips", "--debug")

    assert done.returncode == more.returncode == 1
    assert "deckcall.toml: [boat] speed is unknown" in done.stderr
    assert done.stderr.count("\n") == 1
    assert "Traceback" in more.stderr


def test_a_reader_that_leaves_early_is_no_failure(tmp_path: Path) -> None:
    (tmp_path / "box.csv").write_text(BOX, encoding="utf-8")
    run(tmp_path, "box", "import", str(tmp_path / "box.csv"))
    command = [sys.executable, "-m", "bot", "box", "export", "--home", str(tmp_path)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()

    assert process.wait(60) == 0
    assert process.stderr.read() == b""
    process.stderr.close()


def test_a_box_goes_in_and_comes_out_the_same(tmp_path: Path) -> None:
    path = tmp_path / "box.csv"
    path.write_text(BOX, encoding="utf-8")

    assert run(tmp_path, "box", "import", str(path)).returncode == 0
    again = run(tmp_path, "box", "import", str(path))
    listed = json.loads(run(tmp_path, "box", "list", "--json").stdout)
    out = tmp_path / "out.csv"
    assert run(tmp_path, "box", "export", "--out", str(out)).returncode == 0

    assert "0 added, 2 brought up to date" in again.stdout
    assert [lure["name"] for lure in listed["lures"]] == ["Loud Neighbour", "Old Boot"]
    assert (
        out.read_text(encoding="utf-8").splitlines()[1].startswith("Loud Neighbour,cupped,8,purple")
    )


def test_a_bad_line_keeps_the_whole_file_out_unless_skipped(tmp_path: Path) -> None:
    path = tmp_path / "box.csv"
    path.write_text(BOX + "Tall Story,round,eight,purple,,,,,,,\n", encoding="utf-8")

    refused = run(tmp_path, "box", "import", str(path))
    listed = json.loads(run(tmp_path, "box", "list", "--json").stdout)
    taken = run(tmp_path, "box", "import", "--skip-bad", str(path))

    assert refused.returncode == 1
    assert "line 4:" in refused.stderr
    assert listed["lures"] == []
    assert taken.returncode == 0
    assert "2 added" in taken.stdout


def test_an_empty_log_answers_too(tmp_path: Path) -> None:
    assert json.loads(run(tmp_path, "spread", "--json").stdout) == {"positions": []}
    assert json.loads(run(tmp_path, "trips", "--json").stdout) == {"trips": []}
    total = json.loads(run(tmp_path, "tally", "--json").stdout)["total"]
    assert (total["strikes"], total["rate_per_10h"]) == (0, None)


def test_the_doctor_names_what_is_missing_and_what_to_do(tmp_path: Path) -> None:
    done = run(tmp_path, "doctor", "--json")

    checks = {check["name"]: check for check in json.loads(done.stdout)["checks"]}
    assert done.returncode == 0
    assert "BotFather" in checks["telegram"]["text"]
    assert "box import" in checks["box"]["text"]
    assert checks["sound"]["state"] == "ok"


def test_a_model_that_is_not_there_is_wrong(tmp_path: Path) -> None:
    done = run(tmp_path, "doctor", "--model", str(tmp_path))

    assert done.returncode == 1
    assert "holds no Vosk model" in done.stdout


@pytest.mark.parametrize("args", [["--help"], ["parse", "--help"]])
def test_help_starts_without_the_heavy_parts(args: list[str]) -> None:
    code = (
        "import sys; from bot.cli import main\n"
        f"try: main({args!r})\n"
        "except SystemExit: pass\n"
        "heavy = {'telegram', 'vosk', 'pocketsphinx', 'scipy', 'rich', 'numpy', 'sqlite_utils'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=60
    )

    assert done.stderr.strip() == "[]"


@pytest.mark.parametrize("transport", ["telegram", "web"])
def test_what_only_hands_calls_on_loads_nothing_that_answers(transport: str) -> None:
    code = (
        f"import sys, bot.build, bot.cli.talk, bot.transports.{transport}\n"
        "from bot.fittings import ear_workers\n"
        "heavy = {'numpy', 'rapidfuzz', 'sqlite_utils', 'bot.desk.desk', 'bot.calls.understand'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=60
    )

    assert done.stdout.strip() == "[]"


def test_a_typed_question_loads_no_ear_and_nothing_that_weighs_and_starts_no_threads(
    tmp_path: Path,
) -> None:
    code = (
        "import sys; from bot.cli import main\n"
        "assert main(['chat', '--home', sys.argv[1]]) == 0\n"
        "from threadpoolctl import threadpool_info\n"
        "heavy = {'multiprocessing', 'bot.advice.season', 'bot.advice.sticking', 'bot.advice.standing'}\n"
        "blas = [one['num_threads'] for one in threadpool_info() if one['internal_api'] == 'openblas']\n"
        "print(sorted(heavy & set(sys.modules)), max(blas, default=1), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], input="what's out\n", capture_output=True, text=True,
        cwd=ROOT, timeout=120, check=False,
    )  # fmt: skip

    assert "Nothing is out." in done.stdout
    assert done.stderr.splitlines()[-1] == "[] 1"


def test_parse_gives_a_line_for_every_line_and_stores_nothing(tmp_path: Path) -> None:
    calls = "strike long rigger, purple eight\nlines in\n"

    done = run(tmp_path, "parse", "--jsonl", stdin=calls)
    one = run(tmp_path, "parse", "strike", "long", "rigger,", "purple", "eight")

    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert [line["text"] for line in lines] == calls.splitlines()
    assert lines[0]["calls"] == [
        {"act": "strike", "position": "long rigger", "colours": ["purple"], "size_in": 8}
    ]
    assert json.loads(one.stdout)["calls"] == lines[0]["calls"]
    assert list(tmp_path.iterdir()) == []


def test_a_replayed_day_keeps_the_clock_of_the_file(tmp_path: Path) -> None:
    day = tmp_path / "day.jsonl"
    said = ["trip start", "lines in", "set long rigger purple eight", "strike long rigger"]
    times = ["06:00", "06:10", "06:10", "08:10"]
    day.write_text(
        "".join(
            json.dumps({"at": f"2026-03-01T{at}:00+13:00", "crew": "Ana", "text": text}) + "\n"
            for at, text in zip(times, said, strict=True)
        ),
        encoding="utf-8",
    )

    done = run(tmp_path, "replay", str(day))
    total = json.loads(run(tmp_path, "tally", "--trip", "all", "--json").stdout)["total"]
    held = json.loads(run(tmp_path, "trips", "--json").stdout)["trips"]

    assert done.returncode == 0
    assert [len(json.loads(line)["logged"]) for line in done.stdout.splitlines()] == [1, 1, 1, 1]
    assert held[0]["started"] == "2026-02-28T17:00:00+00:00"
    assert total["strikes"] == 1
    assert total["hours"] >= 2.0


def test_a_bad_line_of_a_recorded_day_plays_nothing(tmp_path: Path) -> None:
    day = tmp_path / "day.jsonl"
    day.write_text('{"at": "2026-03-01T06:00:00Z", "text": "trip start"}\n{"at": 5}\n')

    done = run(tmp_path, "replay", str(day))

    assert done.returncode == 1
    assert "line 2" in done.stderr
    assert json.loads(run(tmp_path, "trips", "--json").stdout) == {"trips": []}


def test_the_pipe_of_the_readme_logs_and_answers(tmp_path: Path) -> None:
    calls = "trip start\nlines in\nset long rigger purple eight\nstrike long rigger purple eight\n"

    done = run(tmp_path, "chat", stdin=calls)
    out = json.loads(run(tmp_path, "spread", "--json").stdout)["positions"]
    hold = json.loads(run(tmp_path, "next", "--json").stdout)

    assert done.returncode == 0
    assert done.stderr == ""
    assert "1 of 1 strike" in done.stdout
    assert [(one["position"], one["size_in"], one["colours"]) for one in out] == [
        ("long rigger", 8, ["purple"])
    ]
    assert hold["advice"] is None
    assert hold["hold"]


def test_a_plan_of_the_box_comes_as_json(tmp_path: Path) -> None:
    box = ROOT / "fixtures" / "boxes" / "mixed.csv"
    assert run(tmp_path, "box", "import", str(box)).returncode == 0

    plan = json.loads(run(tmp_path, "plan", "--json").stdout)
    wrong = run(tmp_path, "plan", "--tackle", "feather")

    keys = {"position", "lure", "size_in", "colours", "head", "reason", "spare", "back_m"}
    assert plan["positions"]
    assert all(keys <= set(one) for one in plan["positions"])
    assert plan["speed_kn"] > 0
    assert wrong.returncode == 1
    assert wrong.stderr.count("\n") == 1


def test_a_recording_is_heard_without_being_logged_unless_asked(tmp_path: Path) -> None:
    sound = str(ROOT / "fixtures" / "recordings" / "strike_long_rigger.ogg")

    heard = json.loads(run(tmp_path, "hear", sound, "--json").stdout)
    assert heard["outcome"] == "logged"
    nothing = list(tmp_path.iterdir())
    logged = json.loads(run(tmp_path, "hear", sound, "--json", "--log").stdout)

    assert nothing == []
    assert heard["calls"][0]["act"] == "strike"
    assert heard["calls"][0]["position"] == "long rigger"
    assert heard["file"] == sound
    assert heard["alternatives"][0]["text"] == heard["text"]
    assert heard["seconds"] > 1
    assert heard["took"] > 0
    assert len(logged["logged"]) >= 1


def test_a_grammar_of_somebody_elses_is_heard_with(tmp_path: Path) -> None:
    grammar = tmp_path / "theirs.gram"
    grammar.write_text(
        "#JSGF V1.0;\ngrammar theirs;\npublic <call> = (strike | clear) (long | short) (rigger | corner)"
        " [purple (eight | nine)];\n",
        encoding="utf-8",
    )
    sound = str(ROOT / "fixtures" / "recordings" / "strike_long_rigger.ogg")

    done = run(tmp_path, "hear", "--jsgf", str(grammar), "--json", sound)

    heard = json.loads(done.stdout)
    assert "calls" not in heard
    assert heard["text"].startswith("strike long")


def test_a_file_that_is_no_recording_fails_and_the_others_are_heard(tmp_path: Path) -> None:
    bad = tmp_path / "bad.ogg"
    bad.write_bytes(b"OggS" + bytes(100))
    sound = str(ROOT / "fixtures" / "recordings" / "lines_in.ogg")

    done = run(tmp_path, "hear", str(bad), sound, "--json")

    assert done.returncode == 1
    assert "bad.ogg" in done.stderr
    assert done.stderr.count("\n") == 1
    assert json.loads(done.stdout)["calls"] == [{"act": "lines_in"}]


def test_the_version_is_told_and_shells_complete_every_command(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--version"])
    told = capsys.readouterr().out

    assert left.value.code == 0
    assert told.startswith("deckcall ")
    for shell in ("bash", "zsh", "tcsh"):
        assert main(["completion", shell]) == 0
        script = capsys.readouterr().out
        assert all(name in script for name in ("telegram", "tally", "setup", "skip-bad"))
