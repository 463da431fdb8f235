"""Something worth telling the crew that is no error.

A rule gives findings; wording turns them into sentences. Knows nothing of either.
"""

from dataclasses import dataclass
from typing import Literal

Severity = Literal["note", "caution", "warning"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One observation of a rule, with where it comes from."""

    severity: Severity
    text: str
    """One sentence for the crew."""
    source: str
    """Published rule, formula, or `common practice`."""
    position: str | None = None
    code: str = ""
    """A fixed word for programs, e.g. `size-for-class`."""
