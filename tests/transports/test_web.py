"""The web chat: who is let in, what is logged once, and the page in a real browser."""

import json
import os
import wave
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import httpx
import pytest

from tests.transports.web_rig import CHROMIUM, MARK, Served, paired, serving_web


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with serving_web(tmp_path) as found:
        yield found


def test_nobody_calls_without_having_been_let_in(served: Served) -> None:
    served.code()
    with httpx.Client(base_url=served.address, headers=MARK) as client:
        said = client.post("say", json={"text": "strike", "ref": "12345678"})

        assert said.status_code == 401
        assert client.post("voice?ref=12345678", content=b"x").status_code == 401
        assert client.get("events").status_code == 401
        assert client.get("spread.png").status_code == 401
        assert client.get("/").headers["content-security-policy"].startswith("default-src 'self'")


def test_a_code_lets_one_phone_in(served: Served) -> None:
    code = served.code()
    with httpx.Client(base_url=served.address, headers=MARK) as client:
        assert client.post("pair", json={"code": "AAAABBBB", "name": "Eve"}).status_code == 403
        assert client.post("pair", json={"code": code, "name": " "}).status_code == 400
        first = client.post("pair", json={"code": code.lower(), "name": "Ana"})
        again = client.post("pair", json={"code": code, "name": "Eve"})

        assert (first.status_code, again.status_code) == (200, 403)
        assert "httponly" in first.headers["set-cookie"].lower()
        assert code != served.code()


def test_five_wrong_codes_make_the_right_one_worthless(served: Served) -> None:
    code = served.code()
    with httpx.Client(base_url=served.address, headers=MARK) as client:
        for letter in "ABCDE":
            client.post("pair", json={"code": f"AAAAAAA{letter}", "name": "Eve"})

        assert client.post("pair", json={"code": code, "name": "Eve"}).status_code == 403


def test_another_site_cannot_make_a_phone_call(served: Served) -> None:
    with paired(served) as client:
        del client.headers["X-Deckcall"]

        assert client.post("say", json={"text": "strike", "ref": "12345678"}).status_code == 403


def test_a_call_sent_again_after_a_dead_spot_is_logged_once(served: Served) -> None:
    with paired(served) as client:
        body = {"text": "strike", "ref": "12345678", "age_s": 600}
        first, again = client.post("say", json=body).json(), client.post("say", json=body).json()
        other = client.post("say", json=body | {"ref": "12345679"}).json()

    assert first["text"] == again["text"] == "logged Ana: strike <b>"
    assert first["turn"] == again["turn"]
    assert other["turn"] > first["turn"]
    age = datetime.now().astimezone() - datetime.fromisoformat(first["at"])
    assert age.total_seconds() == pytest.approx(600, abs=30)


def test_a_button_of_an_old_question_says_so(served: Served) -> None:
    with paired(served) as client:
        asked = client.post("say", json={"text": "which", "ref": "12345670"}).json()
        client.post("say", json={"text": "strike", "ref": "12345671"})
        body = {"text": "second", "ref": "12345672", "turn": asked["turn"]}
        late = client.post("say", json=body)
        why = client.post("say", json=body | {"text": "why", "ref": "12345673"})

    assert [button["say"] for button in asked["buttons"]] == ["first", "second"]
    assert late.status_code == 409
    assert why.status_code == 200


def test_a_proposal_can_be_taken_up_until_the_log_has_changed(served: Served) -> None:
    with paired(served) as client:
        proposed = client.post("say", json={"text": "propose", "ref": "12345670"}).json()
        client.post("say", json={"text": "which", "ref": "12345671"})
        then = {"turn": proposed["turn"], "changed": proposed["changed"]}
        no = client.post("say", json=then | {"text": "no", "ref": "12345672"})
        done = client.post("say", json=then | {"text": "swap", "ref": "12345673"})
        late = client.post("say", json=then | {"text": "swap", "ref": "12345674"})

    assert [button["stands"] for button in proposed["buttons"]] == ["log", "turn"]
    assert (no.status_code, done.status_code, late.status_code) == (409, 200, 409)


def test_the_report_is_a_page_for_those_who_were_let_in(served: Served) -> None:
    with paired(served) as client:
        line = client.post("say", json={"text": "trip over", "ref": "12345670"}).json()
        found, none = client.get(f"report/{line['report']}"), client.get("report/other")
    with httpx.Client(base_url=served.address) as stranger:
        refused = stranger.get(f"report/{line['report']}")

    assert found.text.endswith("The day")
    assert "style-src 'unsafe-inline'" in found.headers["content-security-policy"]
    assert "script-src" not in found.headers["content-security-policy"]
    assert (none.status_code, refused.status_code) == (404, 401)


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"text": "strike"},
        {"text": "strike", "ref": "short"},
        {"text": "strike", "ref": 12345678},
        {"text": "strike", "ref": "12345678", "age_s": "nan"},
        {"text": "strike", "ref": "12345678", "age_s": None},
    ],
)
def test_a_malformed_call_is_refused(served: Served, body: dict[str, object]) -> None:
    with paired(served) as client:
        assert client.post("say", json=body).status_code == 400
        assert client.post("say", content=b"[1").status_code == 400


def test_too_large_a_recording_is_refused(served: Served) -> None:
    with paired(served) as client:
        assert client.post("voice?ref=12345678", content=b"x" * 2_100_000).status_code == 413


def test_everybody_sees_what_was_said_and_a_phone_that_comes_back_gets_what_it_missed(
    served: Served,
) -> None:
    with paired(served, "Ana") as ana, paired(served, "Ben") as ben:
        first = ana.post("say", json={"text": "strike", "ref": "12345678"}).json()
        ana.post("say", json={"text": "fish on", "ref": "12345679"})
        lines = _first_lines(ben, {}, 2)
        missed = _first_lines(ben, {"Last-Event-ID": str(first["id"])}, 1)

    assert [line["said"] for line in lines] == ["strike", "fish on"]
    assert [line["said"] for line in missed] == ["fish on"]


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium, e.g. apt-get install chromium")
def test_a_recorded_call_is_made_in_a_real_browser(served: Served, tmp_path: Path) -> None:
    playwright = pytest.importorskip("playwright.sync_api")
    sound = tmp_path / "said.wav"
    with wave.open(str(sound), "wb") as made:
        made.setparams((1, 2, 48000, 0, "NONE", ""))
        made.writeframes(
            b"".join((8000 * (n // 60 % 2)).to_bytes(2, "little") for n in range(96000))
        )
    flags = [
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={sound}",
        "--no-sandbox",
    ]
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=flags)
        page = browser.new_page(viewport={"width": 400, "height": 800})
        page.goto(f"{served.address}#{served.code()}")
        page.fill("#name", "Ana")
        page.click("#pair button")
        page.fill("#text", "strike <i>x</i>")
        page.press("#text", "Enter")
        page.wait_for_selector("text=logged Ana: strike <i>x</i> <b>")
        page.hover("#talk")
        page.mouse.down()
        page.wait_for_selector("#talk.on")
        page.wait_for_timeout(1200)
        page.mouse.up()
        page.wait_for_selector("text=logged: a recording")
        page.wait_for_selector("text=2 calls")
        if folder := os.environ.get("DECKCALL_SCREENSHOTS"):
            page.screenshot(path=f"{folder}/web.png")
        italics = page.locator("#lines i").count()
        said = page.locator("#lines .said").all_inner_texts()
        browser.close()

    assert italics == 0
    assert said[-1].endswith("Ana: strike long rigger")
    with wave.open(str(tmp_path / "heard.wav")) as heard:
        assert heard.getnchannels() == 1
        assert heard.getnframes() / heard.getframerate() > 0.8
        assert any(heard.readframes(heard.getnframes()))


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium, e.g. apt-get install chromium")
def test_a_change_can_be_left_and_a_call_brings_its_answer_into_sight(served: Served) -> None:
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 400, "height": 800})
        page.goto(f"{served.address}#{served.code()}")
        page.fill("#name", "Ana")
        page.click("#pair button")
        page.fill("#text", "strike long rigger")
        page.press("#text", "Enter")
        page.wait_for_selector("text=logged Ana: strike long rigger")
        left = []
        for leave in ("cancel", "escape", "empty"):
            page.click(".edit")
            begun = (page.inner_text("#send"), page.locator("li.editing").count())
            if leave == "cancel":
                page.click("#cancel")
            elif leave == "escape":
                page.press("#text", "Escape")
            else:
                page.fill("#text", "")
            over = (page.inner_text("#send"), page.locator("li.editing").count())
            left.append((begun, over, page.input_value("#text"), page.is_visible("#cancel")))
        page.evaluate("document.getElementById('spread').hidden = false")
        page.fill("#text", "miss")
        page.press("#text", "Enter")
        page.wait_for_selector("text=logged Ana: miss")
        spread_is_open = not page.evaluate("document.getElementById('spread').hidden")
        page.click(".edit >> nth=0")
        page.fill("#text", "strike shotgun")
        page.click("#send")
        page.wait_for_selector("text=corrected: strike shotgun")
        marked = page.locator("li.editing").count()
        lines = page.locator("#lines li").count()
        browser.close()

    assert left == [(("Change", 1), ("Send", 0), "", False)] * 3
    assert not spread_is_open
    assert (marked, lines) == (0, 2)


def _first_lines(
    client: httpx.Client, headers: dict[str, str], count: int
) -> list[dict[str, object]]:
    found: list[dict[str, object]] = []
    with client.stream("GET", "events", headers=headers) as stream:
        for text in stream.iter_lines():
            if text.startswith("data: ") and "said" in (line := json.loads(text[6:])):
                found.append(line)
                if len(found) == count:
                    return found
    return found
