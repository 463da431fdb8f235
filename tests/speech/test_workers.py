"""Ears in processes of their own: bounded, replaced when they hang or crash, the models loaded once."""

import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future

import pytest

from bot.errors import AudioError, EngineBusy, GivenUp, ModelMissing
from bot.speech import workers as pool
from bot.speech.workers import EarLimits, Workers
from bot.transcript import HearingFailure, Transcript
from tests.speech.ears import (
    CRASHES,
    FAILS,
    GOOD,
    GRAMMAR,
    HANGS,
    open_missing,
    open_moody,
    recorded,
)


@pytest.fixture(scope="module")
def ears() -> Iterator[Workers]:
    with Workers(open_moody, EarLimits(workers=2, queue=2, give_up_s=2.0, max_s=30.0)) as opened:
        yield opened


def _hear(ears: Workers, seconds: float) -> "Future[Transcript]":
    return ears.hear(recorded(seconds), "call.wav", GRAMMAR)


def test_no_process_is_there_before_the_first_recording() -> None:
    with Workers(open_moody) as ears:
        assert ears.pids == ()


def test_a_worker_that_was_warmed_hears_the_first_recording() -> None:
    with Workers(open_moody, EarLimits(workers=1)) as ears:
        ears.warm(GRAMMAR)
        _wait_for(lambda: len(ears.pids) == 1)
        heard = _hear(ears, GOOD).result()
        pids = ears.pids

    assert pids == (int(heard.signals["pid"]),)


def test_warming_what_cannot_be_started_is_silent_until_somebody_speaks() -> None:
    with Workers(open_missing) as ears:
        ears.warm(GRAMMAR)

        with pytest.raises(ModelMissing):
            _hear(ears, GOOD).result()


def test_no_ear_is_warmed_where_memory_is_short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pool, "spare_memory_mb", lambda: 100)
    with Workers(open_moody) as ears:
        ears.warm(GRAMMAR)
        ears._threads.shutdown(wait=True)
        assert ears.pids == ()


def test_recordings_after_each_other_are_heard_in_one_process(ears: Workers) -> None:
    heard = [_hear(ears, GOOD).result() for _ in range(3)]

    assert {one.best for one in heard} == {"strike shotgun"}
    assert {one.signals["pid"] for one in heard} == {float(ears.pids[0])}
    assert len(ears.pids) == 1


def test_a_recording_that_hangs_is_given_up_and_the_next_is_heard(ears: Workers) -> None:
    with pytest.raises(GivenUp, match="not heard within 2 s"):
        _hear(ears, HANGS).result()
    assert _hear(ears, GOOD).result().best == "strike shotgun"


@pytest.mark.parametrize("seconds", [CRASHES, FAILS])
def test_what_breaks_on_a_recording_says_so_and_the_next_is_heard(
    ears: Workers, seconds: float
) -> None:
    broken = ears.listen(recorded(seconds), "", GRAMMAR).result()

    assert isinstance(broken, HearingFailure)
    assert broken.again
    assert _hear(ears, GOOD).result().best == "strike shotgun"


def test_a_recording_of_no_use_is_no_fault_of_the_ear(ears: Workers) -> None:
    with pytest.raises(AudioError, match="empty"):
        ears.hear(b"", "", GRAMMAR).result()
    with pytest.raises(AudioError, match="longer than 30 s"):
        _hear(ears, 31.0).result()

    found = ears.listen(b"", "", GRAMMAR).result()
    assert isinstance(found, HearingFailure)
    assert not found.again


def test_beyond_the_bound_of_the_queue_a_recording_is_refused_at_once(ears: Workers) -> None:
    asked = [_hear(ears, HANGS) for _ in range(2)] + [_hear(ears, GOOD) for _ in range(2)]

    refused = _hear(ears, GOOD)

    assert refused.done()
    with pytest.raises(EngineBusy, match="2 recordings wait already"):
        refused.result()
    assert [future.exception() is None for future in asked] == [False, False, True, True]
    assert _hear(ears, GOOD).result().best == "strike shotgun"


def test_while_one_recording_hangs_another_worker_goes_on() -> None:
    with Workers(open_moody, EarLimits(workers=2, give_up_s=60.0)) as ears:
        hanging, good = _hear(ears, HANGS), _hear(ears, GOOD)

        assert good.result().best == "strike shotgun"
        assert not hanging.done()
        assert len(ears.pids) == 2


def test_one_worker_does_all_the_work_where_memory_is_short(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pool, "spare_memory_mb", lambda: pool.SPARE_MB - 1)
    with Workers(open_moody, EarLimits(workers=2)) as ears:
        heard = [future.result() for future in [_hear(ears, GOOD) for _ in range(4)]]

        assert len({one.signals["pid"] for one in heard}) == 1


def test_an_engine_that_cannot_be_started_says_what_to_do_each_time() -> None:
    with Workers(open_missing) as ears:
        for _ in range(2):
            with pytest.raises(ModelMissing, match="deckcall model get"):
                _hear(ears, GOOD).result()


def test_an_end_does_not_wait_for_what_hangs() -> None:
    with Workers(open_moody, EarLimits(give_up_s=600.0)) as ears:
        hanging = ears.listen(recorded(HANGS), "", GRAMMAR)
        waits = ears.listen(recorded(GOOD), "", GRAMMAR)
        _wait_for(lambda: len(ears.pids) == 1)

    assert isinstance(hanging.result(timeout=60), HearingFailure)
    assert isinstance(waits.result(timeout=60), HearingFailure)
    assert ears.pids == ()


def _wait_for(check: Callable[[], bool]) -> None:
    end = time.monotonic() + 60
    while not check():
        assert time.monotonic() < end
        time.sleep(0.02)
