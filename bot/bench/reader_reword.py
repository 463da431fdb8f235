"""Lines changed beside the GPU: words in place of others like them, pieces that a learner does not see.

What a line of other words is labelled is left to the teachers, who know more English than the lines hold
(Jiao and others, TinyBERT, 2020). Needs torch and nothing of deckcall; the chance is that of torch.
"""

from typing import Any

import torch
from torch.nn import functional as F  # noqa: N812 - its usual name

IGNORED = -1
WORN = 0.06
"""Share of pieces hidden from learners in half of the lines; teachers see them."""
REWORDED = 0.4
"""Share of lines that are said in other words."""
OTHER = 0.25
"""Share of the words of such a line that are others; only those of which the language knows nothing."""
LIKE = 12
"""How many words a word may be changed for."""
SHORTEST = 3
"""Fewest letters of a word that is changed or put in its place."""


def like(vectors: Any, pieces: list[str], common: set[str]) -> tuple[Any, Any]:
    """Return the pieces most like each piece (itself where it has none), and whether it goes on a word.

    `vectors` are the word vectors of a teacher, pieces x width; only `common` words are put in another's
    place.
    """
    whole = [p.isascii() and p.isalpha() and len(p) >= SHORTEST for p in pieces]
    there = torch.tensor([n for n, is_word in enumerate(whole) if is_word])
    usual = torch.tensor([n for n in there.tolist() if pieces[n] in common])
    middle = vectors[there].mean(0)
    mine, theirs = (F.normalize(vectors[rows] - middle, dim=1) for rows in (there, usual))
    alike = mine @ theirs.T
    alike[usual[None, :] == there[:, None]] = -1.0
    found = torch.arange(len(pieces))[:, None].repeat(1, LIKE)
    found[there] = usual[alike.topk(LIKE, dim=1).indices]
    return found, torch.tensor([p.startswith("##") for p in pieces])


def reword(batch: Any, alike: Any, goes_on: Any) -> Any:
    """Return a batch in which some lines have other words; those lines have no labels any more."""
    ids, known = batch[:, 0], batch[:, 1]
    device = ids.device
    after = torch.cat([ids[:, 1:], ids[:, :1]], 1)
    free = (known == 0) & (alike[ids, 0] != ids) & ~goes_on[after]
    lines = torch.rand(len(ids), 1, device=device) < REWORDED
    changed = free & lines & (torch.rand(ids.shape, device=device) < OTHER)
    which = torch.randint(0, LIKE, ids.shape, device=device)
    said = torch.where(changed, alike[ids, which].to(ids.dtype), ids)
    labels = torch.where(changed.any(1)[:, None, None], IGNORED, batch[:, 2:5])
    return torch.cat([said[:, None], known[:, None], labels, batch[:, 5:]], 1)


def wear_pieces(batch: Any, unknown: int) -> Any:
    """Return a batch in half of whose lines some pieces are unknown, so that their neighbours must do."""
    ids = batch[:, 0]
    shown = torch.rand(ids.shape, device=ids.device) >= WORN
    shown[:, 0] = True
    shown |= torch.rand(len(ids), 1, device=ids.device) < 0.5
    return torch.cat([torch.where(shown, ids, unknown)[:, None], batch[:, 1:]], 1)
