"""The web chat's process: listens, shows the codes, ends when told to."""

import asyncio
import os
import signal
import ssl
import threading
from collections.abc import Callable
from contextlib import suppress

from aiohttp import web

from bot.errors import TransportError
from bot.transports.web.app import Chat
from bot.transports.web.config import OpenAnswers, WebConfig
from bot.transports.web.doorway import Doorway


def run(config: WebConfig, open_answers: OpenAnswers) -> None:
    """Serve until SIGINT or SIGTERM."""
    try:
        asyncio.run(_serve(config, open_answers))
    except OSError as exc:
        raise TransportError(
            f"cannot listen on {config.host}:{config.port} ({exc.strerror or exc});"
            " choose another --port or --host"
        ) from exc


async def _serve(config: WebConfig, open_answers: OpenAnswers) -> None:
    loop, stop = asyncio.get_running_loop(), asyncio.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        with suppress(NotImplementedError):
            loop.add_signal_handler(number, stop.set)
    chat = Chat(config)
    await chat.open(open_answers)
    runner = web.AppRunner(
        chat.app(), access_log=None, shutdown_timeout=1.0, auto_decompress=False,
        keepalive_timeout=config.idle_s, lingering_time=1.0,
    )  # fmt: skip
    door: Doorway | None = None
    try:
        await runner.setup()
        server = runner.server
        if server is None:
            raise TransportError("the web server could not be set up")
        door = chat.door = Doorway(server, idle_s=config.idle_s)
        await door.open(config.host, config.port, _tls(config))
        chat.offer()
        if config.console is not None:
            _offer_on_enter(config.console, chat.offer)
        beat = asyncio.create_task(chat.beat())
        await stop.wait()
        beat.cancel()
    finally:
        if door is not None:
            await door.close()
        chat.streams.end()
        await runner.cleanup()
        await chat.close()


def _offer_on_enter(console: int, offer: Callable[[], None]) -> None:
    """Make new pairing codes whenever a line is typed at the console."""
    loop = asyncio.get_running_loop()

    def read() -> None:
        with suppress(OSError, RuntimeError):  # the console, or the loop, has gone
            while os.read(console, 4096):
                loop.call_soon_threadsafe(offer)

    threading.Thread(target=read, daemon=True).start()


def _tls(config: WebConfig) -> ssl.SSLContext | None:
    if config.cert is None:
        return None
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    try:
        context.load_cert_chain(config.cert, config.key)
    except (OSError, ssl.SSLError) as exc:
        raise TransportError(f"{config.cert}: no certificate with its key ({exc})") from exc
    return context
