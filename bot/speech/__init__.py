"""Sound to alternatives of text."""
