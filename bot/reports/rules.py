"""What a person has to look up where they are, and the usual cautions. Knows no law itself. Pure."""

from collections.abc import Iterable
from typing import Final

from bot.reports.report import Day, SpeciesCatch
from bot.tackle.cautions import DEFER, Topic, caution
from bot.trip.tally import TallyRow

_NOT_NAMED: Final = "fish that were not named"


def rules(landed: Iterable[SpeciesCatch], day: Day) -> tuple[str, ...]:
    """Return what the law of the place may say something about, for what was done on this trip."""
    found = []
    for row in landed:
        name = row.species or _NOT_NAMED
        if row.kept:
            found.append(
                f"Kept, {name} ({row.kept}): bag and size limit, season, and whether a catch must be"
                " reported."
            )
        if row.released:
            found.append(
                f"Let go, {name} ({row.released}): whether it may leave the water, and what gear and"
                " handling are prescribed."
            )
        if row.tagged:
            found.append(f"Tagged, {name} ({row.tagged}): send the tag card to those who run it.")
    if day.lines_in is not None:
        found.append("Waters fished: closed areas, licences, and how many lines one boat may pull.")
    return tuple(found)


SEASON_CAUTIONS: Final = (DEFER, caution("data"))
"""The cautions of a report of several trips, in which nobody handles a rod."""


def cautions(total: TallyRow) -> tuple[str, ...]:
    """Return the cautions for what was done: the deference first."""
    topics: list[Topic] = ["drag", "hooks", "boat"]
    if total.hookups:
        topics.append("leader")
    if total.caught:
        topics += ["gaff", "release"]
    return (DEFER, *(caution(topic) for topic in topics), caution("data"))
