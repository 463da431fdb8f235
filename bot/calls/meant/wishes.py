"""Wishes for a spread that is asked for: "without garden shed", "keep the corners". Pure."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from bot.calls.meant.bare_numbers import bare_numbers, is_unit, speeds_at
from bot.calls.meant.reader import Line, only_with
from bot.calls.meant.signs import Sign
from bot.calls.meant.times_said import words_of_time
from bot.calls.meant.tray_but import left_lures, spares_at
from bot.calls.meant.tray_lures import SIZES_IN, Mention, is_of_fish, is_within
from bot.calls.meant.tray_terms import plan_slots
from bot.calls.meant.trays import (
    EARLY,
    is_talk,
    mentions,
    only_from,
    tray_action,
    tray_calls,
)
from bot.trip.acts import ASK_SPREAD, PLAN
from bot.trip.call import Call
from bot.trip.meant import ChangesPlan, SpreadWish

PLAN_TABLES: Final = (
    "wish", "tray_word", "tray_name", "tray", "species", "side", "tackle", "pace", "mass", "line_class",
    "tray_do", "asks",
)  # fmt: skip
"""Tables of signs that a plan makes use of, or that ask for nothing by themselves."""
KEPT_WITHIN: Final = 2
"""Words between a line and those that say that it stays as it is."""
PLACED_WITHIN: Final = 3
"""Words between a lure and the position where it is to run: "garden shed on the long corner"."""
DESCRIBED_WITHIN: Final = 6
"""Words before a position in which a lure for it is described: "the purple eight on the shotgun"."""
BITTEN_LATELY: Final = "seven_days"
"""Of which days what bit is meant where nobody says."""
_OF_SPREADS: Final = (
    "plan_seen", "wish", "packing", "tray_named", "tray_word", "aboard_for", "aboard_kind", "another_of",
)  # fmt: skip
"""Signs of which a line about a tray, a spread with wishes or the lures aboard has one."""
LINES: Final = range(1, 8)
"""Range of the number of lines that a boat may want to set."""


@only_with(*_OF_SPREADS, otherwise=())
def spread_calls(line: Line) -> tuple[Call, ...]:
    """Return the calls of a line about a tray or about a spread with wishes; empty for any other line."""
    if seen := _seen(line):
        return (seen,)
    found = tray_calls(line)
    asks = any(s[:2] == ("wish", "asks") and s.start < 3 for s in line.signs)
    talk = not asks and is_talk(line, line.lattice.size - 1)
    if found or next(mentions(line), None) is not None or talk:
        return found
    if not asks and not (line.has("wish", "spread") and _orders(line)):
        return ()
    slots = plan_slots(line, None)
    wish = spread_wish(Call(PLAN), line)
    if slots.keys() & {"speed_kn", "species"} or (wish and _asks_more(wish)):
        return (Call(PLAN, **slots),)
    return ()


def _seen(line: Line) -> Call | None:
    """Return the question for the plan, or for a picture of what was spoken of, that a line is as a whole."""
    whole = (0, line.lattice.size)
    signs = (s for s in line.signs if s.table == "plan_seen" and s.cost == 0.0)
    name = next((s.name for s in signs if (s.start, s.end) == whole), "")
    return Call(PLAN) if name == "plan" else Call(ASK_SPREAD) if name else None


def _orders(line: Line) -> bool:
    """Return whether a line, or a part of it behind "and", begins with the order to plan: not "the plan"."""
    orders = [s.start for s in line.signs if s[:2] == ("tray_do", "filled")]
    return any(
        start == 0
        or line.at(start - 1, "tray_word", "joins") is not None
        or (start < EARLY and line.at(start - 1, "wish", "aside") is None)
        for start in orders
    )


def _asks_more(wish: SpreadWish) -> bool:
    return replace(wish, unused=(), to_do="") != SpreadWish()


def spread_wish(call: Call, line: Line) -> SpreadWish | None:
    """Return the wishes for a spread that is asked for, and the words that were not understood."""
    tray = next(mentions(line), None)
    from_tray = tray.name if tray is not None and only_from(line, tray) else ""
    does = tray_action(line, tray) if tray and not from_tray else ""
    used = _Used(line, set(range(tray.start, tray.end)) if tray else set())
    keep, sizes = tuple(used.kept()), used.sizes()
    without_lines = tuple(used.lines_after("without"))
    if does == "run":
        keep = tuple(dict.fromkeys((*keep, *without_lines)))
    kinds = ("name", "colour", "head")
    left = left_lures(line, tray) if tray is not None and does == "run" else ()
    without = dict.fromkeys((*used.after("without", kinds), *used.after("instead", kinds), *left))
    fish = [s.name for s in line.of("species") if s.cost == 0.0 and not is_within(s, tray)]
    lures = dict(used.lures()) if line.has("wish", "planned") else {}
    asks = line.text.rstrip().endswith("?")
    is_done = does == "filled" or (does == "run" and not asks)
    found = SpreadWish(
        to_do=does if is_done and tray and (call.tray or not tray.name) else "",
        of_a_tray=does == "run" and bool(call.tray) and line.has("tray_word", "tray"),
        slow=_slow(line, tray),
        without=tuple(without),
        only=tuple(used.named(("colour", "head"))),
        keep=keep,
        at=() if keep or used.names_lures() else tuple(used.placed()),
        not_at=() if does == "run" else without_lines,
        from_tray=from_tray,
        lures=tuple(lures),
        lures_at=tuple(lures.values()) if any(lures.values()) else (),
        sea=next((name for name in ("rough", "calm") if _wished(line, name)), ""),
        tone=next((name for name in ("dark", "bright") if _wished(line, name)), ""),
        most_in=sizes.get("at_most"),
        least_in=sizes.get("at_least"),
        lines=used.lines(),
        bitten=used.bitten(),
        spare_at=spares_at(line, tray) if tray is not None and does == "run" else (),
        also_for=tuple(dict.fromkeys(fish))[1:],
        unused=used.rest(),
    )
    return None if found == SpreadWish() else found


@only_with("wish", otherwise=())
def without_only(line: Line) -> tuple[str, ...]:
    """Return what a line leaves out ("no green", "without the jets") where it says nothing else."""
    opens = line.at(0, "wish", "without")
    if opens is None or any(token.stop for token in line.tokens[1 : opens.end + 1]):
        return ()  # "no, green" says that it was the green one
    used = _Used(line, set(range(opens.end)))
    found = tuple(dict.fromkeys(used.after("without", ("name", "colour", "head"))))
    return found if found and not used.left() else ()


def _without_for_a_reason(line: Line) -> tuple[str, ...]:
    """Return the lures that a line leaves out and says why: "not the hat, he eats nothing"."""
    opens = line.at(0, "wish", "without")
    if opens is None or any(token.stop for token in line.tokens[1 : opens.end + 1]):
        return ()
    used = _Used(line, set(range(opens.end)))
    found = tuple(used.after("without", ("name",)))
    left = sorted(used.left())
    more = any(sign.name not in found for sign in line.of("name"))
    return found if found and left and line.tokens[left[0]].stop and not more else ()


def _slow(line: Line, tray: Mention | None) -> bool:
    """Return whether slow runners are meant, and not only a tray of that name."""
    named = tray if tray is not None and tray.is_tray else None
    return any(
        s[:2] == ("wish", "slow") and not _in_name(line, s) and not is_within(s, named)
        for s in line.signs
    )


def _wished(line: Line, name: str) -> bool:
    """Return whether a wish is named, and not only a lure that has its word in its name."""
    return any(s[:2] == ("wish", name) and not _in_name(line, s) for s in line.signs)


def _in_name(line: Line, sign: Sign) -> bool:
    """Return whether a sign is a part of the name of a lure."""
    names = (s for s in line.of("name") if s.cost == 0.0)
    return any(s.start <= sign.start and sign.end <= s.end for s in names)


@only_with("wish", "changes_plan")
def changes_plan(line: Line) -> ChangesPlan | None:
    """Return that what a line says may be for the plan on offer, and what it leaves out; else None."""
    if line.text.rstrip().endswith("?"):
        return None
    used = _Used(line, set())
    without = tuple(used.after("without", ("name", "colour", "head")))
    names = {sign.name for sign in line.of("name") if sign.cost == 0.0}
    lures = dict(used.lures()) if without and names & {*without} else {}
    if alone := _without_for_a_reason(line):
        return ChangesPlan(alone, alone=True)
    if not lures and not line.has("changes_plan", "word"):
        return None
    return ChangesPlan(without, tuple(lures), tuple(lures.values()))


class _Used:
    """Takes wishes out of a line and remembers which words it has used."""

    def __init__(self, line: Line, words: set[int]) -> None:
        self._line, self._words = line, words

    def _take(self, sign: Sign) -> str:
        self._words |= set(range(sign.start, sign.end))
        return sign.name

    def after(self, word: str, tables: tuple[str, ...]) -> Iterator[str]:
        """Yield what is named after a word, joined by "and" or "or": "without the pink or tin snail"."""
        for sign in self._line.signs:
            at = sign.end
            for named in self._line.of(*tables) if sign[:2] == ("wish", word) else ():
                between = range(at, named.start)
                if named.start >= at and all(self._line.at(n, "wish", "aside") for n in between):
                    yield self._take(named)
                    at = named.end

    def lines_after(self, word: str) -> Iterator[str]:
        """Yield the positions that are named right after a word: "without the shotgun"."""
        for names in self.after(word, ("position", "both")):
            yield from (name.strip() for name in names.split(","))

    def named(self, tables: tuple[str, ...]) -> Iterator[str]:
        """Yield what is named beside a word: "only jets", "a purple spread"."""
        free = [
            s
            for s in self._line.of(*tables)
            if self._words.isdisjoint(range(s.start, s.end))
            and not _in_name(self._line, s)
            and not is_of_fish(self._line, s)
        ]
        yield from dict.fromkeys(
            self._take(sign) for sign in free if not _is_plain(self._line, sign)
        )

    def kept(self) -> Iterator[str]:
        """Yield the positions, or lures, that stay: "keep the corners", "the hat stays where it is"."""
        start = min((s.end for s in self._line.signs if s[:2] == ("wish", "keep")), default=None)
        behind = [s for s in self._line.signs if s[:2] == ("wish", "kept")]
        for sign in self._line.of("position", "both", "name"):
            if sign.table == "name" and (sign.cost > 0.0 or self._is_kept_out(sign)):
                continue
            kept = next((s for s in behind if 0 <= s.start - sign.end <= KEPT_WITHIN), None)
            if kept is not None or (start is not None and sign.start >= start):
                if kept is not None:
                    self._take(kept)
                yield from (name.strip() for name in self._take(sign).split(","))

    def _is_kept_out(self, sign: Sign) -> bool:
        """Return whether a lure is to be kept out of it, rather than out there."""
        behind = range(sign.end, min(sign.end + KEPT_WITHIN, self._line.lattice.size))
        return any(
            self._line.at(n, "leaves_out", name) for n in behind for name in ("of_it", "out")
        )

    def lures(self) -> Iterator[tuple[str, str]]:
        """Yield lures of the box that are to be in the spread, each with its position or an empty text."""
        places = self._line.of("position")
        for sign in self._line.of("name"):
            if sign.cost > 0.0 or not self._words.isdisjoint(range(sign.start, sign.end)):
                continue
            at = next((p for p in places if 0 <= p.start - sign.end <= PLACED_WITHIN), None)
            yield self._take(sign), self._take(at) if at is not None else ""
        for place in places:
            words = self._described(place)
            if words:
                yield words, self._take(place)

    def _described(self, place: Sign) -> str:
        """Return the colours and the size that are said right before a position, e.g. `purple 8`."""
        near = range(max(0, place.start - DESCRIBED_WITHIN), place.start)
        colours = [s for s in self._line.of("colour") if s.start in near and s.cost == 0.0]
        sizes = [(value, at, end) for at in near for value, end in bare_numbers(self._line, at)]
        fits = [one for one in sizes if SIZES_IN[0] <= one[0] <= SIZES_IN[1]]
        taken = range(place.start, place.end), *(range(s.start, s.end) for s in colours)
        if not colours or not fits or any(not self._words.isdisjoint(one) for one in taken):
            return ""
        value, start, end = fits[-1]
        self._words |= set(range(start, end))
        return " ".join([*(self._take(sign) for sign in colours), f"{value:g}"])

    def placed(self) -> Iterator[str]:
        """Yield the positions that are named: only these are planned."""
        for sign in self._line.of("position", "both"):
            if self._words.isdisjoint(range(sign.start, sign.end)):
                yield from (name.strip() for name in self._take(sign).split(","))

    def names_lures(self) -> bool:
        """Return whether a lure of the box is named that is not to stay aboard."""
        free = (s for s in self._line.of("name") if s.cost == 0.0)
        return any(self._words.isdisjoint(range(s.start, s.end)) for s in free)

    def sizes(self) -> dict[str, float]:
        """Return the lengths in inches behind "nothing over" and the like, by the name of the sign."""
        found: dict[str, float] = {}
        ours = (
            s for s in self._line.signs if s.table == "wish" and s.name in ("at_most", "at_least")
        )
        for sign in sorted(ours, key=lambda s: s.start - s.end):
            start, size = sign.end, self._line.lattice.size
            if start < size and self._line.at(start, "tray_word", "article"):
                start += 1
            free = self._words.isdisjoint(range(sign.start, sign.end))
            if not free or start >= size or sign.name in found:
                continue
            value, end = next(bare_numbers(self._line, start), (0.0, start))
            if SIZES_IN[0] <= value <= SIZES_IN[1] and not is_unit(self._line, end):
                self._words |= set(range(sign.start, end))
                found[sign.name] = value
        return found

    def lines(self) -> int | None:
        """Return how many lines are to be set: "three lures", "four rods"."""
        for start in range(self._line.lattice.size):
            for value, end in bare_numbers(self._line, start):
                if value in LINES and self._line.at(end, "wish", "counted") is not None:
                    self._words |= set(range(start, end + 1))
                    return int(value)
        return None

    def bitten(self) -> str:
        """Return the time whose bites are wished for, "what bit yesterday"; empty for no such wish."""
        if not any(
            s[:2] == ("wish", "bitten") and not _in_name(self._line, s) for s in self._line.signs
        ):
            return ""
        when = self._line.first("span")
        return self._take(when) if when is not None else BITTEN_LATELY

    def left(self) -> set[int]:
        """Return the words that are neither used nor without a meaning beside a wish."""
        aside = {
            n for s in self._line.signs if s[:2] == ("wish", "aside") for n in range(s.start, s.end)
        }
        polite = {
            n
            for s in self._line.signs
            if s[:2] == ("wish", "please")
            for n in range(s.start, s.end)
        }
        return set(range(self._line.lattice.size)) - self._words - aside - polite

    def rest(self) -> tuple[str, ...]:
        """Return the words that were not used, so that the crew can be told."""
        known = {*self._words, *words_of_time(self._line)}
        for sign in self._line.signs:
            if sign.table in PLAN_TABLES:
                known |= set(range(sign.start, sign.end))
        for start in range(self._line.lattice.size):
            for _, end in bare_numbers(self._line, start):
                known |= set(range(start, end)) if is_unit(self._line, end) else set()
        known |= {n for _, start, end in speeds_at(self._line) for n in range(start, end)}
        tokens = enumerate(self._line.tokens)
        return tuple(dict.fromkeys(token.text for n, token in tokens if n not in known))


def _is_plain(line: Line, sign: Sign) -> bool:
    """Return whether a word that may name something is only a slip put right, or part of a wish."""
    if sign.cost > 0.0:
        return True
    ours = (s for s in line.signs if s.table == "wish" and s.name != "plain" and s.cost == 0.0)
    return any(s.start < sign.end and sign.start < s.end for s in ours if s.name not in ("aside",))
