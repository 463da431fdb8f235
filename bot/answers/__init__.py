"""Questions and read-back: what is true of the trip, to what the crew is told.

`View` is all that an answer may look at; nothing here reads or writes the log, and time is an argument.
"""
