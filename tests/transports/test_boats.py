"""Several boats and one bot: a log for each, nothing across."""

from pathlib import Path

from tests.transports.bot_api import BotApi
from tests.transports.conftest import BotProcess, _rows

ANNA, BESS = -2001, -2002


def test_two_groups_have_two_logs(api: BotApi, bot: BotProcess) -> None:
    (bot.folder / "deckcall.toml").write_text(
        f'[telegram.boats]\n{ANNA} = "anna"\n{BESS} = "bess"\n', encoding="utf-8"
    )
    bot.start_real(crew="")
    for chat, boat in ((ANNA, "anna"), (BESS, "bess")):
        api.message(chat, 1, "trip start")
        api.message(chat, 2, f"note: this is {boat}")
    api.message(-2003, 1, "note: of a stranger")
    api.wait_for("four answers", lambda: len(api.texts(ANNA)) + len(api.texts(BESS)) >= 4, 60)

    assert bot.stop(60) == 0
    assert _texts(bot.folder / "anna") == ["trip start", "note: this is anna"]
    assert _texts(bot.folder / "bess") == ["trip start", "note: this is bess"]
    assert bot.entries("text") == []


def _texts(home: Path) -> list[str]:
    return [text for (text,) in _rows(home / "deckcall.db", "SELECT text FROM entries ORDER BY id")]
