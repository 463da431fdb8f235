"""Settings: which source wins, and what a wrong one is told."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from bot import settings
from bot.advice.data import Wishes
from bot.errors import SettingsError
from bot.fittings import boat_of

Write = Callable[[str], Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def _write(text: str) -> Path:
        (tmp_path / "deckcall.toml").write_text(text, encoding="utf-8")
        return tmp_path

    return _write


def _load(home: Path, **environ: str) -> settings.Settings:
    return settings.load({"DECKCALL_HOME": str(home)} | environ)


def _told(home: Path, **environ: str) -> str:
    with pytest.raises(SettingsError) as caught:
        _load(home, **environ)
    text = str(caught.value)
    assert "\n" not in text
    return text


def test_without_a_file_the_defaults_hold(tmp_path: Path) -> None:
    found = _load(tmp_path)

    assert found.home == tmp_path
    assert found.boat.positions[0] == "short corner"
    assert found.telegram.crew == ()
    assert found.telegram.token is None
    assert found.telegram.api == "https://api.telegram.org"
    assert found.speech.engine == "auto"


def test_how_eager_the_advice_is_can_be_set(write: Write) -> None:
    home = write("[advice]\nmin_chance = 0.8\nchanges_a_day = 4\nday_h = 10\n")

    found = _load(home).advice

    assert (found.min_chance, found.changes_a_day, found.day_h) == (0.8, 4, 10)
    assert found.usual_per_10h == Wishes().usual_per_10h
    assert "between 0.5 and 0.999" in _told(write("[advice]\nmin_chance = 0.2\n"))


def test_without_settings_the_advice_is_as_eager_as_the_advice_itself_says(tmp_path: Path) -> None:
    assert _load(tmp_path).advice == Wishes()


def test_the_example_of_the_contract_is_read(write: Write) -> None:
    home = write(
        """
        [boat]
        timezone = "Pacific/Auckland"
        positions = ["short corner", "long corner", "short rigger", "long rigger", "shotgun"]

        [[outfit]]
        position = "short corner"
        line_class_kg = 37
        strike_drag_kg = 11.0
        line_m = 700
        hook_gauge = "heavy"
        """
    )

    found = _load(home)

    assert found.boat.zone.key == "Pacific/Auckland"
    assert found.outfits == (settings.OutfitSettings("short corner", 37, 11.0, 700, "heavy"),)


def test_the_environment_wins_over_the_file_and_an_option_over_both(write: Write) -> None:
    home = write('[speech]\nengine = "vosk"\n[telegram]\ncrew = [1]\n')

    assert _load(home).speech.engine == "vosk"
    assert _load(home, DECKCALL_ENGINE="auto").speech.engine == "auto"
    environ = {"DECKCALL_HOME": str(home), "DECKCALL_ENGINE": "auto"}
    assert settings.load(environ, {"engine": "pocketsphinx"}).speech.engine == "pocketsphinx"
    assert _load(home, DECKCALL_CREW="-1005, 7").telegram.crew == (-1005, 7)
    assert _load(home, DECKCALL_CREW="").telegram.crew == ()


def test_the_boats_own_words_are_kept_with_their_spoken_forms(write: Write) -> None:
    home = write(
        '[words.colours]\nbronze = ["bronze", "penny"]\n[words.nicknames]\nbob = ["bobby"]\n'
    )

    words = _load(home).words

    assert words.colours == {"bronze": ("bronze", "penny")}
    assert words.nicknames == {"bob": ("bobby",)}


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ('[boat]\ntimezon = "UTC"\n', ("[boat] timezon", "unknown", '"timezone"')),
        ('[bot]\ntimezone = "UTC"\n', ("bot", "unknown", '"boat"')),
        (
            '[boat]\ntimezone = "Pacific/Aukland"\n',
            ("[boat] timezone", "Pacific/Auckland"),
        ),
        ('[boat]\ntimezone = "../../etc"\n', ("[boat] timezone", "no time zone")),
        ("[boat]\ntimezone = 12\n", ("[boat] timezone", "text in quotes")),
        ('[boat]\npositions = "shotgun"\n', ("[boat] positions", "list of texts")),
        ('[boat]\npositions = ["gun", "Gun"]\n', ("[boat] positions", "once")),
        ('[[outfit]]\nposition = "mast"\nline_class_kg = 37\n', ("outfit 1", "position")),
        ('[[outfit]]\nposition = "shotgun"\n', ("outfit 1", "line_class_kg", "missing")),
        (
            '[[outfit]]\nposition = "shotgun"\nline_class_kg = "37"\n',
            ("outfit 1", "line_class_kg", "a number"),
        ),
        (
            '[[outfit]]\nposition = "shotgun"\nline_class_kg = 24\nstrike_drag_kg = 90\n',
            ("outfit 1", "strike_drag_kg", "is 90"),
        ),
        (
            '[[outfit]]\nposition = "shotgun"\nline_class_kg = 24\nhook_gauge = "hevy"\n',
            ("hook_gauge", '"heavy"'),
        ),
        ("[speech]\nkeep_days = true\n", ("[speech] keep_days", "a number")),
        ("[speech]\nkeep_days = nan\n", ("[speech] keep_days",)),
        ('[telegram]\ntoken = "1:a"\n', ("[telegram] token", "chmod 600")),
        ('[telegram]\ncrew = ["bob"]\n', ("[telegram] crew", "whole numbers")),
        ('[telegram]\nboard = "yes"\n', ("[telegram] board", "true or false")),
        ("boat = 1\n", ("boat", "must be a table")),
        ("[boat\n", ("deckcall.toml", "line 1")),
    ],
)
def test_a_wrong_key_is_named_with_its_file_and_what_to_do(
    write: Write, text: str, parts: tuple[str, ...]
) -> None:
    told = _told(write(text))

    assert "deckcall.toml" in told
    for part in parts:
        assert part in told


@pytest.mark.parametrize(
    ("name", "value", "part"),
    [
        ("DECKCALL_CREW", "12,bob", '"bob"'),
        ("DECKCALL_ENGINE", "vosc", '"vosk"'),
        ("DECKCALL_TELEGRAM_API", "ftp://x", "https://"),
    ],
)
def test_a_wrong_variable_is_named(tmp_path: Path, name: str, value: str, part: str) -> None:
    told = _told(tmp_path, **{name: value})

    assert told.startswith(name)
    assert part in told


def test_a_value_of_the_token_never_shows(tmp_path: Path) -> None:
    found = _load(tmp_path, DECKCALL_TELEGRAM_TOKEN="12345:secret")

    assert found.telegram.token == "12345:secret"
    assert "secret" not in repr(found)


@pytest.mark.skipif(os.name != "posix", reason="file modes are of POSIX")
def test_a_token_file_that_others_can_read_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "telegram.token"
    path.write_text("12345:secret\n", encoding="utf-8")

    path.chmod(0o644)
    told = _told(tmp_path)
    path.chmod(0o600)

    assert "chmod 600" in told
    assert "secret" not in told
    assert _load(tmp_path).telegram.token == "12345:secret"


def test_the_boat_says_what_makes_a_spread_better_and_how_its_reels_are_measured(
    write: Write,
) -> None:
    home = write(
        """
        [plan]
        colours = 0
        span = 2.5

        [[outfit]]
        position = "shotgun"
        line_class_kg = 24
        double_m = 4
        spool = { full_radius_mm = 60, arbor_radius_mm = 25, width_mm = 50, line_mm = 0.75 }
        """
    )

    found = _load(home)

    assert (found.plan.colours, found.plan.span, found.plan.heads) == (0, 2.5, 3)
    assert found.outfits[0].double_m == 4
    assert found.outfits[0].spool == settings.SpoolSettings(60, 25, 50, 0.75)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("[plan]\ncolours = -1\n", ("[plan] colours", "between 0 and 100")),
        ("[plan]\ncolors = 1\n", ("[plan] colors", "unknown")),
        (
            '[[outfit]]\nposition = "shotgun"\nline_class_kg = 24\nspool = { width_mm = 50 }\n',
            ("spool", "full_radius_mm", "missing"),
        ),
        (
            '[[outfit]]\nposition = "shotgun"\nline_class_kg = 24\n'
            "spool = { full_radius_mm = 20, arbor_radius_mm = 25, width_mm = 50, line_mm = 1 }\n",
            ("arbor_radius_mm", "smaller"),
        ),
    ],
)
def test_a_wrong_weight_or_spool_is_named(write: Write, text: str, parts: tuple[str, ...]) -> None:
    with pytest.raises(SettingsError) as caught:
        _load(write(text))

    assert all(part in str(caught.value) for part in parts)


def test_the_usual_speed_of_the_boat_is_one_at_which_lures_are_towed(write: Write) -> None:
    assert boat_of(_load(write("[boat]\nusual_kn = 7.5\n"))).usual_kn == 7.5
    assert "usual_kn is 75; it must be between 3 and 12" in _told(write("[boat]\nusual_kn = 75\n"))
