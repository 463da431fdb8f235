"""What works, and how sure: how things stand against the boat's own average, over the trips of a span.

All that is compared is compared at once, by one model (`advice.standing`), which draws small numbers to the
average. The words for a probability are those of M. D. Mastrandrea et al., "Guidance Note for Lead Authors of
the IPCC Fifth Assessment Report on Consistent Treatment of Uncertainties" (2010), table 1.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Final

from bot.advice.standing import Keys, Piece, Standing, standings
from bot.answers.asked import Asked
from bot.answers.view import View
from bot.replies.amounts import percent
from bot.trip.conditions import MONTHS, UNKNOWN
from bot.trip.exposure import By
from bot.trip.summary import summary
from bot.trip.tally import WHOLE_HOURS

if TYPE_CHECKING:
    from bot.trip.ledger import Cell, Ledger

NOT_COMPARED: Final = WHOLE_HOURS | {"trip"}
"""What a lure in the water does not have, or what is no reason for anything."""
LIKELY: Final = 0.66
_SURE: Final = (
    (0.99, "virtually certainly"), (0.95, "extremely likely"), (0.90, "very likely"), (LIKELY, "likely"),
)  # fmt: skip

IN: Final[Keys] = ("in", "")
_OUT: Final[Keys] = ("out", "")


def compared(view: View, want: Asked) -> Mapping[Keys, Standing]:
    """Give how every row of a tally stands; empty where its rows cannot be compared."""
    by, also = (want.by, want.also) if want.by != "none" else (want.also, want.by)
    if by in NOT_COMPARED or also in NOT_COMPARED - {"none"}:
        return {}
    monthly = "month" in (by, also)
    pieces = [
        _piece(view, cell, cell.keys, monthly=monthly) for cell in _cells(view, want, by, also)
    ]
    ones = {one for piece in pieces for one, _ in piece.keys}
    twos = {two for piece in pieces for _, two in piece.keys}
    places = _places(by, ones) | _places(also, twos)
    return standings(pieces, (by, also), places, UNKNOWN)


def against_the_rest(view: View, want: Asked) -> Standing | None:
    """Give how what is looked at stands against all of the boat; None where it cannot be told."""
    monthly = want.only.month is not None
    among = {
        (cell.position, cell.trip.trip): cell
        for cell in _cells(view, want, "none", "none")
    }  # fmt: skip
    pieces = []
    for cell in _cells(view, Asked(span=want.span), "none", "none"):
        inside = among.get((cell.position, cell.trip.trip))
        seconds, strikes = (inside.seconds, inside.strikes) if inside else (0, 0)
        for keys, spent, bites in (
            (IN, seconds, strikes),
            (_OUT, cell.seconds - seconds, cell.strikes - strikes),
        ):
            piece = _piece(view, cell, (keys,), monthly=monthly)
            pieces.append(
                Piece(piece.keys, piece.position, piece.trip, piece.spell, spent / 3600, bites)
            )
    by = "position" if want.only.position or want.only.positions else "none"
    return standings(pieces, (by, "none"), {}, UNKNOWN).get(IN)


def how_sure(standing: Standing) -> str:
    """Say how sure it is that something is better or worse, e.g. `very likely better (93 %)`."""
    better = standing.better >= 0.5
    chance = standing.better if better else 1.0 - standing.better
    word = next((word for least, word in _SURE if chance >= least), "")
    way = "better" if better else "worse"
    return f"{word} {way} ({percent(chance)})" if word else f"no telling ({percent(chance)} {way})"


def times_average(standing: Standing, average: str = "times the average") -> str:
    """Write a ratio with its interval, e.g. `1.8 times the average (1.1 to 2.9)`."""
    return f"{standing.ratio:.1f} {average} ({standing.low:.1f} to {standing.high:.1f})"


def ledgers(view: View, want: Asked) -> "Iterable[tuple[Ledger, Iterable[str] | None]]":
    """Give the figures of the trips that are looked at, and which of them."""
    from bot.trip.ledger import ledger

    if want.span.earlier is None or want.span.earlier:
        yield view.past.ledger, want.span.earlier
    if want.span.here:
        now = summary(view.sailed, view.now, view.tz, view.place)
        if now is not None:
            yield ledger((now,)), None


def _cells(view: View, want: Asked, by: By, also: By) -> "list[Cell]":
    return [
        cell
        for book, trips in ledgers(view, want)
        for cell in book.cells(by, want.only, also, None if trips is None else tuple(trips))
    ]


def _piece(view: View, cell: "Cell", keys: tuple[Keys, ...], *, monthly: bool) -> Piece:
    day = cell.trip.started.astimezone(view.tz)
    spell = "" if monthly else f"{day:%Y-%m}"
    return Piece(keys, cell.position, cell.trip.trip, spell, cell.seconds / 3600, cell.strikes)


_ON_SCALE: Final[Mapping[By, Callable[[str], float]]] = {
    "size": float,
    "hour": lambda key: float(key[:2]),
    "water": lambda key: float(key.split()[0]),
    "month": lambda key: float(MONTHS.index(key)),
}


def _places(by: By, keys: Iterable[str]) -> dict[str, float]:
    """Give where keys stand on a scale on which neighbours are alike."""
    read = _ON_SCALE.get(by)
    return {} if read is None else {key: read(key) for key in keys if key != UNKNOWN}
