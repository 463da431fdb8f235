"""The report laid out: sections, columns, words. The forms only draw what stands here. Pure."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.advice.rates import chances
from bot.replies.amounts import count, hours_words, place_words, sentence, span_words
from bot.reports import words
from bot.reports.blocks import (
    Block,
    Facts,
    Figure,
    Figures,
    Heading,
    Items,
    Notice,
    Page,
    Paragraph,
    Table,
)
from bot.reports.report import (
    AdviceOutcome,
    Catch,
    Encounter,
    Placement,
    RateRow,
    Report,
    TallyTable,
)
from bot.trip.exposure import By
from bot.trip.said_units import length, weight_of
from bot.trip.tally import WHOLE_HOURS

_HEADS: Final = ("strikes", "hook-ups", "caught", "lure-hours", "per 10 h", "95 % interval")
_COUNTED: Final = 4
"""Columns that are counted, without those of the time."""
_BY: Final[dict[By, str]] = {
    "position": "Position", "size": "Size", "colour": "Colour", "lure": "Lure", "hour": "Hour",
    "angler": "Angler",
}  # fmt: skip
HOW_COUNTED: Final = (
    "Lure-hours add up the time that every lure fished between lines in and lines out. From a bite that"
    " came tight until that fish was landed, let go or lost, its line does not count. Rates are strikes"
    " per ten lure-hours; 95 % intervals are exact for counts (Garwood) and Wilson's for shares. A lure"
    " in two colours counts for both, so the rows by colour may add up to more than the total."
)
SLIP: Final = timedelta(minutes=2)
"""Shorter than this a lure was not fished but told wrongly; common practice, no source."""
PUT_RIGHT: Final = "the log was put right after this was said, so the figures of then are left out"
PLACES_OUT: Final = (
    "Places are the crew's own and stand in a report only where they are asked for (--positions)."
)


def page(report: Report, tz: tzinfo, figures: Sequence[Figure] = ()) -> Page:
    """Lay a report out; times are written in the boat's own zone."""
    start = report.day.lines_in or report.day.started
    day = words.day_words(start, tz) if start else "nothing logged"
    title = f"{report.boat}, {day}" if report.boat else day[:1].upper() + day[1:]
    blocks: list[Block] = []
    for section in (_day, _catches, _bites, _rates, _spread, _trays, _advice, _rigs, _sea, _rules):
        blocks += section(report, tz)
        there = [one for one in figures if _AFTER[one.section] is section]
        blocks += [Figures(there)] if there else []
    return Page(title, f"Trip report, {report.trip}", tuple(blocks))


def _day(report: Report, tz: tzinfo) -> Iterable[Block]:
    yield Heading("The day")
    yield Paragraph(report.story)
    yield Facts(_facts(report, tz))


def _facts(report: Report, tz: tzinfo) -> list[tuple[str, str]]:
    day = report.day
    first = day.started
    found = [
        ("Trip", _from_to(day.started, day.ended, tz, first, "not called over")),
        ("Lines", _from_to(day.lines_in, day.lines_out, tz, first, "not called out")),
        ("With lines in", span_words(timedelta(hours=day.fishing_h))),
        ("Lure-hours", f"{report.total.hours:.1f}"),
        ("Strikes", f"{report.total.strikes}"),
        ("Fish on", f"{report.total.hookups}"),
        ("Caught", f"{report.total.caught}"),
        ("Strikes per 10 h", f"{words.per_10h(report.total)} ({words.interval(report.total)})"),
        ("Speed", words.span(day.speed_kn, "kn")),
        ("Water", words.warmth(day.water_c, day.units)),
        ("Depth", words.depth(day.depth_m, day.units)),
        ("Crew", ", ".join(day.crew) or words.NONE),
        ("Entries", f"{day.entries}"),
    ]  # fmt: skip
    return [(name, value) for name, value in found if not value.startswith(words.NONE)]


def _from_to(
    start: datetime | None, end: datetime | None, tz: tzinfo, first: datetime | None, open_: str
) -> str:
    if start is None:
        return words.NONE
    began = words.when(start, tz, first)
    return f"from {began}, {open_}" if end is None else f"{began} to {words.when(end, tz, first)}"


def _catches(report: Report, tz: tzinfo) -> Iterable[Block]:
    yield Heading("Caught and let go")
    if not report.catches:
        yield Paragraph("No fish was caught.")
        return
    kept, released, tagged = (
        sum(getattr(row, name) for row in report.landed) for name in ("kept", "released", "tagged")
    )
    rows = [
        (words.kind(row.species), str(row.kept), str(row.released), str(row.tagged))
        for row in report.landed
    ]
    rows.append(("all", str(kept), str(released), str(tagged)))
    yield Table(("Fish", "kept", "let go", "of these tagged"), rows, last_is_total=True)
    first = report.day.started
    known = any(one.angler for one in report.catches)
    heads = ("Time", "Fish", "Fate", "Line", "Lure", "Size", "On for", "Angler", "Called by")
    yield Table(
        [head for head in heads if known or head != "Angler"],
        [_catch(one, words.when(one.at, tz, first), known) for one in report.catches],
        left=9 if known else 8,
    )


def _catch(one: Catch, at: str, with_angler: bool) -> tuple[str, ...]:
    fate = "kept" if one.kept else "let go"
    if one.tagged:
        fate = f"tagged {one.tag}, {fate}" if one.tag else f"tagged, {fate}"
    kg, unit = one.weight_kg, one.weight_unit
    size = [weight_of(kg, unit, one.count)] if kg is not None else []
    size += [length(one.length_cm, one.length_unit)] if one.length_cm is not None else []
    return (
        at, words.kind(one.species, one.count), fate, one.where or words.NONE, one.lure,
        ", ".join(size) or words.NONE, words.minutes(one.fought_min),
        *((one.angler or words.NONE,) if with_angler else ()), one.crew or words.NONE,
    )  # fmt: skip


def _bites(report: Report, tz: tzinfo) -> Iterable[Block]:
    yield Heading("Strikes, one by one")
    if not report.bites:
        yield Paragraph("No fish bit or came up.")
        return
    first = report.day.started
    lit = any(one.light for one in report.bites)
    heads = ("Time", *(("Light",) if lit else ()), "Line", "Lure", "Fish", "What became of it")
    rows = [_bite(one, words.when(one.at, tz, first), lit) for one in report.bites]
    yield Table(heads, rows, left=len(heads))
    yield Table(
        ("What became of what", "number", "share", "95 % interval"),
        [
            (one.what, f"{one.successes} of {one.trials}", words.share(one),
             words.share_interval(one))
            for one in report.shares if one.trials
        ],
        caption="Conversions",
    )  # fmt: skip


def _bite(one: Encounter, at: str, lit: bool) -> tuple[str, ...]:
    fish = words.kind(one.species, one.count) if one.species or one.count > 1 else words.NONE
    fate = {"not told": "nobody said", "on": "still on"}.get(one.fate, one.fate)
    if one.fought_min is not None:
        fate += f" after {words.minutes(one.fought_min)}"
    light = ((one.light or words.NONE),) if lit else ()
    return at, *light, one.where or words.NONE, one.lure, fish, fate


def _rates(report: Report, tz: tzinfo) -> Iterable[Block]:
    del tz
    yield Heading("Strikes and the time it took")
    if not report.total.hours and not report.total.strikes:
        yield Paragraph("No lure fished, so there is nothing to count.")
        return
    for counted in report.tallies:
        if counted.rows:
            yield _tally(counted, report.total)
    yield Paragraph(HOW_COUNTED, small=True)


def _tally(counted: TallyTable, total: RateRow) -> Table:
    rows = [
        _rated(_key(row.key, counted.by), row)
        for row in counted.rows
        if row.hours or row.strikes or row.hookups
    ]
    rows.append(_rated("all", total))
    heads: tuple[str, ...] = (_BY[counted.by], *_HEADS)
    if counted.by in WHOLE_HOURS:  # nobody has lure-hours of their own
        heads, rows = heads[:_COUNTED], [row[:_COUNTED] for row in rows]
    return Table(heads, rows, caption=f"By {counted.by}", last_is_total=True)


def _rated(key: str, row: RateRow) -> tuple[str, ...]:
    return (
        key, str(row.strikes), str(row.hookups), str(row.caught), f"{row.hours:.1f}",
        words.per_10h(row), words.interval(row),
    )  # fmt: skip


def _key(key: str, by: By) -> str:
    return f"{key}-inch" if by == "size" and key != "unknown" else key


def _spread(report: Report, tz: tzinfo) -> Iterable[Block]:
    yield Heading("The spread over the day")
    if not report.placements:
        yield Paragraph("No lure was logged.")
        return
    first = report.day.started
    yield Table(
        ("Line", "Lure", "from", "to", "lure-hours", "strikes"),
        [
            (one.line, one.lure, words.when(one.start, tz, first),
             words.when(one.end, tz, first) if one.end else "the end",
             f"{one.hours:.1f}", str(one.strikes))
            for one in report.placements
            if not _at_once_another(one)
        ],
        left=4,
    )  # fmt: skip


def _at_once_another(one: Placement) -> bool:
    """Return whether a lure was changed on its line as soon as it was told, as a slip is put right."""
    brief = one.end is not None and one.end - one.start < SLIP
    return brief and one.hours < SLIP / timedelta(hours=1) and not one.strikes


def _trays(report: Report, tz: tzinfo) -> Iterable[Block]:
    if not report.trays:
        return
    yield Heading("Trays")
    first = report.day.started
    yield Table(
        ("Tray", "For", "Holds", "Not ready", "Put out", "lure-hours", "strikes"),
        [
            (
                one.tray, one.terms or words.NONE, _held(one.lures, one.spares),
                ", ".join(one.not_ready) or words.NONE,
                ", ".join(words.when(at, tz, first) for at in one.out_at) or "no",
                f"{one.hours:.1f}", str(one.strikes),
            )
            for one in report.trays
        ],
        left=5,
    )  # fmt: skip
    yield Paragraph(
        "As they were at the end of the trip; hours and strikes are those of what a tray put out.",
        small=True,
    )


def _held(lures: Sequence[str], spares: Sequence[str]) -> str:
    held = ", ".join(lures)
    return f"{held}; spares: {', '.join(spares)}" if spares else held


def _advice(report: Report, tz: tzinfo) -> Iterable[Block]:
    yield Heading("What was advised, and how it turned out")
    if not report.outcomes:
        yield Paragraph("No change was proposed.")
        return
    first = report.day.started
    yield Table(
        ("Time", "Proposed", "Why", "Done", "What came of it"),
        [_outcome(one, tz, words.when(one.at, tz, first)) for one in report.outcomes],
        left=5,
    )
    yield Paragraph(
        "What came after a change is no proof that the change did it: the water, the hour and luck"
        " changed too.",
        small=True,
    )


def _outcome(one: AdviceOutcome, tz: tzinfo, at: str) -> tuple[str, ...]:
    what = f"{one.lure} on the {one.position}"
    if one.last_at is not None:
        what += f" (said {one.times} times, last at {words.when(one.last_at, tz)})"
    why = f"{sentence(one.reason or PUT_RIGHT)} Better with {chances(one.chance)}."
    if one.made_at is None:
        done = f"no; {one.instead} went out there" if one.instead else "no"
        if one.again_at is not None:
            done = f"not then; proposed again at {words.when(one.again_at, tz)}"
        return at, what, why, done, words.NONE
    told = [f"{_seen(one.new)} with it"] if one.new else []
    told += [f"{_seen(one.old)} with {one.old.key} before"] if one.old else []
    told += [f"{_seen(one.others)} on the other lines meanwhile"] if one.others else []
    return at, what, why, f"yes, {words.when(one.made_at, tz)}", "; ".join(told)


def _seen(row: RateRow) -> str:
    return f"{count(row.strikes, 'strike')} in {hours_words(row.hours)}"


def _rigs(report: Report, tz: tzinfo) -> Iterable[Block]:
    del tz
    yield Heading("Lures to re-rig")
    if not report.rigs:
        yield Paragraph("No lure waits for work, as far as the log tells.")
        return
    yield Table(
        ("Lure", "State", "Why"),
        [
            (rig.lure, rig.state, rig.reason if rig.reason != rig.state else words.NONE)
            for rig in report.rigs
        ],
        left=3,
    )


def _sea(report: Report, tz: tzinfo) -> Iterable[Block]:
    yield Heading("Sea, marks and notes")
    first = report.day.started
    if report.told:
        yield Table(
            ("Time", "What", "About", "By"),
            [
                (words.when(one.at, tz, first), one.kind, one.text or words.NONE, one.crew)
                for one in report.told
            ],
            left=4,
        )
    else:
        yield Paragraph("Nothing was seen, marked or noted.")
    yield from _track(report, tz)


def _track(report: Report, tz: tzinfo) -> Iterable[Block]:
    if not report.with_positions:
        yield Paragraph(PLACES_OUT, small=True)
        return
    if not report.spots and not report.track:
        yield Paragraph("Nobody shared where the boat was, so there are no places.")
        return
    first = report.day.started
    yield Table(
        ("No.", "Time", "What", "Place (WGS 84)"),
        [
            (
                str(spot.number or ""),
                words.when(spot.at, tz, first),
                spot.what,
                place_words(spot.latitude, spot.longitude),
            )
            for spot in report.spots
        ],
        left=4,
        caption="Places",
    )
    if report.distance_nm is not None and report.track:
        yield Paragraph(f"Along the track of the instruments {report.distance_nm:.1f} nm.")
    elif report.distance_nm is not None:
        yield Paragraph(f"From place to place {report.distance_nm:.1f} nm; the boat went further.")


def _rules(report: Report, tz: tzinfo) -> Iterable[Block]:
    del tz
    if report.gaps:
        yield Heading("What the log leaves open")
        yield Items(report.gaps)
    yield Heading("To be checked where you are, and cautions")
    if report.rules:
        yield Items(report.rules)
    yield Notice("Before the next trip", report.cautions)


_AFTER: Final = {"day": _day, "rates": _rates}
"""After which section a picture stands."""
