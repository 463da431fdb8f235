"""The settings of one of several boats that share a bot: the only place that says which are its own."""

from dataclasses import replace
from pathlib import Path

from bot.settings.load import from_file
from bot.settings.values import FILE_NAME, InstrumentSettings, Settings


def of_boat(found: Settings, home: Path) -> Settings:
    """Return the settings of the boat whose log lies in a folder, where `found` are those of the bot.

    Boat (with its time zone), rods, words, wishes, plan and reminders are those of a `deckcall.toml` in
    that folder, if there is one, else the bot's. Instruments are the bot's own boat's alone. Raises
    SettingsError where the file has a mistake.
    """
    if home == found.home:
        return found
    theirs = replace(found, home=home, instruments=InstrumentSettings())
    if not (home / FILE_NAME).exists():
        return theirs
    own = from_file(home)
    return replace(
        theirs, boat=own.boat, outfits=own.outfits, words=own.words, advice=own.advice, plan=own.plan,
        reminders=own.reminders,
    )  # fmt: skip
