"""Damaged pages are found before anything is added: at once or, in a log that is long, in turns."""

from pathlib import Path

import pytest

from bot.errors import LogbookError
from bot.logbook import pages
from bot.logbook.store import FILE, Logbook
from tests.builders import entry
from tests.logbook.test_store import keep

PAGE = 4096


@pytest.fixture
def long_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Make a log of several parts."""
    monkeypatch.setattr(pages, "CHECKED_BYTES", 30_000)
    monkeypatch.setattr(pages, "NEWEST", 3)
    with Logbook.open(tmp_path) as log:
        log.defer_sync()
        for number in range(120):
            add(log, number)
    assert (tmp_path / FILE).stat().st_size > 100_000
    return tmp_path


def add(log: Logbook, number: int) -> None:
    said = f"strike {number:03} " + "far and wide " * 40
    keep(log, entry(f"{7 + number // 60:02}:{number % 60:02}", "strike", said=said))


def spoil(home: Path, number: int) -> None:
    """Overwrite the page that an entry lies on."""
    path = home / FILE
    whole = path.read_bytes()
    start = whole.index(f"strike {number:03} far".encode()) // PAGE * PAGE
    path.write_bytes(whole[:start] + b"\xa5" * PAGE + whole[start + PAGE :])


def test_a_long_log_that_is_whole_is_opened(long_log: Path) -> None:
    with Logbook.open(long_log, check=True) as log:
        add(log, 120)


def test_damage_at_the_end_of_a_long_log_is_found_at_once(long_log: Path) -> None:
    spoil(long_log, 118)

    with pytest.raises(LogbookError, match="is damaged"):
        Logbook.open(long_log, check=True)


@pytest.mark.parametrize("number", [15, 33, 60, 95])
def test_damage_anywhere_in_a_long_log_is_found_after_as_many_messages_as_it_has_parts(
    long_log: Path, number: int
) -> None:
    parts = 1 + (long_log / FILE).stat().st_size // pages.CHECKED_BYTES
    spoil(long_log, number)

    found = False
    for turn in range(parts + 1):
        try:
            Logbook.open(long_log, check=True).close()
        except LogbookError as problem:
            found = "is damaged" in str(problem)
            break
        with Logbook.open(long_log) as log:
            add(log, 121 + turn)

    assert found


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"a shopping list\n" * 40,
        b"SQLite format 3\x00",
        b"SQLite format 4\x00" + bytes(4080),
    ],
)
def test_a_file_that_does_not_begin_as_a_database_is_none(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "x").write_bytes(content)

    assert not pages.begins_as_database(tmp_path / "x")


def test_a_log_under_a_name_full_of_signs_begins_as_a_database(tmp_path: Path) -> None:
    home = tmp_path / "a ?b#c%20d"
    Logbook.open(home).close()

    assert pages.begins_as_database(home / FILE)
