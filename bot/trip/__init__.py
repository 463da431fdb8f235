"""What happened, and what is therefore true: calls, entries, the folded trip; values and plain functions."""
