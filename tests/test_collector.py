import gc
import weakref
from collections.abc import Iterator

import pytest

from bot.collector import collector_off


class Ring:
    """Something that holds itself, so that only the search for cycles frees it."""

    def __init__(self) -> None:
        self.me = self


@pytest.fixture(autouse=True)
def _as_before() -> Iterator[None]:
    yield
    gc.unfreeze()
    gc.enable()


def test_nothing_is_searched_within_and_what_was_made_is_left_out_ever_after() -> None:
    with collector_off():
        assert not gc.isenabled()
        held = [[number] for number in range(1000)]

    assert gc.isenabled()
    assert gc.get_freeze_count() > 1000
    assert not any(one is held for one in gc.get_objects())


def test_what_is_no_use_any_more_before_is_freed_and_not_kept() -> None:
    ring = Ring()
    gone = weakref.ref(ring)
    del ring

    with collector_off():
        assert gone() is None


def test_a_program_that_searches_for_no_cycles_is_left_alone() -> None:
    gc.disable()

    with collector_off():
        pass

    assert not gc.isenabled()


def test_after_a_failure_the_search_goes_on() -> None:
    with pytest.raises(ValueError, match="no such word"), collector_off():
        raise ValueError("no such word")

    assert gc.isenabled()
