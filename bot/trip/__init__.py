"""Calls, entries and the trip that follows from them: values and plain functions."""
