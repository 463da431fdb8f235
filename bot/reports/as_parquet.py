"""Entries as Apache Parquet, for many trips; needs pyarrow (an extra)."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from bot.errors import DeckcallError
from bot.reports.columns import KIND, column_value


def to_parquet(columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> bytes:
    """Write a table with its types; raises DeckcallError where pyarrow is not installed."""
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError as exc:
        raise DeckcallError(
            "Parquet needs pyarrow, which is not installed: pip install 'deckcall[parquet]'"
        ) from exc
    arrow: Any = pa
    kinds = {
        "time": arrow.timestamp("s", tz="UTC"), "whole": arrow.int64(), "flag": arrow.bool_(),
        "number": arrow.float64(), "text": arrow.string(),
    }  # fmt: skip
    schema = arrow.schema([(name, kinds[KIND[name]]) for name in columns])
    held = [[_value(name, row[name]) for row in rows] for name in columns]
    arrays = [arrow.array(v, f.type) for v, f in zip(held, schema, strict=True)]
    table = arrow.Table.from_arrays(arrays, schema=schema)
    out = arrow.BufferOutputStream()
    writer: Any = pq
    writer.write_table(table, out)
    return bytes(out.getvalue())


def _value(name: str, value: Any) -> Any:
    if KIND[name] == "time":
        return datetime.fromisoformat(value)
    return bool(value) if KIND[name] == "flag" else column_value(name, value)
