"""A line read by a small learned network: which words make which act, and what each word is there for.

The network tags words; it decides nothing about values: numbers, positions, colours and names are read
by the same terms as everywhere in `bot.calls`. `read` is the only way in. Pure.
"""
