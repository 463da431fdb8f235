"""The log on disk; the only package that writes it."""
