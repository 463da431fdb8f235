"""A report for programs: the value as it is, times in ISO 8601 (UTC). Pure."""

from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from typing import Any

from bot.reports.report import Report
from bot.reports.season import Season


def report_json(report: Report | Season) -> dict[str, Any]:
    """Return the report as JSON values."""
    found: dict[str, Any] = _value(report)
    return found


def _value(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _value(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, tuple):
        return [_value(one) for one in value]
    return value
