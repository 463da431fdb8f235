import gc
import os
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

import pytest

from bot import fittings
from bot.calls.reader.network import Network, WordScores

Known = Sequence[Sequence[bool]]
Before = Sequence[tuple[str, Sequence[bool]]]


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Two more than there are processors: many tests wait for processes, disks and answers."""
    return (os.cpu_count() or 1) + 2


def pytest_collection_finish() -> None:
    """Let the garbage collector pass over the tests themselves, which live as long as the process."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def _looked_at_once() -> Iterator[None]:
    """Keep what the shipped networks say of a line: of 20,000 lines that tests say, 12,000 come again."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Network, "look", _remembering(Network.look))
        yield


def _remembering(
    look: Callable[[Network, Sequence[str], Known, Sequence[bool], Before], WordScores],
) -> Callable[..., WordScores]:
    @lru_cache(maxsize=4096)
    def kept(
        words: tuple[str, ...], known: Known, flags: tuple[bool, ...], before: Before
    ) -> WordScores:
        seen = look(fittings.learned_reader()[0], words, known, flags, before)
        for each in (seen.act, seen.begin, seen.role):
            each.flags.writeable = False  # who changes it would change it for the next test
        return seen

    def looked(
        self: Network,
        words: Sequence[str],
        known: Known,
        flags: Sequence[bool],
        before: Before = (),
    ) -> WordScores:
        if not fittings.learned_reader.cache_info().currsize or (
            self is not fittings.learned_reader()[0]
        ):
            return look(self, words, known, flags, before)
        return kept(
            tuple(words), tuple(map(tuple, known)), tuple(flags),
            tuple((word, tuple(row)) for word, row in before),
        )  # fmt: skip

    return looked
