"""A line to the calls that the network reads in it, and how likely that reading is. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from bot.calls.reader.decode import Tag, Tagged, tagged_calls
from bot.calls.reader.labels import NO_ACT, NO_ROLE, URGENT, act_and_slot
from bot.calls.reader.network import Network, Seen
from bot.calls.reader.situation import FLAGS
from bot.calls.reader.words import Words, said_earlier

_NEVER: Final = -1e9


@dataclass(frozen=True, slots=True)
class Learned:
    """What the network reads in a line."""

    calls: tuple[Tagged, ...]
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
    networks: Sequence[Network],
    flags: int = 0,
    repaired: Callable[[], Words] | None = None,
) -> Learned:
    """Return what the networks read together; `repaired` gives the line put right, if that is needed."""
    if not words.tokens:
        return Learned((), 0.0, 0.0, 0.0)
    each = _seen(words, networks, flags)
    network = networks[0]
    together = _together(each)
    full = _tagged(together, network, len(words.tokens))
    acts = {network.acts.index(tag.act) for tag in full.tags} | {network.acts.index(NO_ACT)}
    split = len(each) > 1 and any(
        not acts.issuperset(one.act.argmax(-1).tolist())
        or (len(acts) > 1 and int(one.act.argmax(-1).max()) == int(one.act.argmax(-1).min()) == 0)
        for one in each
    )
    calls = tagged_calls(words, full.tags)
    alone = [_tagged(one, network, len(words.tokens)) for one in each] if len(each) > 1 else [full]
    apart = sum(
        one.tags != full.tags and _told(tagged_calls(words, one.tags)) != _told(calls)
        for one in alone
    )
    if repaired is not None and any(call.unread or call.silent for call in calls):
        mended = replace(repaired(), before=words.before)
        calls = min(calls, tagged_calls(mended, full.tags), key=_not_read)
    return Learned(
        calls, full.acts_log, full.roles_log, full.talk_log, split, apart,
        min(one.acts_log for one in alone), min(one.roles_log for one in alone),
        *_trouble(together, network),
    )  # fmt: skip


def _trouble(seen: Seen, network: Network) -> tuple[str, float]:
    """Return the likeliest cry for help, and how likely any word is one."""
    columns = [n for n, label in enumerate(network.acts) if act_and_slot(label)[0] in URGENT]
    if not columns or not len(seen.act):
        return "", 0.0
    likely = np.exp(seen.act[:, columns])
    word = int(likely.sum(1).argmax())
    label = network.acts[columns[int(likely[word].argmax())]]
    return label, min(1.0, float(likely[word].sum()))


def _tagged(seen: Seen, network: Network, size: int) -> _Tagged:
    """Return the likeliest tags of a line of that many words, those beyond the last that was seen none."""
    tags, acts_log, talk_log = _best(seen, network)
    roles_log = 0.0
    full: list[Tag] = []
    for at, (act, begins) in enumerate(tags):
        role = NO_ROLE
        if act != NO_ACT:
            best = int(seen.role[at].argmax())
            role = network.roles[best]
            roles_log += float(seen.role[at, best])
        full.append(Tag(act, begins, role))
    full += [Tag(NO_ACT, False, NO_ROLE)] * (size - len(full))
    return _Tagged(tuple(full), acts_log, roles_log, talk_log)


def _told(calls: Sequence[Tagged]) -> list[tuple[str, dict[str, Any]]]:
    return [(call.act, call.slots) for call in calls]


def _not_read(calls: Sequence[Tagged]) -> tuple[int, int]:
    return sum(len(call.unread) for call in calls), sum(call.silent for call in calls)


def _together(each: Sequence[Seen]) -> Seen:
    """Return what networks say together: the mean of their probabilities."""
    if len(each) == 1:
        return each[0]
    count = np.float32(np.log(len(each)))
    yes = [-np.logaddexp(0.0, -s.begin) for s in each]
    no = [-np.logaddexp(0.0, s.begin) for s in each]
    return Seen(
        np.logaddexp.reduce([s.act for s in each]) - count,
        np.logaddexp.reduce(yes) - np.logaddexp.reduce(no),
        np.logaddexp.reduce([s.role for s in each]) - count,
    )


def _seen(words: Words, networks: Sequence[Network], flags: int) -> list[Seen]:
    marked = words.marked()
    places = [n for n, (_, _, is_mark) in enumerate(marked) if not is_mark]
    said, known = [text for text, _, _ in marked], [row for _, row, _ in marked]
    earlier = [(text, row) for text, row, _ in said_earlier(words.before)]
    on = [bool(flags >> n & 1) for n in range(len(FLAGS))]
    found = []
    for network in networks:
        seen = network.look(said, known, on, earlier)
        kept = [p for p in places if p < len(seen.act)]
        found.append(Seen(seen.act[kept], seen.begin[kept], seen.role[kept]))
    return found


def _best(seen: Seen, network: Network) -> tuple[list[tuple[str, bool]], float, float]:
    """Return the likeliest acts and beginnings, their log probability, and that of no call at all.

    A word goes on with the act of the word before, or begins a call, or belongs to none.
    """
    act = seen.act.astype(np.float64)
    starts = -np.logaddexp(0.0, -seen.begin.astype(np.float64))
    goes_on = -np.logaddexp(0.0, seen.begin.astype(np.float64))
    none = network.acts.index(NO_ACT)
    size, count = act.shape
    score = np.full(count, _NEVER)
    total = np.full(count, _NEVER)
    score[none] = total[none] = 0.0
    back: list[NDArray[Any]] = []
    for at in range(size):
        begin = act[at] + starts[at]
        begin[none] = _NEVER
        hold = act[at] + goes_on[at]
        best = int(score.argmax())
        fresh = score[best] + begin
        stay = score + hold
        stay[none] = score[best] + hold[none]
        back.append(np.where(fresh > stay, best, np.arange(count)))
        back[-1][none] = best
        begun = fresh > stay
        score = np.where(begun, fresh, stay)
        whole = _summed(total)
        total_new = np.logaddexp(whole + begin, total + hold)
        total_new[none] = whole + hold[none]
        total = total_new
        back[-1] = np.stack([back[-1], begun])
    state = int(score.argmax())
    likely = float(score[state] - _summed(total))
    found: list[tuple[str, bool]] = []
    for step in reversed(back):
        found.append((network.acts[state], bool(step[1][state])))
        state = int(step[0][state])
    talk = float(np.sum(act[:, none] + goes_on) - _summed(total))
    return found[::-1], likely, talk


def _summed(logs: NDArray[Any]) -> float:
    top = float(logs.max())
    return top + float(np.log(np.exp(logs - top).sum()))
