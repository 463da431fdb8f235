"""The bench that counts the files of a call counts those that run, and no bench."""

from pathlib import Path

from bot.bench.entered import files_of_call


def test_a_call_enters_the_files_on_its_way_and_no_others(tmp_path: Path) -> None:
    files = files_of_call(tmp_path, "strike long rigger, purple eight")

    assert {"desk/desk.py", "calls/understand.py", "trip/decide.py", "logbook/store.py"} <= files
    assert not [name for name in files if name.startswith(("bench/", "transports/", "reports/"))]
    assert "calls/meant/reminder.py" not in files
