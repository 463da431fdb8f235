"""The web chat: roles, names, places, edits, and a page that is secure."""

import ssl
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx
import pytest
from cryptography import x509

from bot.transports.web.certificate import own_certificate
from tests.transports.web_rig import CHROMIUM, MARK, Served, paired, serving_web


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving_web(tmp_path_factory.mktemp("web")) as found:
        yield found


def _say(client: httpx.Client, text: str, ref: str, **more: object) -> httpx.Response:
    return client.post("say", json={"text": text, "ref": ref, **more})


def test_every_role_has_a_code_and_a_guest_may_only_ask(served: Served) -> None:
    with (
        paired(served, "Ana") as ana,
        paired(served, "Gus", "guest") as gus,
    ):
        before = _say(ana, "who am I", "aaaaaaaa1").json()["text"]
        with paired(served, "Sue", "skipper") as sue:
            after = [_say(one, "who am I", "aaaaaaaa2").json()["text"] for one in (ana, sue)]
        asked = _say(gus, "tally", "bbbbbbbb1")
        told = _say(gus, "strike", "bbbbbbbb2")
        spoken = gus.post("voice?ref=bbbbbbbb3", content=b"RIFF")

    assert before == "Ana, skipper: True, at None None"
    assert [text.split(", at")[0] for text in after] == [
        "Ana, skipper: False", "Sue, skipper: True",
    ]  # fmt: skip
    assert (asked.status_code, told.status_code, spoken.status_code) == (200, 403, 403)


def test_a_name_that_somebody_has_is_asked_about_first(served: Served) -> None:
    with paired(served, "Kim"), httpx.Client(base_url=served.address, headers=MARK) as other:
        body = {"code": served.code(), "name": "kim"}
        first = other.post("pair", json=body)
        again = other.post("pair", json=body | {"same": True})

    assert (first.status_code, again.status_code) == (409, 200)
    assert "There is a kim already" in first.json()["told"]


def test_a_place_goes_along_with_a_call_and_nonsense_is_refused(served: Served) -> None:
    with paired(served, "Bo") as client:
        said = _say(client, "who am I", "cccccccc1", lat=-36.5, lon=175.25)
        wrong = _say(client, "strike", "cccccccc2", lat=91, lon=0)

    assert said.json()["text"].endswith("at -36.5 175.25")
    assert wrong.status_code == 400


def test_a_picture_that_goes_with_an_answer_can_be_fetched_by_the_crew_alone(
    served: Served,
) -> None:
    with paired(served, "Pip") as client:
        line = _say(client, "draw", "pppppppp1").json()
        address = f"picture/{line['pictures'][0]['name']}"
        seen, gone = client.get(address), client.get("picture/1-0")
    with httpx.Client(base_url=served.address) as stranger:
        refused = stranger.get(address)

    assert line["pictures"][0]["caption"] == "A picture"
    assert (seen.content, seen.headers["content-type"]) == (b"\x89PNG drawn", "image/png")
    assert (gone.status_code, refused.status_code) == (404, 401)


def test_an_edit_takes_the_place_of_its_call_at_its_own_time(served: Served) -> None:
    with paired(served, "Cy") as client:
        first = _say(client, "strike long rigger", "dddddddd1", age_s=300).json()
        edited = _say(client, "strike shotgun", "dddddddd1", edited=True).json()

    assert edited["ref"] == first["ref"]
    assert edited["text"] == f"corrected: strike shotgun, said {first['at']}"


def test_a_call_that_makes_the_program_fail_does_not_block_the_phone(served: Served) -> None:
    with paired(served, "Di") as client:
        found = [_say(client, "bug", "eeeeeeee1") for _ in range(2)]

    assert [answer.status_code for answer in found] == [503, 200]
    assert "not logged" in found[1].json()["text"]


def test_the_boat_s_own_certificate_is_what_a_browser_checks(tmp_path: Path) -> None:
    with serving_web(tmp_path, secure=True) as served:
        trust = ssl.create_default_context(cafile=str(tmp_path / "serve.pem"))
        with httpx.Client(base_url=served.address, headers=MARK, verify=trust) as client:
            told = client.post("pair", json={"code": served.code(), "name": "Ana"})

    assert told.status_code == 200
    assert "secure" in told.headers["set-cookie"].lower()
    assert (tmp_path / "serve.pem").stat().st_mode & 0o77 == 0


def test_a_certificate_is_made_anew_when_the_address_or_the_year_has_changed(
    tmp_path: Path,
) -> None:
    file, now = tmp_path / "serve.pem", datetime(2026, 3, 1, tzinfo=UTC)
    own_certificate(file, ["localhost", "10.0.0.5"], now)
    first = file.read_bytes()
    own_certificate(file, ["10.0.0.5"], now + timedelta(days=300))
    same = file.read_bytes()
    own_certificate(file, ["10.0.0.6"], now)
    other = file.read_bytes()
    own_certificate(file, ["10.0.0.6"], now + timedelta(days=380))

    assert first == same != other != file.read_bytes()
    names = x509.load_pem_x509_certificate(first).extensions.get_extension_for_class(
        x509.SubjectAlternativeName
    )
    assert names.value.get_values_for_type(x509.DNSName) == ["localhost"]


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium, e.g. apt-get install chromium")
def test_only_a_secure_page_offers_the_microphone_under_the_boat_s_name(tmp_path: Path) -> None:
    playwright = pytest.importorskip("playwright.sync_api")
    found: list[tuple[bool, bool]] = []
    with playwright.sync_playwright() as driver:
        flags = ["--no-sandbox", "--host-resolver-rules=MAP deckboat 127.0.0.1"]
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=flags)
        for secure in (False, True):
            folder = tmp_path / str(secure)
            folder.mkdir()
            with serving_web(folder, secure) as served:
                page = browser.new_page(ignore_https_errors=True)
                page.goto(f"{served.address.replace('127.0.0.1', 'deckboat')}#{served.code()}")
                page.fill("#name", "Ana")
                page.click("#pair button")
                page.wait_for_selector("#say")
                found.append((page.is_visible("#talk"), page.is_visible("#file-label")))
                page.close()
        browser.close()

    assert found == [(False, True), (True, False)]


def test_a_code_that_was_used_ends_no_other(served: Served) -> None:
    # common practice, no source
    shown = served.codes.readline().split()[1:]
    with httpx.Client(base_url=served.address, headers=MARK) as client:
        for code, name in ((shown[2], "Una"), (shown[0], "Bram"), (shown[1], "Cyd")):
            assert client.post("pair", json={"code": code, "name": name}).status_code == 200
        for code in shown:
            assert client.post("pair", json={"code": code, "name": "Eve"}).status_code == 403
