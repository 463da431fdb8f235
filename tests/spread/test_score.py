"""What a spread is scored by: common practice, no source."""

import pytest

from bot.spread.score import HEAD_FIT, head_fit, likenesses, own_points, tone
from bot.spread.weights import Weights
from bot.tackle.items import COLOURS, Lure


def lure(size_in: float, *colours: str, head: str | None = None) -> Lure:
    return Lure(f"{size_in} {colours}", size_in, colours, head)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("colours", "expected"),
    [
        (("black",), -1),
        (("purple", "black"), -1),
        (("black", "white"), 0),
        (("pink", "white"), 1),
        (("blue",), 0),
        (("teal",), 0),
    ],
)
def test_dark_light_and_between(colours: tuple[str, ...], expected: int) -> None:
    assert tone(lure(8, *colours)) == expected


def test_every_usual_colour_has_a_tone() -> None:
    from bot.spread.score import TONES

    assert set(TONES) == set(COLOURS)


def test_action_heads_suit_the_nearest_and_slim_ones_the_farthest() -> None:
    # practice fact 6
    near = {head: head_fit(head, 0) for head in HEAD_FIT}
    far = {head: head_fit(head, 1) for head in HEAD_FIT}

    assert near["cupped"] == near["blunt"] == max(near.values())
    assert far["slim"] == max(far.values())
    assert near["slim"] == min(near.values())
    assert head_fit("slanted", 0.5) == max(head_fit(head, 0.5) for head in HEAD_FIT)


def test_a_spare_is_of_the_same_size_or_leading_colour() -> None:
    alike = likenesses(
        [lure(8, "red"), lure(8, "red", "white"), lure(8, "blue"), lure(6, "red"), lure(5, "pink")]
    )

    assert alike[0].tolist() == [0, 2, 1, 1, 0]


def test_points_are_never_below_nought_and_a_weight_of_nought_switches_off() -> None:
    lures = [lure(12, "red", head="cupped"), lure(6, "red", head="slim")]
    nothing = Weights(heads=0, spares=0, span=0)

    assert own_points(lures, (0.0, 1.0), Weights()).min() >= 0
    assert own_points(lures, (0.0, 1.0), nothing).max() == 0


@pytest.mark.parametrize("value", [-1, float("nan"), float("inf"), 101])
def test_a_weight_that_is_none_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="weight colours"):
        Weights(colours=value)
