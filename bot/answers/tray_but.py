"""A tray that goes out with something else: other lures on some lines, lines that stay, lures left in it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from bot.answers.at_sea import on_their_lines
from bot.answers.set_aside import is_of
from bot.answers.view import View
from bot.tackle.trays import Tray, TrayLure
from bot.trip.call import Call
from bot.trip.lures import from_box, full_label, same_lure
from bot.trip.meant import SpreadWish
from bot.trip.state import InWater


@dataclass(frozen=True, slots=True)
class TrayVariant:
    """A tray as it goes out this time; in the log it stays as it was."""

    tray: Tray
    kept: tuple[InWater, ...] = ()
    """Lures in the water that stay."""
    lines: tuple[str, ...] = ()
    """What is different, in words."""
    closed: tuple[str, ...] = ()
    """Positions on which nothing of the tray goes out."""


def with_exceptions(
    view: View, tray: Tray, wish: SpreadWish | None, sets: Iterable[Call]
) -> TrayVariant:
    """Return a tray with what was said beside it: `sets` are lures that go out with it, each on its line."""
    without = wish.without if wish is not None else ()
    said = on_their_lines(view, wish).keep if wish is not None else ()
    keep = tuple(place for place in said if view.lure(place) is None)
    left = tuple(one for one in tray.runners if any(_is(view, one, name) for name in without))
    told = [
        f"without {name}: it is not in the tray anyway" for name in _strange(view, tray, without)
    ]
    sent, asked = _sent(view, sets, left, keep)
    told += asked
    spread = view.trip.spread.values()
    kept = tuple(one for one in spread if one.position in keep)
    told += [f"kept: {', '.join(f'{x.position} {x.label}' for x in kept)}"] if kept else []
    told += [f"{one} is not out, so it cannot stay there" for one in said if one not in keep]
    empty = [place for place in keep if place not in {one.position for one in kept}]
    told += [f"nothing is out on the {place}, so it stays empty" for place in empty]
    taken = {*(one.position for one in sent if one.position), *keep}
    runs = [one for one in tray.runners if one not in left and one.position not in taken]
    runs = [one for one in runs if not _is_among(one, (*sent, *kept))]
    stays = [one for one in tray.runners if one not in runs and not _is_among(one, (*sent, *kept))]
    spares = [one for one in tray.spares if not _is_among(one, sent)]
    went = (
        f"set, {x.position}: {full_label(x)}" if x.position else f"with it: {full_label(x)}"
        for x in sent
    )
    told = [*went, *told]
    told += [f"stays in the tray: {', '.join(one.label for one in stays)}"] if stays else []
    return TrayVariant(replace(tray, lures=(*sent, *runs, *spares)), kept, tuple(told), tuple(keep))


def _sent(
    view: View, sets: Iterable[Call], left: Sequence[TrayLure], keep: Sequence[str]
) -> tuple[list[TrayLure], list[str]]:
    """Return the lures that go out besides, and what has to be said of those that do not."""
    sent: list[TrayLure] = []
    told = []
    for call in sets:
        full = from_box(call, view.box)
        free = [one.position for one in left if one.position]
        position = call.position or (free[0] if len(free) == 1 else None)
        one = TrayLure(full.lure, full.size_in, full.colours, full.head, position)
        if position is None and call.side:
            told.append(f"{one.label} does not go out with it: say on which line")
        elif position in keep:
            told.append(f"{one.label} does not go out: the {position} is kept as it is")
        else:
            sent = [*(x for x in sent if position is None or x.position != position), one]
    return sent, told


def _is(view: View, one: TrayLure, name: str) -> bool:
    """Return whether a lure of a tray has a name, a colour or a head."""
    lure = view.lure(one.lure)
    return is_of(lure, name) if lure is not None else name in (one.label, *one.colours, one.head)


def _strange(view: View, tray: Tray, without: Iterable[str]) -> list[str]:
    """Return what was to be left out and is not in the tray."""
    return [name for name in without if not any(_is(view, one, name) for one in tray.runners)]


def _is_among(one: TrayLure, others: Iterable[TrayLure | InWater]) -> bool:
    return any(same_lure(one, other) for other in others)
