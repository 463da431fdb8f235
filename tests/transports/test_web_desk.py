"""The web chat with the real Desk in a real browser, beside Telegram: one log."""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import soundfile

from tests.transports.bot_api import BotApi
from tests.transports.conftest import GROUP, BotProcess

pytest.importorskip("aiohttp")
playwright = pytest.importorskip("playwright.sync_api")
CHROMIUM = shutil.which("chromium") or shutil.which("google-chrome")
ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium, e.g. apt-get install chromium")
def test_a_call_spoken_into_the_page_and_one_by_telegram_are_one_log(
    api: BotApi, bot: BotProcess, tmp_path: Path
) -> None:
    sound, rate = soundfile.read(ROOT / "fixtures" / "recordings" / "strike_long_rigger.ogg")
    said = tmp_path / "said.wav"
    soundfile.write(said, sound, rate, subtype="PCM_16")
    bot.start_real()
    api.message(GROUP, 1, "trip start")
    api.message(GROUP, 2, "lines in")
    api.message(GROUP, 3, "set long rigger purple eight")
    api.wait_for("three answers", lambda: len(bot.entries()) == 3, 60)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    serve = subprocess.Popen(
        [sys.executable, "-m", "bot", "serve", "--port", str(port)],
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env=os.environ | {"DECKCALL_HOME": str(bot.folder)},
    )
    try:
        shown = _talk(serve, said, len(sound) / rate)
    finally:
        serve.send_signal(signal.SIGTERM)
        assert serve.wait(60) == 0
        assert serve.stderr is not None
        serve.stderr.close()

    assert bot.entries("act, position, crew, source")[-1] == (
        "strike",
        "long rigger",
        "Ana",
        "web",
    )
    assert "long rigger: purple 8-inch" in shown
    assert bot.stop(60) == 0


def _talk(serve: "subprocess.Popen[str]", said: Path, seconds: float) -> str:
    """Pair, hold the button for as long as the recording takes; gives the board before the call."""
    assert serve.stderr is not None
    address, code = "", ""
    while not code:
        line = serve.stderr.readline()
        if found := re.match(r"Open (\S+) and enter (\S+?),", line):
            address, code = found.groups()
    flags = [
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={said}%noloop",
        "--no-sandbox",
    ]
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=flags)
        page = browser.new_page(viewport={"width": 400, "height": 800})
        page.goto(f"{address}#{code}")
        page.fill("#name", "Ana")
        page.click("#pair button")
        page.wait_for_selector("text=long rigger: purple 8-inch")
        board = str(page.locator("#board-text").inner_text())
        page.hover("#talk")
        page.mouse.down()
        page.wait_for_selector("#talk.on")
        page.wait_for_timeout(seconds * 1000 + 500)
        page.mouse.up()
        page.wait_for_selector("text=Strike, long rigger", timeout=60_000)
        page.click("#show-spread")
        width = "document.getElementById('spread').naturalWidth"
        while page.evaluate(width) < 100:  # the page's own policy forbids wait_for_function
            page.wait_for_timeout(200)
        page.click("#show-spread")
        page.fill("#text", "show me the spread")
        page.click("#send")
        page.wait_for_selector("img.drawn", timeout=60_000)
        while page.evaluate("document.querySelector('img.drawn').naturalWidth") < 100:
            page.wait_for_timeout(200)
        if folder := os.environ.get("DECKCALL_SCREENSHOTS"):
            page.screenshot(path=f"{folder}/web-desk.png")
        _tapped_it_is_as_wide_as_the_phone(page, 400)
        browser.close()
    return board


def _tapped_it_is_as_wide_as_the_phone(page: Any, width: int) -> None:
    wide = "document.querySelector('img.drawn').getBoundingClientRect().width"
    small = page.evaluate(wide)
    page.click("img.drawn")
    assert page.evaluate(wide) == width
    page.click("img.drawn")
    assert page.evaluate(wide) == small < width
