"""What the boat has set, as one frozen value.

`load` gives it; `values` says what can be set. Knows nothing of what the settings are used for: `cli`
and `build` hand single values on. The bot's token never shows in a repr.
"""

from bot.settings.boats import of_boat
from bot.settings.load import load
from bot.settings.values import (
    BoatSettings,
    KeepingSettings,
    OutfitSettings,
    ServeSettings,
    Settings,
    SpeechSettings,
    SpoolSettings,
    TelegramSettings,
    WordSettings,
)

__all__ = [
    "BoatSettings",
    "KeepingSettings",
    "OutfitSettings",
    "ServeSettings",
    "Settings",
    "SpeechSettings",
    "SpoolSettings",
    "TelegramSettings",
    "WordSettings",
    "load",
    "of_boat",
]
