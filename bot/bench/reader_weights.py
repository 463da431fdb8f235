"""Arrays of weights in eight bits with a scale a row: written and read where the reader is trained.

    python -m bot.bench reader_weights FILE.npz …
    python -m bot.bench reader_weights --mean BEFORE.npz AFTER.npz OUT.npz

writes files of weights anew without compression, in which they load in a third of the time; or the mean
of the weights of a network before and after a training (Wortsman and others, 2022), which keeps more of
what it knew. Needs numpy and nothing of deckcall.
"""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

_NAMED = {"word.weight": "pieces", "act.weight": "acts", "act.bias": "acts"}
"""Arrays whose rows have names, and where those stand."""


def weight_of(held: Any, name: str) -> Any:
    """Return an array of a file of weights, which may hold it in eight bits with a scale a row."""
    if name + ".q" in held.files:
        return held[name + ".q"].astype(np.float32) * held[name + ".s"]
    return np.asarray(held[name], np.float32)


def in_eight_bits(name: str, weights: Any) -> dict[str, Any]:
    """Return a matrix in eight bits a weight, one scale a row, under the names that `weight_of` reads."""
    scale = np.maximum(np.abs(weights).max(1, keepdims=True), 1e-8) / 127.0
    rounded = np.round(weights / scale).astype(np.int8)
    return {name + ".q": rounded, name + ".s": scale.astype(np.float32)}


def rows_of_both(mine: Sequence[str], theirs: Sequence[str]) -> tuple[list[int], list[int]]:
    """Return the rows of the names that two networks share, in the one and in the other."""
    place = {name: n for n, name in enumerate(theirs)}
    both = [(n, place[name]) for n, name in enumerate(mine) if name in place]
    return [n for n, _ in both], [n for _, n in both]


def mean_of(before: Any, after: Any) -> dict[str, Any]:
    """Return the arrays of the mean of two files; pieces of words and acts that are new keep their weights.

    Raises ValueError where the two have other roles.
    """
    if str(before["roles"]) != str(after["roles"]):
        raise ValueError("the two networks have other roles")
    found: dict[str, Any] = {}
    for name in dict.fromkeys(key.removesuffix(".q").removesuffix(".s") for key in after.files):
        if name in ("pieces", "acts", "roles", "heads", "before"):
            found[name] = after[name]
            continue
        weights = weight_of(after, name)
        rows = _NAMED.get(name)
        if rows:
            both = (str(held[rows]).split("\n") for held in (after, before))
            mine, theirs = rows_of_both(*both)
            weights[mine] = (weights[mine] + weight_of(before, name)[theirs]) / 2
        else:
            weights = (weights + weight_of(before, name)) / 2
        found |= in_eight_bits(name, weights) if name + ".q" in after.files else {name: weights}
    return found


def main(argv: Sequence[str]) -> int:
    """Write files of weights anew without compression; each is replaced when it is whole."""
    if len(argv) == 4 and argv[0] == "--mean":
        with np.load(argv[1]) as before, np.load(argv[2]) as after:
            np.savez(argv[3], **mean_of(before, after))
        return 0
    if not argv:
        print("usage: reader_weights FILE.npz ... | --mean BEFORE AFTER OUT", file=sys.stderr)
        return 2
    for name in argv:
        path = Path(name)
        with np.load(path) as held:
            arrays = {key: held[key] for key in held.files}
        part = path.with_suffix(".part.npz")
        np.savez(part, **arrays)
        part.replace(path)
        print(f"{path}: {path.stat().st_size} bytes")
    return 0
