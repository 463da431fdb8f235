"""The forms in which the log can leave the boat, and what stands in each of them.

Places go out only where they are asked for: by `positions`, or by a form that holds nothing else.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, tzinfo
from typing import Any, Final, Literal, get_args

from bot.logbook.exchange import COLUMNS, MORE, Out
from bot.stamps import Fix

ExportForm = Literal["csv", "jsonl", "gpx", "geojson", "parquet", "sqlite"]
FORMS: Final[tuple[ExportForm, ...]] = get_args(ExportForm)
OF_PLACES: Final = frozenset({"gpx", "geojson"})
"""Forms of places: whoever asks for one asks for them."""
LOCAL: Final = "at_local"
"""Column with the boat's own time, ISO 8601 with its offset from UTC."""
NO_TRACKS: Final[Mapping[str, Sequence[Fix]]] = {}
BINARY: Final = frozenset({"parquet", "sqlite"})
_ENDINGS: Final[dict[str, ExportForm]] = {
    "ndjson": "jsonl", "json": "geojson", "db": "sqlite", "sqlite3": "sqlite", "pq": "parquet",
}  # fmt: skip


def export_form(file: str | None) -> ExportForm:
    """Return the form that the ending of a file name asks for; CSV where it asks for none."""
    ending = (file or "").rpartition(".")[2].casefold()
    return next((form for form in FORMS if form == _ENDINGS.get(ending, ending)), "csv")


def export_file(
    records: Sequence[Out],
    form: ExportForm,
    boat: str = "",
    *,
    positions: bool = False,
    tracks: Mapping[str, Sequence[Fix]] = NO_TRACKS,
    tz: tzinfo = UTC,
) -> bytes:
    """Return records as a file; raises DeckcallError where an extra is missing.

    `tracks` are those of the instruments by trip: the way, instead of that from entry to entry; `tz` is the
    boat's own time, which tables have beside UTC.
    """
    if form == "jsonl":
        from bot.reports.as_jsonl import to_jsonl

        return to_jsonl(records, boat, positions=positions).encode()
    if form == "gpx":
        from bot.reports.as_gpx import to_gpx

        return to_gpx(_places(records), boat, tracks).encode()
    if form == "geojson":
        from bot.reports.as_geojson import to_geojson

        return to_geojson(_places(records), tracks).encode()
    columns = (*COLUMNS, LOCAL, *MORE, *(("latitude", "longitude") if positions else ()))
    rows = [_with_local(_with_place(one), tz) for one in records if one.values]
    return _table(columns, rows, form)


def _table(columns: Sequence[str], rows: Sequence[Mapping[str, Any]], form: ExportForm) -> bytes:
    if form == "parquet":
        from bot.reports.as_parquet import to_parquet

        return to_parquet(columns, rows)
    if form == "sqlite":
        from bot.reports.as_sqlite import to_sqlite

        return to_sqlite(columns, rows)
    from bot.reports.as_csv import to_csv

    return to_csv(columns, rows).encode()


def _places(records: Sequence[Out]) -> list[Mapping[str, Any]]:
    """Return the entries that stand and have a place."""
    return [
        _with_place(one)
        for one in records
        if one.values and not one.values["void"] and one.place is not None
    ]


def _with_local(values: Mapping[str, Any], tz: tzinfo) -> Mapping[str, Any]:
    at = datetime.fromisoformat(values["at"])
    return {**values, LOCAL: at.astimezone(tz).isoformat(timespec="seconds")}


def _with_place(one: Out) -> Mapping[str, Any]:
    latitude, longitude = one.place or (None, None)
    return {**one.values, "latitude": latitude, "longitude": longitude}
