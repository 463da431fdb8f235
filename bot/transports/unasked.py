"""What is said without a call: the one door for it, the same for every transport.

A transport that can speak by itself is given an `UnaskedSource`, asks it every `EVERY_S` from where it asks
its answers, and says at once what it gets: the same is never given again. Its channel has a name of its own
(the Desk keeps apart what was said where), so that each crew member at each place hears a reminder once.
"""

from collections.abc import Callable, Sequence
from typing import Final

UnaskedSource = Callable[[], Sequence[str]]
"""Return what is to be said now: sentences, shown and spoken alike; mostly none. May raise DeckcallError."""
EVERY_S: Final = 20.0


def nothing_to_say() -> Sequence[str]:
    """Return nothing: for a transport that only answers."""
    return ()
