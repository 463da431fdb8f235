"""When the ear is open, told by times alone."""

from collections.abc import Iterable
from itertools import pairwise

import pytest

from bot.transports.listen.watch import Look, Sound, Step, Take, Timing, Watch

BLOCK_S = 0.02
TIMING = Timing(open_s=6.0, pause_s=0.8, wake_pause_s=0.5, longest_s=15.0, look_every_s=8.0)


def played(
    watch: Watch, voiced: Iterable[tuple[float, float]], start_s: float, end_s: float
) -> list[tuple[float, Step]]:
    """Run the stream to a time, or to a look, with voice in some spans; gives steps and their times."""
    spans = tuple(voiced)
    found: list[tuple[float, Step]] = []
    for number in range(round(start_s / BLOCK_S), round(end_s / BLOCK_S)):
        at_s = number * BLOCK_S
        is_voice = any(first <= at_s < last for first, last in spans)
        found += [(at_s + BLOCK_S, s) for s in watch.take_block(at_s, at_s + BLOCK_S, is_voice)]
        if any(isinstance(step, Look) for _, step in found):
            break  # what was found is to be told before the stream goes on
    return found


def test_asleep_each_stretch_of_voice_is_looked_through_once_it_pauses() -> None:
    ((at_s, step),) = played(Watch(TIMING), [(2.0, 3.0)], 0.0, 3.6)
    assert at_s == pytest.approx(3.5, abs=0.05)
    assert isinstance(step, Look)
    assert step.start_s < 1.8
    assert step.end_s >= 3.2


def test_noise_that_is_no_voice_asks_for_nothing() -> None:
    assert played(Watch(TIMING), [], 0.0, 60.0) == []


def test_a_click_is_no_stretch_of_voice() -> None:
    assert played(Watch(TIMING), [(1.0, 1.04), (3.0, 3.06)], 0.0, 10.0) == []


def test_without_the_phrase_nothing_is_taken_as_a_call() -> None:
    watch = Watch(TIMING)
    for start_s in (1.0, 5.0, 9.0):
        ((_, step),) = played(watch, [(start_s, start_s + 2)], start_s, start_s + 3)
        assert isinstance(step, Look)
        watch.sleep_on()
    assert not watch.is_open


def test_a_stretch_without_the_phrase_is_looked_through_once() -> None:
    watch = Watch(TIMING)
    played(watch, [(1.0, 2.0)], 0.0, 2.6)
    watch.sleep_on()
    assert played(watch, [], 2.6, 20.0) == []


def test_after_the_phrase_a_tone_says_that_the_ear_is_open_and_the_next_stretch_is_the_call() -> (
    None
):
    watch = Watch(TIMING)
    played(watch, [(1.0, 2.0)], 0.0, 2.5)
    assert watch.wake(2.0, 0.0, 2.5) == (Sound("listening"),)
    ((at_s, step),) = played(watch, [(4.0, 6.0)], 2.5, 9.0)
    assert at_s == pytest.approx(6.8, abs=0.05)
    assert isinstance(step, Take)
    assert step.start_s == pytest.approx(3.7, abs=0.1)
    assert step.end_s == pytest.approx(6.3, abs=0.1)
    assert not watch.is_open


def test_what_was_said_in_one_breath_with_the_phrase_is_the_call() -> None:
    watch = Watch(TIMING)
    played(watch, [(1.0, 4.0)], 0.0, 4.52)
    assert watch.wake(2.0, 1.9, 4.52) == ()  # no tone into what is being said
    ((at_s, step),) = played(watch, [(4.6, 5.0)], 4.52, 6.5)
    assert at_s == pytest.approx(5.8, abs=0.05)
    assert isinstance(step, Take)
    assert step.start_s == 2.0
    assert step.end_s == pytest.approx(5.3, abs=0.05)


def test_an_open_ear_to_which_nobody_speaks_closes_after_its_time_and_says_so() -> None:
    watch = Watch(TIMING)
    watch.open(10.0)
    ((at_s, step),) = played(watch, [], 10.0, 30.0)
    assert step == Sound("not understood")
    assert at_s == pytest.approx(16.0, abs=0.05)
    assert not watch.is_open


def test_a_call_that_begins_in_time_may_end_after_it() -> None:
    watch = Watch(TIMING)
    watch.open(10.0)
    steps = played(watch, [(15.5, 18.0)], 10.0, 20.0)
    assert [type(step) for _, step in steps] == [Take]


def test_a_call_without_end_is_taken_as_it_stands() -> None:
    watch = Watch(TIMING)
    watch.open(0.0)
    at_s, step = played(watch, [(1.0, 60.0)], 0.0, 30.0)[0]
    assert isinstance(step, Take)
    assert step.end_s - step.start_s == pytest.approx(15.0, abs=0.1)
    assert at_s < 16


def test_talk_without_a_pause_is_looked_through_in_pieces_that_overlap() -> None:
    watch = Watch(TIMING)
    looks: list[Look] = []
    for number in range(round(30 / BLOCK_S)):
        for step in watch.take_block(number * BLOCK_S, (number + 1) * BLOCK_S, True):
            assert isinstance(step, Look)
            looks.append(step)
            watch.sleep_on()
    assert len(looks) >= 4
    for one, other in pairwise(looks):
        assert one.end_s - other.start_s == pytest.approx(TIMING.overlap_s, abs=0.05)


def test_after_its_own_voice_the_ear_stays_open_for_the_whole_time() -> None:
    watch = Watch(TIMING)
    watch.open(10.0)
    watch.deaf(14.0)
    assert played(watch, [], 14.0, 19.9) == []
    ((at_s, step),) = played(watch, [], 19.9, 20.2)
    assert at_s == pytest.approx(20.0, abs=0.05)
    assert step == Sound("not understood")


def test_asleep_its_own_voice_does_not_open_the_ear() -> None:
    watch = Watch(TIMING)
    watch.deaf(14.0)
    assert not watch.is_open


def test_a_stream_that_ends_in_a_call_gives_the_call() -> None:
    watch = Watch(TIMING)
    watch.open(0.0)
    assert played(watch, [(1.0, 2.0)], 0.0, 2.0) == []
    (step,) = watch.finish(2.0)
    assert isinstance(step, Take)
    assert step.end_s == 2.0
    assert watch.finish(2.0) == ()
