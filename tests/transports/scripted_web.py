"""The web chat as a process of its own, with a scripted answer in the place of the Desk.

`python scripted_web.py PORT FOLDER IDLE_S [SECURE]`. Recordings are kept in FOLDER, for a test to look at.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from bot.messages import Button, Message, Picture, Reply
from bot.transcript import Heard
from bot.transports.web import WebAnswers, WebConfig, run
from bot.transports.web.certificate import own_certificate


@contextmanager
def scripted(folder: Path) -> Iterator[WebAnswers]:
    """Answer from a list; a reference seen again gets the same reply."""
    replies: dict[str, Reply] = {}

    def answer(message: Message, _heard: Heard | None) -> Reply:
        ref = f"{message.ref}{message.edited_at or ''}"
        if ref not in replies:
            replies[ref] = _reply(message, len(replies), folder)
        return replies[ref]

    def unasked() -> list[str]:
        file = folder / "unasked.txt"
        return [file.rename(folder / "said.txt").read_text()] if file.exists() else []

    yield WebAnswers(
        answer, lambda: f"{len(replies)} calls", lambda: b"\x89PNG",
        only_asks=lambda text: text == "tally", unasked=unasked,
    )  # fmt: skip


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
    )  # fmt: skip
    run(config, lambda: scripted(folder))


if __name__ == "__main__":
    main()
