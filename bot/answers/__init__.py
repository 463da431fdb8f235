"""Answers to questions, and read-back: what the crew is told about the trip.

`View` is all that an answer may look at; nothing here reads or writes the log, and time is an argument.
"""
