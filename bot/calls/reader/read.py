"""A line to the calls that the network reads in it, and how likely that reading is. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from bot.calls.reader.decode import Tag, TaggedCall, tagged_calls
from bot.calls.reader.labels import NO_ACT, NO_ROLE, URGENT, act_and_slot
from bot.calls.reader.network import Network, WordScores
from bot.calls.reader.situation import FLAGS
from bot.calls.reader.words import Words, said_earlier

_NEVER: Final = -1e9


@dataclass(frozen=True, slots=True)
class NetworkReading:
    """What the network reads in a line."""

    calls: tuple[TaggedCall, ...]
    """In the order said; empty for talk."""
    acts_log: float
    """Log probability of these acts at these words, among all ways to divide the line."""
    roles_log: float
    """Log probability of what the words of these calls are there for."""
    talk_log: float
    """Log probability that the line holds no call."""
    split: bool = False
    """True where the networks, each by itself, read other acts."""
    apart: int = 0
    """How many networks, each by itself, read other calls."""
    least_acts_log: float = 0.0
    """Log probability of the acts that the least sure network reads by itself."""
    least_roles_log: float = 0.0
    trouble: str = ""
    """The label of the likeliest cry for help, were there one."""
    trouble_likely: float = 0.0
    """Probability that a word of the line cries for help."""

    @property
    def unread(self) -> bool:
        """Return whether words have a role but no value that the language can read."""
        return any(call.unread for call in self.calls)


@dataclass(frozen=True, slots=True)
class _Tagged:
    """The tags of a line as one network, or all together, give them."""

    tags: tuple[Tag, ...]
    acts_log: float
    roles_log: float
    talk_log: float


def read(
    words: Words,
    network: Network,
    flags: int = 0,
    repaired: Callable[[], Words] | None = None,
) -> NetworkReading:
    """Return what the networks read together; `repaired` gives the line put right, if that is needed."""
    if not words.tokens:
        return NetworkReading((), 0.0, 0.0, 0.0)
    each = _seen(words, network, flags)
    together = _together(each)
    full, *alone = _tagged(_joined(together, each), network, len(words.tokens))
    acts = {network.acts.index(tag.act) for tag in full.tags} | {network.acts.index(NO_ACT)}
    split = len(each.act) > 1 and any(
        not acts.issuperset(likeliest) or (len(acts) > 1 and not any(likeliest))
        for likeliest in each.act.argmax(-1).tolist()
    )
    calls = tagged_calls(words, full.tags)
    apart = sum(
        one.tags != full.tags and _told(tagged_calls(words, one.tags)) != _told(calls)
        for one in alone
    )
    if repaired is not None and any(call.unread or call.silent for call in calls):
        mended = replace(repaired(), before=words.before)
        calls = min(calls, tagged_calls(mended, full.tags), key=_not_read)
    return NetworkReading(
        calls, full.acts_log, full.roles_log, full.talk_log, split, apart,
        min(one.acts_log for one in alone), min(one.roles_log for one in alone),
        *_trouble(together, network),
    )  # fmt: skip


def _trouble(seen: WordScores, network: Network) -> tuple[str, float]:
    """Return the likeliest cry for help, and how likely any word is one."""
    columns = _cries(network.acts)
    if not columns or not seen.act.size:
        return "", 0.0
    likely = np.exp(seen.act[0][:, columns])
    word = int(likely.sum(1).argmax())
    label = network.acts[columns[int(likely[word].argmax())]]
    return label, min(1.0, float(likely[word].sum()))


@lru_cache(maxsize=2)
def _cries(acts: tuple[str, ...]) -> list[int]:
    """Return which of the labels are cries for help."""
    return [n for n, label in enumerate(acts) if act_and_slot(label)[0] in URGENT]


def _tagged(seen: WordScores, network: Network, size: int) -> list[_Tagged]:
    """Return, for each network, the likeliest tags of a line of that many words.

    Those of words beyond the last that was seen are none.
    """
    roles, logs = seen.role.argmax(-1).tolist(), seen.role.max(-1).tolist()
    found = []
    for n, (tags, acts_log, talk_log) in enumerate(_best(seen, network)):
        roles_log = 0.0
        full: list[Tag] = []
        for at, (act, begins) in enumerate(tags):
            role = NO_ROLE
            if act != NO_ACT:
                role = network.roles[roles[n][at]]
                roles_log += logs[n][at]
            full.append(Tag(act, begins, role))
        full += [Tag(NO_ACT, False, NO_ROLE)] * (size - len(full))
        found.append(_Tagged(tuple(full), acts_log, roles_log, talk_log))
    return found


def _told(calls: Sequence[TaggedCall]) -> list[tuple[str, dict[str, Any]]]:
    return [(call.act, call.slots) for call in calls]


def _not_read(calls: Sequence[TaggedCall]) -> tuple[int, int]:
    return sum(len(call.unread) for call in calls), sum(call.silent for call in calls)


def _together(each: WordScores) -> WordScores:
    """Return what networks say together, as one of them would: the mean of their probabilities."""
    if len(each.act) == 1:
        return each
    count = np.float32(np.log(len(each.act)))
    yes, no = -np.logaddexp(0.0, -each.begin), -np.logaddexp(0.0, each.begin)
    return WordScores(
        np.logaddexp.reduce(each.act, keepdims=True) - count,
        np.logaddexp.reduce(yes, keepdims=True) - np.logaddexp.reduce(no, keepdims=True),
        np.logaddexp.reduce(each.role, keepdims=True) - count,
    )


def _joined(one: WordScores, other: WordScores) -> WordScores:
    """Return what networks say, those of the one before those of the other."""
    return WordScores(
        np.concatenate([one.act, other.act]),
        np.concatenate([one.begin, other.begin]),
        np.concatenate([one.role, other.role]),
    )


def _seen(words: Words, network: Network, flags: int) -> WordScores:
    marked = words.words_and_marks()
    places = [n for n, (_, _, is_mark) in enumerate(marked) if not is_mark]
    said, known = [text for text, _, _ in marked], [row for _, row, _ in marked]
    earlier = [(text, row) for text, row, _ in said_earlier(words.before)]
    on = [bool(flags >> n & 1) for n in range(len(FLAGS))]
    seen = network.look(said, known, on, earlier)
    kept = [p for p in places if p < seen.act.shape[1]]
    return WordScores(seen.act[:, kept], seen.begin[:, kept], seen.role[:, kept])


def _best(seen: WordScores, network: Network) -> list[tuple[list[tuple[str, bool]], float, float]]:
    """Return, for each network, the likeliest acts and beginnings with their log probability.

    The last figure is the log probability of no call at all. A word goes on with the act of the word before,
    or begins a call, or belongs to none.
    """
    act, odds = seen.act.astype(np.float64), seen.begin.astype(np.float64)[..., None]
    begins, goes_on = act - np.logaddexp(0.0, -odds), act - np.logaddexp(0.0, odds)
    none = network.acts.index(NO_ACT)
    begins[..., none] = _NEVER
    can_begin, can_go_on = np.exp(begins), np.exp(goes_on)
    count, size, acts = act.shape
    score, ways = np.full((count, acts), _NEVER), np.zeros((count, acts))
    score[:, none], ways[:, none] = 0.0, 1.0
    all_ways = np.zeros(count)
    """Log probability of all ways to come to a word; `ways` are the shares of the acts in it."""
    back: list[tuple[list[int], NDArray[np.bool_]]] = []
    for at in range(size):
        best = score.argmax(-1)
        top = score.max(-1, keepdims=True)
        fresh, stay = top + begins[:, at], score + goes_on[:, at]
        stay[:, none] = top[:, 0] + goes_on[:, at, none]
        back.append((best.tolist(), fresh > stay))
        score = np.maximum(fresh, stay)
        ways *= can_go_on[:, at]
        ways += can_begin[:, at]
        ways[:, none] = can_go_on[:, at, none]
        whole = ways.sum(-1)
        ways /= whole[:, None]
        all_ways += np.log(whole)
    likely = (score.max(-1) - all_ways).tolist()
    talk = (goes_on[..., none].sum(-1) - all_ways).tolist()
    found = []
    for n, state in enumerate(score.argmax(-1).tolist()):
        tags: list[tuple[str, bool]] = []
        for best, begun in reversed(back):
            is_begun = bool(begun[n, state])
            tags.append((network.acts[state], is_begun))
            state = best[n] if is_begun or state == none else state
        found.append((tags[::-1], likely[n], talk[n]))
    return found
