"""Wording: what was decided and what is true, to what the crew reads and hears.

Nothing here looks anything up or decides anything; every function takes values and gives text. Lines are
short enough to be read on a wet phone, British English, with units.
"""
