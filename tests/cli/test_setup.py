"""`deckcall setup`: answers end up in deckcall.toml, one by one; what else stands there stays."""

import os
import stat
from pathlib import Path

import pytest

from bot.settings import load
from tests.cli.run import run

TOKEN = "123456:ABCDEFGHIJKLMNOPQRSTUVWXYZabcde"
WHOLE = f"Driftwood\nauckland\nshort corner, shotgun\n35.2S 174.3E\nAna, Ben\n80 lb\n11\n24\n\n{TOKEN}\n"


def test_a_whole_interview_gives_settings_that_load(tmp_path: Path) -> None:
    done = run(tmp_path, "setup", stdin=WHOLE)

    found = load({}, {"home": tmp_path})
    assert done.returncode == 0
    assert "Done." in done.stderr
    assert found.boat.name == "Driftwood"
    assert found.boat.timezone == "Pacific/Auckland"
    assert found.boat.positions == ("short corner", "shotgun")
    assert found.boat.place == (-35.2, 174.3)
    assert found.boat.crew == ("Ana", "Ben")
    # IGFA line classes: the 80 lb class is 37 kg (International Angling Rules)
    rods = [(o.position, o.line_class_kg, o.strike_drag_kg) for o in found.outfits]
    assert rods == [("short corner", 37, 11), ("shotgun", 24, None)]
    assert found.telegram.token == TOKEN


@pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX")
def test_the_token_is_for_its_owner_alone_and_never_shown(tmp_path: Path) -> None:
    done = run(tmp_path, "setup", stdin=WHOLE)

    assert stat.S_IMODE((tmp_path / "telegram.token").stat().st_mode) == 0o600
    assert TOKEN not in done.stdout + done.stderr
    assert TOKEN not in (tmp_path / "deckcall.toml").read_text()


@pytest.mark.parametrize("end", ["", "quit\n", "later\n"])
def test_who_leaves_keeps_what_was_answered_and_goes_on_from_there(
    tmp_path: Path, end: str
) -> None:
    left = run(tmp_path, "setup", stdin=f"Driftwood\nHobart\n{end}")

    again = run(tmp_path, "setup", stdin="\n\n\n\nAna\n")

    assert "goes on from there" in left.stderr
    assert "Name of the boat [Driftwood]:" in again.stderr
    found = load({}, {"home": tmp_path})
    assert (found.boat.name, found.boat.timezone) == ("Driftwood", "Australia/Hobart")
    assert found.boat.crew == ("Ana",)


def test_what_else_stands_in_the_file_stays(tmp_path: Path) -> None:
    before = (
        '# ours\n[boat]\nname = "Old"  # as painted\n[words.nicknames]\n"Hat Box" = ["the lid"]\n'
    )
    (tmp_path / "deckcall.toml").write_text(before, encoding="utf-8")

    run(tmp_path, "setup", stdin="New\n\nquit\n")

    after = (tmp_path / "deckcall.toml").read_text(encoding="utf-8")
    assert "# ours" in after
    assert "# as painted" in after
    assert load({}, {"home": tmp_path}).words.nicknames == {"Hat Box": ("the lid",)}
    assert load({}, {"home": tmp_path}).boat.name == "New"


def test_a_wrong_answer_is_asked_for_again_and_enter_keeps_what_was_there(tmp_path: Path) -> None:
    done = run(tmp_path, "setup", stdin="Driftwood\nhobert\nhobart\n\n99 999\n\n\nheavy\n\nquit\n")

    assert "Did you mean Australia/Hobart?" in done.stderr
    assert "Two numbers in degrees" in done.stderr
    assert "A line class between 0.5 and 100 kg" in done.stderr
    found = load({}, {"home": tmp_path})
    assert found.boat.timezone == "Australia/Hobart"
    assert (found.boat.place, found.outfits) == (None, ())


def test_a_dash_takes_an_answer_out(tmp_path: Path) -> None:
    run(tmp_path, "setup", stdin=WHOLE)

    run(tmp_path, "setup", stdin="-\n\n\n-\n-\n-\n\n\n\n")

    found = load({}, {"home": tmp_path})
    assert (found.boat.name, found.boat.place, found.boat.crew) == ("", None, ())
    assert [o.position for o in found.outfits] == ["shotgun"]


def test_a_file_that_cannot_be_read_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text("[boat\n", encoding="utf-8")

    done = run(tmp_path, "setup", stdin="Driftwood\n")

    assert done.returncode == 1
    assert "mend that line first" in done.stderr
    assert (tmp_path / "deckcall.toml").read_text() == "[boat\n"


def test_the_first_of_the_crew_speaks_on_the_terminal(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text('[boat]\ncrew = ["Ana", "Ben"]\n', encoding="utf-8")

    run(tmp_path, "chat", stdin="lines in\n")

    assert ",Ana," in run(tmp_path, "export").stdout


def test_who_leaves_within_the_rods_leaves_a_file_that_can_be_read(tmp_path: Path) -> None:
    run(tmp_path, "setup", stdin="Driftwood\n\nport corner, shotgun\n")
    run(tmp_path, "setup", stdin="\n\n\n\nAna\n80 lb\n24 lb\n")

    [rod] = load({}, {"home": tmp_path}).outfits

    assert load({}, {"home": tmp_path}).boat.units == "imperial"
    # the avoirdupois pound is 0.45359237 kg: 24 lb are 10.9 kg
    assert (rod.position, rod.line_class_kg, rod.strike_drag_kg) == ("port corner", 37, 10.9)


def test_a_line_class_is_no_name_of_the_crew(tmp_path: Path) -> None:
    done = run(tmp_path, "setup", stdin="Driftwood\n\n\n\n80 lb\nAna\n")

    assert "Names, parted by commas" in done.stderr
    assert load({}, {"home": tmp_path}).boat.crew == ("Ana",)


def test_a_city_without_a_zone_is_told_how_to_name_one_and_no_is_answered(tmp_path: Path) -> None:
    done = run(tmp_path, "setup", stdin="Driftwood\nSan Diego\nno\nquit\n")

    assert "name a big city that keeps the same time, e.g. Los Angeles" in done.stderr
    assert "Did you mean" not in done.stderr
    assert "Left open: " in done.stderr


def test_a_drag_of_more_than_half_the_line_class_is_asked_for_twice(tmp_path: Path) -> None:
    run(tmp_path, "setup", stdin="Driftwood\n\nport corner, shotgun\n")
    once = run(tmp_path, "setup", stdin="\n\n\n\nAna\n80 lb\n60 lb\n24 lb\n")
    [kept] = load({}, {"home": tmp_path}).outfits
    run(tmp_path, "setup", stdin="\n\n\n\n\n\n60 lb\n60 lb\n")
    [twice] = load({}, {"home": tmp_path}).outfits

    # 60 lb are 27.2 kg: 74 % of 37; a quarter to a third is common practice, no source
    assert "is 74 % of the line's 37 kg" in once.stderr
    assert (kept.strike_drag_kg, twice.strike_drag_kg) == (10.9, 27.2)
