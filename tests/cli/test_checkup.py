"""What `deckcall doctor` looks at, where a machine lacks something."""

import json
import sys
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

import pytest

from bot.cli import main
from tests.cli.run import run


def test_a_machine_without_a_microphone_is_told_so_and_checked_to_the_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class PortAudioError(Exception):
        """As sounddevice raises it: no OSError."""

    def query_devices(**_: object) -> object:
        raise PortAudioError("Error querying device -1")

    fake = ModuleType("sounddevice")
    fake.__spec__ = ModuleSpec("sounddevice", None)
    vars(fake)["query_devices"] = query_devices
    monkeypatch.setitem(sys.modules, "sounddevice", fake)

    main(["doctor", "--home", str(tmp_path), "--json"])

    found = {check["name"]: check for check in json.loads(capsys.readouterr().out)["checks"]}
    assert found["microphone"]["state"] == "note"
    assert "Error querying device -1" in found["microphone"]["text"]


def test_the_wake_phrase_and_the_voice_are_looked_at(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "deckcall.toml").write_text('[listen]\nwake = "fish on"\nvoice = "none.onnx"\n')

    assert main(["doctor", "--home", str(tmp_path), "--json"]) == 1

    found = {check["name"]: check for check in json.loads(capsys.readouterr().out)["checks"]}
    assert found["wake phrase"]["state"] == "wrong"
    assert "fish on" in found["wake phrase"]["text"]
    assert found["voice"]["state"] == "wrong"
    assert "none.onnx" in found["voice"]["text"]


def test_everything_is_checked_also_where_settings_are_wrong(tmp_path: Path) -> None:
    text = '[boat]\ntimezone = "Mars/Base"\n[advice]\nday_h = 99\n[outit]\nx = 1\n'
    (tmp_path / "deckcall.toml").write_text(text, encoding="utf-8")

    done = run(tmp_path, "doctor", "--json")

    checks = json.loads(done.stdout)["checks"]
    wrong = [c["text"] for c in checks if c["name"] == "settings"]
    assert done.returncode == 1
    assert len(wrong) == 3
    assert all(
        part in text for part, text in zip(("Mars/Base", "day_h", "outfit"), wrong, strict=True)
    )
    assert {"home", "log", "ear", "instruments"} <= {c["name"] for c in checks}


def test_every_ear_is_loaded_and_a_missing_one_is_named_with_what_it_costs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from bot.cli.ears_check import ears
    from bot.settings import load

    found = load(options={"home": str(tmp_path)})
    whole = ears(found)
    monkeypatch.setattr("bot.speech.written_ear.writer", lambda _fetched=None: None)
    less = ears(found)

    assert [one.is_there for one in whole] == [True, True, True]
    assert [one.is_there for one in less] == [True, False, True]
    assert "82.9 of 100 calls" in less[1].text
    assert "deckcall model get whisper-tiny.en" in less[1].text


def test_who_has_no_token_is_told_of_the_setup_the_file_and_the_variable(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("DECKCALL_TELEGRAM_TOKEN", raising=False)

    main(["doctor", "--home", str(tmp_path), "--json"])

    found = {check["name"]: check for check in json.loads(capsys.readouterr().out)["checks"]}
    text = found["telegram"]["text"]
    assert all(w in text for w in ("deckcall setup", "telegram.token", "DECKCALL_TELEGRAM_TOKEN"))
