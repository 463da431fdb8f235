"""Several boats share a bot: whose settings are whose, and whose clock."""

from pathlib import Path

import pytest

from bot.cli.talk import telegram_config
from bot.errors import SettingsError
from bot.settings import load, of_boat


def _homes(tmp_path: Path, second: str | None) -> Path:
    home = tmp_path / "first"
    (home / "second boat").mkdir(parents=True)
    (home / "deckcall.toml").write_text(
        '[boat]\ntimezone = "Pacific/Auckland"\npositions = ["short corner", "shotgun"]\n'
        '[instruments]\nkind = "udp"\n'
        '[telegram.boats]\n-2001 = "second boat"\n',
        encoding="utf-8",
    )
    if second is not None:
        (home / "second boat" / "deckcall.toml").write_text(second, encoding="utf-8")
    return home


def test_a_boat_with_a_file_of_its_own_has_its_own_clock_in_answers_and_in_what_comes_late(
    tmp_path: Path,
) -> None:
    home = _homes(tmp_path, '[boat]\ntimezone = "America/New_York"\n')
    found = load({"DECKCALL_TELEGRAM_TOKEN": "1:a"}, {"home": home})
    theirs = of_boat(found, home / "second boat")

    config = telegram_config(found)

    assert theirs.boat.timezone == "America/New_York"
    assert theirs.home == home / "second boat"
    assert theirs.instruments.kind == ""
    assert config.zones == {config.boats[-2001]: theirs.boat.zone}
    assert config.zone == of_boat(found, home).boat.zone == found.boat.zone


def test_a_boat_without_a_file_has_the_clock_and_the_positions_of_the_bot(tmp_path: Path) -> None:
    home = _homes(tmp_path, None)
    found = load({"DECKCALL_TELEGRAM_TOKEN": "1:a"}, {"home": home})

    theirs = of_boat(found, home / "second boat")

    assert theirs.boat == found.boat
    assert theirs.instruments.kind == ""
    assert of_boat(found, home).instruments.kind == "udp"


def test_a_mistake_in_the_file_of_another_boat_is_said_before_the_bot_starts(
    tmp_path: Path,
) -> None:
    home = _homes(tmp_path, '[boat]\ntimezone = "Atlantis"\n')
    found = load({"DECKCALL_TELEGRAM_TOKEN": "1:a"}, {"home": home})

    with pytest.raises(SettingsError, match="second boat"):
        telegram_config(found)
