"""Commands that hold a conversation: chat, telegram, serve."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from bot.cli.options import Arguments
from bot.cli.shown import plain, put_columns
from bot.errors import DeckcallError, SettingsError, TransportMissing
from bot.logbook.folder import make_home
from bot.messages import Message
from bot.settings import Settings, of_boat

if TYPE_CHECKING:
    from concurrent.futures import Future

    from bot.answers.view import View
    from bot.speech.workers import Workers
    from bot.tackle.items import Lure
    from bot.transcript import HearingResult
    from bot.transports.isolated import IsolatedDesk
    from bot.transports.telegram import Answers, BoardView, TelegramConfig
    from bot.transports.web import WebAnswers


def chat(args: Arguments, found: Settings) -> int:
    """Talk on the terminal or through a pipe."""
    from bot.build import open_desk, open_feed
    from bot.cli.guide import TOPICS, shown_on_a_terminal
    from bot.fittings import ear_workers
    from bot.replies.helping import help_text
    from bot.transports.chat import HelpScreens, talk

    with ear_workers(found) as ears, open_feed(found), open_desk(found, workers=ears) as desk:
        boat, units = desk.view().boat, desk.view().units
        help_here = help_text(False, boat.positions, units.imperial)
        opening = f"{help_here} The usual cautions: help safety."
        screens = HelpScreens(opening, TOPICS, shown_on_a_terminal)
        if sys.stdin is not None and sys.stdin.isatty():
            lures = desk.view().box
            Thread(target=_warm_here, args=(found, lures, ears), daemon=True).start()
        talk(
            desk.answer, crew=args.speaker(found.boat.crew), history=found.home / "chat.history",
            unasked=lambda: desk.claim_due("chat"), screens=screens,
            names=lambda: _names(desk.view()),
        )  # fmt: skip
    return 0


def _names(view: "View") -> tuple[str, ...]:
    """Return what can be completed on the terminal: lures of the box, positions of the boat."""
    return (*(lure.name for lure in view.box), *view.boat.positions)


def telegram(args: Arguments, found: Settings) -> int:
    """Serve the crew on Telegram until told to stop; with --pair, show a code first."""
    config = telegram_config(found)  # what is wrong with the settings is said before anything opens
    from bot.transports.telegram import is_running, offer_code

    make_home(found.home)
    if args.pair:
        code = offer_code(config.file)
        print(
            f"Write /pair {code} within ten minutes in the chat that is to be let in.",
            file=sys.stderr,
        )
        if is_running(config.file):
            return 0
    serve_crew(found, config)
    return 0


def serve_crew(found: Settings, config: "TelegramConfig") -> None:
    """Serve the crew on Telegram until told to stop."""
    from bot.build import open_feed
    from bot.fittings import ear_workers
    from bot.transports.telegram import run

    with open_feed(found), ear_workers(found) as ears:
        run(config, lambda _lane: crew_answers(found, ears))


def serve(args: Arguments, found: Settings) -> int:
    """Serve the web chat on the boat's own network until told to stop."""
    from importlib.util import find_spec

    if any(find_spec(name) is None for name in ("aiohttp", "segno")):
        raise TransportMissing("the web chat is not installed; run: pip install deckcall once more")
    from bot.build import open_feed
    from bot.fittings import ear_workers
    from bot.transports.web import WebConfig, run
    from bot.transports.web.announce import (
        is_this_machine,
        own_names,
        show_code,
        warn_of_clear_text,
    )

    make_home(found.home)
    file = found.home / "serve.db"
    if args.devices or args.remove:
        return _devices(args, file, found)
    host, cert = args.host or found.serve.host, found.serve.cert
    port = args.port or found.serve.port
    if args.pair:
        scheme = "https" if cert or found.serve.secure else "http"
        _say_if_nobody_serves(host, port)
        return _pair(file, f"{scheme}://{host}:{port}/")
    _refuse_open_key(found.serve.key)
    if cert is None and not found.serve.secure and not is_this_machine(host):
        warn_of_clear_text()
    if cert is None and found.serve.secure:
        from bot.transports.web.certificate import own_certificate

        cert = found.home / "serve.pem"
        own_certificate(cert, own_names(host), datetime.now(UTC))
    config = WebConfig(
        host=host,
        port=port,
        file=file,
        cert=cert,
        key=found.serve.key,
        announce=show_code,
        names=own_names(host),
        console=sys.stdin.fileno() if sys.stdin is not None and sys.stdin.isatty() else None,
    )
    with open_feed(found), ear_workers(found) as ears:
        run(config, lambda: _web_answers(found, ears))
    return 0


def _devices(args: Arguments, file: Path, found: Settings) -> int:
    """List the phones that were let in, or remove one of them by its number or its name."""
    from bot.transports.web.devices import Devices

    devices = Devices(file)
    try:
        known = devices.all()
        if args.remove:
            said = args.remove.casefold()
            meant = [one for one in known if said in (str(one.id), one.name.casefold())]
            if len(meant) != 1:
                raise DeckcallError(
                    f'{len(meant)} phones are "{args.remove}"; give the number that'
                    " deckcall serve --devices shows"
                )
            devices.remove(meant[0].id)
            print(f"{meant[0].name} is not let in any more.")
            return 0
    finally:
        devices.close()
    if not known:
        print("No phone was let in.", file=sys.stderr)
        return 0
    rows = [(str(one.id), plain(one.name), one.role, _when(one.since, found)) for one in known]
    put_columns(("number", "name", "as", "since"), rows)
    return 0


def _when(said: str, found: Settings) -> str:
    return f"{datetime.fromisoformat(said).astimezone(found.boat.zone):%Y-%m-%d %H:%M}"


def _say_if_nobody_serves(host: str, port: int) -> None:
    """Say that no server answers, where none does: a code is of no use until one is started."""
    import socket

    try:
        socket.create_connection((host, port), timeout=0.5).close()
    except OSError:
        print(
            f"No server answers on port {port}: start deckcall serve within ten minutes.",
            file=sys.stderr,
        )


def _pair(file: Path, address: str) -> int:
    """Show new codes for the server that runs, or that is started within ten minutes."""
    from bot.transports.web.announce import show_code
    from bot.transports.web.devices import Devices

    devices = Devices(file)
    try:
        show_code(address, devices.offer(datetime.now(UTC)))
    finally:
        devices.close()
    return 0


def _refuse_open_key(key: Path | None) -> None:
    """Raise SettingsError where others on this computer could read the key of the page."""
    if key is not None and os.name == "posix" and key.exists() and key.stat().st_mode & 0o077:
        raise SettingsError(f"{key}: others could read the key; run: chmod 600 {key}")


def telegram_config(found: Settings) -> "TelegramConfig":
    """Return what the transport has to be told; raises SettingsError where there is no token."""
    said = found.telegram
    if not said.token:
        raise SettingsError(
            "no token for the bot: set DECKCALL_TELEGRAM_TOKEN, or write the token from BotFather"
            f" into {found.home / 'telegram.token'} and chmod 600 that file"
        )
    from bot.transports.telegram import Gate, TelegramConfig

    boats = {chat: str(folder) for chat, folder in said.boats.items()}
    return TelegramConfig(
        token=said.token,
        api=said.api,
        file=found.home / "telegram.db",
        gate=Gate(
            frozenset(said.crew) | frozenset(boats),
            frozenset(said.skippers),
            frozenset(said.guests),
        ),
        zone=found.boat.zone,
        max_bytes=int(said.max_file_mb * 1e6),
        max_sound_s=found.speech.max_s,
        acknowledge=said.acknowledge,
        boats=boats,
        zones={str(home): of_boat(found, home).boat.zone for home in said.boats.values()},
        lanes=min(said.workers, len(boats) + 1),
    )


@contextmanager
def crew_answers(found: Settings, ears: "Workers") -> "Iterator[Answers]":
    """Answer in a process of its own, and hear in others: what breaks there breaks only that."""
    from bot.build import open_fleet
    from bot.transports.isolated import IsolatedDesk
    from bot.transports.telegram import Answers, BoardView

    with IsolatedDesk(open_fleet, found) as desk:

        def board(boat: str) -> "BoardView | None":
            view = desk.call("board", boat)
            return None if view is None else BoardView(*view)

        desk.call("board", "")  # a log that cannot be opened shows now, not at the first call

        def only_asks(text: str) -> bool:
            return bool(desk.call("only_asks", text))

        yield Answers(
            lambda said: desk.call("answer_all", said),
            board if found.telegram.board else None,
            only_asks,
            lambda message: _begun(desk, ears, message),
            lambda: desk.call("tidy"),
            lambda boat: desk.call("claim_due", boat, "telegram"),
            lambda: _warm(desk, ears),
            lambda boat, trip: desk.call("report", boat, trip, "pdf"),
        )


@contextmanager
def _web_answers(found: Settings, ears: "Workers") -> "Iterator[WebAnswers]":
    from bot.build import open_fleet
    from bot.transports.isolated import IsolatedDesk
    from bot.transports.web import WebAnswers

    with IsolatedDesk(open_fleet, found) as desk:

        def board() -> str:
            view = desk.call("board", "")
            return view[1] if view else str(desk.call("between_trips", ""))

        desk.call("board", "")
        yield WebAnswers(
            desk.answer,
            board,
            lambda: desk.call("spread_png"),
            lambda message: _begun(desk, ears, message),
            lambda text: bool(desk.call("only_asks", text)),
            lambda: desk.call("tidy"),
            unasked=lambda: desk.call("claim_due", "", "web"),
            helm=lambda: desk.call("helm"),
            report=lambda trip: desk.call("report", "", trip, "html"),
            warm=lambda: _warm(desk, ears),
        )


def _begun(
    desk: "IsolatedDesk", ears: "Workers", message: Message
) -> "Future[HearingResult] | None":
    """Begin to hear a recording; None where it was answered before."""
    grammar = desk.call("grammar", message)
    if grammar is None:
        return None
    return ears.listen(message.sound or b"", message.name, grammar)


def _warm(desk: "IsolatedDesk", ears: "Workers") -> None:
    """Load the language over there, and an ear in the background; what fails shows at the first call."""
    with suppress(Exception):
        grammar = desk.call("grammar", Message("", datetime.now(UTC), "console"))
        if grammar is not None:
            ears.warm(grammar)


def _warm_here(found: Settings, lures: "tuple[Lure, ...]", ears: "Workers") -> None:
    """Load the language and an ear while somebody begins to type."""
    from bot.fittings import ear_grammar, language_of

    with suppress(DeckcallError):
        ears.warm(ear_grammar(language_of(found, lures)))
