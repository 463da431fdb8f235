"""How a Message arrives and a Reply leaves.

A transport is given `answer(Message) -> Reply` and plain values; it knows no settings, no log, no trip.
"""
