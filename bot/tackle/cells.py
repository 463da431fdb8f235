"""Cells of a table that a table program would run as a formula, and the same made harmless. Pure."""

from typing import Final

STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""How a cell of text begins that is run as a formula (OWASP, "CSV Injection"; the last four are the
full-width forms, which some table programs take for the same)."""


def guard(text: str) -> str:
    """Put an apostrophe before text that a table program would take for a formula, or that has one there."""
    return f"'{text}" if text.lstrip("'").startswith(STARTS) else text


def unguard(text: str) -> str:
    """Take off the apostrophe that `guard` put on."""
    return text[1:] if text.startswith("'") and text.lstrip("'").startswith(STARTS) else text
