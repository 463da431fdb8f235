"""The table `[listen]`: the ear at the helm."""

import re

from bot.settings.table import Table
from bot.settings.values import ListenSettings


def listen_settings(table: Table) -> ListenSettings:
    """Read the settings of the ear at the helm; raises SettingsError."""
    base = ListenSettings()
    found = ListenSettings(
        _phrase(table, base.wake),
        table.number("strictness", base.strictness, low=0.3, high=3),
        table.number("open_s", base.open_s, low=2, high=60),
        table.number("pause_s", base.pause_s, low=0.3, high=3),
        table.text("microphone", ""),
        table.text("loudspeaker", ""),
        table.text("voice", base.voice),
        table.flag("tones", base.tones),
    )
    table.done()
    return found


def _phrase(table: Table, default: str) -> str:
    """Return a phrase in small letters; how it sounds is checked where it is listened for."""
    phrase = " ".join(table.text("wake", default).lower().split())
    if not re.fullmatch(r"[a-z']+(?: [a-z']+){0,4}", phrase):
        raise table.wrong("wake", "must be one to five words in plain letters")
    return phrase
