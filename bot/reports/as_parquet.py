"""Entries as Apache Parquet, for many trips; needs pyarrow (an extra)."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from bot.errors import DeckcallError

_NUMBERS: Final = frozenset(
    {"size_in", "length_cm", "weight_kg", "speed_kn", "water_c", "depth_m", "latitude", "longitude",
     "cog_deg", "sog_kn", "stw_kn", "heading_deg", "measured_c", "measured_m"}
)  # fmt: skip
_FLAGS: Final = frozenset({"void", "tagged"})


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
        "at": arrow.timestamp("s", tz="UTC"),
        "count": arrow.int64(),
    }
    kinds |= dict.fromkeys(_FLAGS, arrow.bool_())
    kinds |= dict.fromkeys(_NUMBERS, arrow.float64())
    schema = arrow.schema([(name, kinds.get(name, arrow.string())) for name in columns])
    held = [[_value(name, row[name]) for row in rows] for name in columns]
    arrays = [arrow.array(v, f.type) for v, f in zip(held, schema, strict=True)]
    table = arrow.Table.from_arrays(arrays, schema=schema)
    out = arrow.BufferOutputStream()
    writer: Any = pq
    writer.write_table(table, out)
    return bytes(out.getvalue())


def _value(name: str, value: Any) -> Any:
    if name == "at":
        return datetime.fromisoformat(value)
    if name in _FLAGS:
        return bool(value)
    return float(value) if name in _NUMBERS and value is not None else value
