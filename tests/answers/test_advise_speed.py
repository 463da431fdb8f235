"""A lure outside its speeds is never proposed, whether or not a speed was called."""

import pytest

from bot.answers.advise import verdict
from bot.messages import Advice
from bot.tackle.items import Boat, Lure
from tests.answers.views import view
from tests.builders import call, log_of

BOX = (
    Lure("Fast Clock", 9, ("purple", "black"), speed_min_kn=7, ready=True),
    Lure("Slow Snail", 9, ("purple", "blue"), speed_max_kn=6, ready=True),
)


@pytest.mark.parametrize(
    ("called", "usual", "proposed"),
    [(None, 8.0, "Fast Clock"), (None, 5.5, "Slow Snail"), (5.5, 8.0, "Slow Snail"),
     (8.5, 5.5, "Fast Clock"), (20.0, 8.0, "Fast Clock")],
)  # fmt: skip
def test_only_what_runs_at_the_speed_of_the_boat_is_proposed(
    called: float | None, usual: float, proposed: str
) -> None:
    # Common practice, no source: slow runners are not mixed with fast ones; 8 kn where nothing else is known.
    said = [("06:00", call("speed", speed_kn=called))] if called else []
    day = log_of(
        *said,
        ("06:00", call("lines_in")),
        ("06:00", call("set", "long rigger", "purple 8")),
        ("06:00", call("set", "short rigger", "white 12")),
        *((f"{hour:02d}:30", call("strike", "long rigger")) for hour in range(7, 12)),
        *((f"{hour:02d}:31", call("miss", "long rigger")) for hour in range(7, 12)),
    )

    found = verdict(view(day, "14:00", BOX, boat=Boat(usual_kn=usual)))

    assert isinstance(found, Advice), found
    assert found.lure == proposed
