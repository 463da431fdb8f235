"""What can be said, and the usual cautions, as `help` gives them. Pure."""

from typing import Final

from bot.tackle.cautions import DEFER, all_cautions

HELP: Final = "\n".join(
    (
        "Say it as you would on deck, typed or spoken:",
        "trip start · lines in · set long rigger purple eight",
        "strike long rigger · hooked up · missed it · pulled the hook",
        "boated a wahoo, 12 kilos · released a striped marlin, tagged",
        "swap short corner to black ten · clear the shotgun · lines out",
        "ten minutes ago, strike shotgun · undo · no, long corner",
        "birds · speed seven and a half · note: new leader on two",
        "tally · by colour · what's out · what next · why · last strike",
        "plan a spread for heavy tackle · another plan · set it · show me the spread",
        "purple eight is ready · pink six needs a new leader · what's ready",
        "short corner is fourteen metres back on the second wave · sunset",
    )
)
SHORT_CAUTION: Final = (
    "Skipper's word first: gloves on the leader, knife in reach, harness clipped,"
    " stand clear of the line."
)
"""Shown once a trip, on the first fish that is on."""


def help_text(private: bool) -> str:
    """Give what can be said; with the cautions in full where only one person reads it."""
    return f"{HELP}\n\n{all_cautions() if private else DEFER}"
