"""The screen at the helm, in a real browser."""

import os
from collections.abc import Iterator
from datetime import datetime

import httpx
import pytest

from tests.transports.web_rig import CHROMIUM, MARK, Served, paired, serving_web

pytest.importorskip("aiohttp")
SIZES = {"phone": (390, 844), "tablet": (768, 1024), "helm": (1280, 800)}


@pytest.fixture
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving_web(tmp_path_factory.mktemp("helm")) as found:
        yield found


def test_the_board_is_for_those_who_were_let_in(served: Served) -> None:
    with paired(served, role="guest") as guest:
        before = guest.get("helm.json").json()["board"]
        guest.post("say", json={"text": "tally", "ref": "12345678"})
        after = guest.get("helm.json").json()
        stranger = httpx.get(f"{served.address}helm.json", headers=MARK)
        page = httpx.get(f"{served.address}helm")

    assert before is None
    assert after["board"]["out"][0]["line"] == "short corner"
    assert datetime.fromisoformat(after["now"]).tzinfo is not None
    assert stranger.status_code == 401
    assert page.status_code == 200


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium, e.g. apt-get install chromium")
def test_the_helm_shows_all_of_it_at_every_size_and_follows_by_itself(served: Served) -> None:
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 390, "height": 844})
        page.clock.install()
        page.goto(f"{served.address}helm")
        page.fill("#code", served.code())  # not let in yet: the code is asked for, then back
        page.fill("#name", "Ana")
        page.click("#pair button")
        page.wait_for_selector("text=No trip yet")
        with paired(served, "Ben") as ben:
            ben.post("say", json={"text": "strike", "ref": "12345678"})
            page.wait_for_selector("text=Starboard long rigger")
            ben.post("say", json={"text": "fish on", "ref": "12345679"})
            page.wait_for_selector("#fish >> text=striped marlin, Ana")
            day = page.evaluate("getComputedStyle(document.body).backgroundColor")
            overflow = {}
            for name, (width, height) in SIZES.items():
                page.set_viewport_size({"width": width, "height": height})
                root = "document.documentElement"
                wide, high = page.evaluate(f"[{root}.scrollWidth, {root}.scrollHeight]")
                overflow[name] = (wide > width, name == "helm" and high > height)
                if folder := os.environ.get("DECKCALL_SCREENSHOTS"):
                    page.screenshot(path=f"{folder}/helm-{name}.png")
            letters = page.evaluate(
                "parseFloat(getComputedStyle(document.querySelector('.lure')).fontSize)"
            )
            ben.post("say", json={"text": "missed", "ref": "12345670"})
            page.wait_for_selector("body.night")
            night = page.evaluate("getComputedStyle(document.body).backgroundColor")
        page.context.set_offline(True)
        page.clock.fast_forward(20_000)
        page.wait_for_selector("#stale:not([hidden])")
        browser.close()

    assert overflow == dict.fromkeys(SIZES, (False, False))
    assert letters >= 32  # readable from two metres off; common practice, no source
    assert day == "rgb(255, 255, 255)"
    assert night == "rgb(0, 0, 0)"


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium, e.g. apt-get install chromium")
def test_trouble_stands_on_top_on_the_phone_and_the_board_shows_all(served: Served) -> None:
    playwright = pytest.importorskip("playwright.sync_api")
    size = "parseFloat(getComputedStyle(document.querySelector('{}')).fontSize)"
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 390, "height": 844})
        page.goto(f"{served.address}#{served.code()}")
        page.fill("#name", "Ana")
        page.click("#pair button")
        page.fill("#text", "propose")
        page.press("#text", "Enter")
        page.wait_for_selector(".keys button:not(.edit):enabled")
        board = page.evaluate(
            "(({scrollHeight, clientHeight}) => scrollHeight <= clientHeight)"
            "(document.getElementById('board-text'))"
        )
        lines = page.locator("#board-text p").count()
        page.fill("#text", "man overboard")
        page.press("#text", "Enter")
        page.wait_for_selector("#trouble >> text=Throw a float.")
        page.wait_for_selector(".keys button:not(.edit):disabled")  # the log has changed since
        top = page.locator("#trouble").bounding_box()
        colour = page.evaluate(
            "getComputedStyle(document.getElementById('trouble')).backgroundColor"
        )
        large, plain = (page.evaluate(size.format(one)) for one in ("#trouble p", "#board-text"))
        shown = page.locator("#lines li").last.bounding_box()
        page.click("#light")
        page.click("#light")
        night = page.evaluate("getComputedStyle(document.body).backgroundColor")
        if folder := os.environ.get("DECKCALL_SCREENSHOTS"):
            page.screenshot(path=f"{folder}/phone-trouble.png")
        browser.close()

    assert (board, lines) == (True, 10)
    assert top is not None
    assert shown is not None
    assert 0 <= top["y"] < 20
    assert shown["y"] > top["y"] + top["height"]
    assert colour == "rgb(196, 13, 13)"
    assert large > plain
    assert night == "rgb(0, 0, 0)"
