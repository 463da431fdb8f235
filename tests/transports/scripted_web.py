"""The web chat as a process of its own, with a scripted answer in the place of the Desk.

`python scripted_web.py PORT FOLDER IDLE_S [SECURE]`. Recordings are kept in FOLDER, for a test to look at.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.errors import LogbookError
from bot.messages import Button, Message, Picture, Reply
from bot.transcript import HearingResult
from bot.transports.web import WebAnswers, WebConfig, run
from bot.transports.web.certificate import own_certificate


@contextmanager
def scripted(folder: Path) -> Iterator[WebAnswers]:
    """Answer from a list; a reference seen again gets the same reply."""
    replies: dict[str, Reply] = {}

    def answer(message: Message, _heard: HearingResult | None) -> Reply:
        ref = f"{message.ref}{message.edited_at or ''}"
        if ref not in replies:
            replies[ref] = _reply(message, len(replies), folder)
        return replies[ref]

    def unasked() -> list[str]:
        file = folder / "unasked.txt"
        return [file.rename(folder / "said.txt").read_text()] if file.exists() else []

    def board() -> str:
        fell = any("man overboard" in reply.text for reply in replies.values())
        lines = [FELL] if fell else []
        return "\n".join(
            [*lines, *(f"line {n}: lure {n}" for n in range(9)), f"{len(replies)} calls"]
        )

    def helm() -> dict[str, object] | None:
        fell = any("man overboard" in reply.text for reply in replies.values())
        return _helm(len(replies), fell) if replies else None

    yield WebAnswers(
        answer, board, lambda: b"\x89PNG",
        only_asks=lambda text: text == "tally", unasked=unasked, helm=helm, report=_report,
    )  # fmt: skip


def _report(trip: str) -> bytes:
    if trip != "2026-03-01-ab12cd":
        raise LogbookError("no such trip")
    return b"<!doctype html><style>p{}</style><p>The day"


FELL = "Man overboard, 16:52, under a minute ago: no position was known then."


def _helm(count: int, fell: bool) -> dict[str, object]:
    """Return a full board in the form of `bot.answers.board.helm`, with a fish on from the second call."""
    at = datetime.now(UTC)
    lines = ("short corner", "long corner", "short rigger", "starboard long rigger", "shotgun")
    since = (at - timedelta(minutes=140)).isoformat()
    out = [
        {"line": line, "lure": "Grandmother's Umbrella", "since": since, "strikes": place % 3,
         "on": count > 1 and place == 3}
        for place, line in enumerate(lines)
    ]  # fmt: skip
    fish = {"line": lines[3], "what": "striped marlin, Ana", "since": at.isoformat()}
    return {
        "fishing": True, "trouble": FELL if fell else "",
        "steps": ["Shout.", "Throw a float."] if fell else [],
        "open": [], "fish": [fish] if count > 1 else [], "out": out,
        "tally": f"{count} strikes, 2 hook-ups, 1 caught in 11.4 lure-hours",
        "proposed": "Next: Paper Lantern (purple black 10-inch) on the long corner, Tea Cosy (green"
        " 9-inch) comes out. Purple: 1 strike in 1.0 lure-hours, green: 0 in 0.5. Better with 57 %.",
        "last": "strike, starboard long rigger, 07:41", "night": count > 2, "zone": "Pacific/Auckland",
    }  # fmt: skip


def _reply(message: Message, count: int, folder: Path) -> Reply:
    if message.sound is not None:
        (folder / "heard.wav").write_bytes(message.sound)
        return Reply("logged: a recording", heard="strike long rigger", logged=(str(count),))
    if message.text == "which":
        buttons = (Button("First", "first"), Button("Second", "second"))
        return Reply("Which?", ask="Which?", buttons=buttons)
    if message.text == "who am I":
        at = f"{message.latitude} {message.longitude}"
        return Reply(f"{message.crew}, skipper: {message.skipper}, at {at}")
    if message.text == "propose":
        keys = (Button("Done", "swap"), Button("No", "no"))
        return Reply("Next", logged=("1",), buttons=keys)
    if message.text == "trip over":
        return Reply("Trip ended", logged=("1",), report="2026-03-01-ab12cd")
    if message.text == "draw":
        return Reply("drawn", pictures=(Picture(b"\x89PNG drawn", "A picture"),))
    if message.text == "bug":
        raise RuntimeError("scripted bug")
    if message.edited_at is not None:
        return Reply(f"corrected: {message.text}, said {message.at.isoformat()}", logged=("1",))
    return Reply(f"logged {message.crew}: {message.text} <b>", logged=(str(count),))


def main() -> None:
    """Serve until told to stop; each code goes to standard output."""
    port, folder, idle_s = int(sys.argv[1]), Path(sys.argv[2]), float(sys.argv[3])
    cert = folder / "serve.pem" if len(sys.argv) > 4 else None
    if cert is not None:
        own_certificate(cert, ("127.0.0.1", "deckboat"), datetime.now(UTC))
    config = WebConfig(
        "127.0.0.1", port, folder / "serve.db", max_bytes=2_000_000, cert=cert,
        announce=lambda address, codes: print(address, *codes.values(), flush=True),
        names=("deckboat",), console=sys.stdin.fileno(), idle_s=idle_s, body_s=2 * idle_s,
        refused_s=0.02,
    )  # fmt: skip
    run(config, lambda: scripted(folder))


if __name__ == "__main__":
    main()
