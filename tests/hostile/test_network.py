"""HTTP of strangers on the boat's network, on loopback and bounded: the page goes on answering its crew.

Nothing is compared with the clock: the server waits for hours before it ends a connection for being idle, so
a crew that is answered at all was let in by the bounds on who may be connected.
"""

import contextlib
import gzip
import resource
import socket
import ssl
import uuid
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.hostile.rig import run
from tests.transports.web_rig import MARK, Served, paired, serving_web

HANGS_S = 120.0
"""What has not come by then never does; only a test that fails waits for it."""
HOURS_S = 36_000.0
MOST_KB = 400_000
CONNECTIONS = 1100
"""More than a process may have files open by default (1024)."""


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with serving_web(tmp_path, idle_s=HOURS_S) as found:
        yield found


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Return a server for requests that leave nothing behind."""
    with serving_web(tmp_path_factory.mktemp("shared"), idle_s=HOURS_S) as found:
        yield found


@pytest.fixture(scope="module")
def crew(shared: Served) -> Iterator[httpx.Client]:
    with paired(shared) as client:
        yield client


@pytest.fixture
def ref() -> str:
    """Return a reference that no call has had: one sent twice would not be answered anew."""
    return uuid.uuid4().hex


@pytest.fixture(autouse=True)
def _many_files() -> Iterator[None]:
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(4096, hard), hard))
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


def where(served: Served) -> tuple[str, int]:
    url = httpx.URL(served.address)
    return url.host, url.port or 80


@contextlib.contextmanager
def opened(
    served: Served, many: int, begin: bytes, addresses: int = 1
) -> Iterator[list[socket.socket]]:
    """Open connections that say the begin of something and then nothing."""
    held: list[socket.socket] = []
    try:
        for number in range(many):
            stranger = f"127.0.1.{1 + number % addresses}"
            with contextlib.suppress(OSError):
                one = socket.create_connection(where(served), HANGS_S, (stranger, 0))
                held.append(one)
                one.sendall(begin)
        yield held
    finally:
        for one in held:
            one.close()


def ask(served: Served, raw: bytes) -> bytes:
    """Send raw bytes; give what comes back, empty where the connection is ended."""
    with socket.create_connection(where(served), timeout=HANGS_S) as one:
        one.sendall(raw)
        found = b""
        with contextlib.suppress(OSError):
            while part := one.recv(65536):
                found += part
                if b"\r\n\r\n" in found:
                    break
        return found


def says_strike(client: httpx.Client, ref: str = "abcdefgh") -> None:
    told = client.post("say", json={"text": "strike", "ref": ref}, timeout=HANGS_S)

    assert told.status_code == 200
    assert told.json()["text"].startswith("logged Ana: strike")


def peak_kb(served: Served) -> int:
    status = Path(f"/proc/{served.process.pid}/status").read_text(encoding="ascii")
    return int(next(line for line in status.splitlines() if line.startswith("VmHWM")).split()[1])


HALF = {
    "nothing said": b"",
    "half a request line": b"GET / HT",
    "headers without end": b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-A: b\r\n",
    "a body that does not come": b"POST /pair HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Deckcall: 1\r\n"
                                 b"Content-Length: 900\r\n\r\n{",
}  # fmt: skip


@pytest.mark.parametrize(
    ("what", "addresses"),
    [*((name, 1) for name in HALF), ("headers without end", 60), ("a body that does not come", 60)],
)
def test_connections_that_ask_nothing_do_not_keep_the_crew_out(
    served: Served, what: str, addresses: int
) -> None:
    with paired(served) as client, opened(served, CONNECTIONS, HALF[what], addresses):
        says_strike(client)
        client.close()
        files = len(list(Path(f"/proc/{served.process.pid}/fd").iterdir()))

    assert files < 300
    assert peak_kb(served) < MOST_KB


def test_the_page_comes_back_at_once_after_a_flood(served: Served) -> None:
    with opened(served, CONNECTIONS, HALF["headers without end"]):
        pass
    with paired(served) as client:
        says_strike(client)


def test_a_request_that_comes_letter_by_letter_is_answered_where_there_is_time(
    served: Served,
) -> None:
    request = b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n"
    with socket.create_connection(where(served), HANGS_S) as slow:
        for letter in request:
            slow.sendall(bytes([letter]))

        assert slow.recv(100).startswith(b"HTTP/1.1 200 ")


def test_a_connection_that_never_ends_its_request_is_ended(tmp_path: Path) -> None:
    with (
        serving_web(tmp_path, idle_s=0.5) as served,
        socket.create_connection(where(served), HANGS_S) as slow,
    ):
        slow.sendall(b"GET /")

        with contextlib.suppress(ConnectionResetError):
            assert slow.recv(100) == b""


def test_packed_bodies_are_not_unpacked(served: Served) -> None:
    bomb = gzip.compress(b" " * 300_000_000)
    with paired(served) as client:
        before = peak_kb(served)
        packed = {"Content-Encoding": "gzip", "Content-Type": "application/json"}
        for path in ("say", "pair", "voice?ref=abcdefgh&age_s=0"):
            for _ in range(4):
                told = client.post(path, content=bomb, headers=packed, timeout=HANGS_S)
                assert told.status_code in (413, 415)
        says_strike(client)

    assert peak_kb(served) - before < 40_000


def test_a_body_without_end_is_cut_off(served: Served) -> None:
    def endless() -> Iterator[bytes]:
        for _ in range(200):
            yield b"x" * 100_000

    with paired(served) as client:
        before = peak_kb(served)
        for path in ("pair", "say", "voice?ref=abcdefgh&age_s=0"):
            with contextlib.suppress(httpx.HTTPError):
                told = client.post(path, content=endless(), timeout=HANGS_S)
                assert told.status_code == 413
        says_strike(client)

    assert peak_kb(served) - before < 40_000


BODIES = {
    "200,000 deep": b"[" * 30_000 + b"]" * 30_000,
    "deep inside": b'{"text":' * 7000 + b"1" + b"}" * 7000,
    "a number of 5,000 digits": b'{"text": ' + b"9" * 5000 + b"}",
    "not UTF-8": b'{"text": "\xff"}',
    "a list": b"[]",
    "nothing": b"",
    "NaN as age": b'{"text": "strike", "ref": "abcdefgh", "age_s": NaN}',
    "an age without end": b'{"text": "strike", "ref": "abcdefgh", "age_s": 1e999}',
    "a reference that is a path": b'{"text": "strike", "ref": "../../etc"}',
    "a reference that is another's": b'{"text": "strike", "ref": "web:1:abcdefgh"}',
    "a place that is none": b'{"text": "strike", "ref": "abcdefgh", "lat": NaN, "lon": 1}',
}


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_a_body_that_is_no_call_is_a_bad_request(crew: httpx.Client, ref: str, body: bytes) -> None:
    told = crew.post("say", content=body, timeout=HANGS_S)

    assert told.status_code == 400
    says_strike(crew, ref)


def test_half_letters_and_a_text_without_end_are_cut_and_kept(served: Served) -> None:
    with paired(served) as client:
        half = client.post("say", content=b'{"text": "strike \\ud800", "ref": "abcdefgh"}')
        long = client.post("say", json={"text": "strike " * 8000, "ref": "ijklmnop"})

        assert half.status_code == 200
        assert "strike ?" in half.json()["text"]
        assert len(long.json()["said"]) <= 2000


RAW = {
    "no HTTP": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + b"\0" * 100,
    "a line without end": b"GET /" + b"a" * 100_000 + b" HTTP/1.1\r\n\r\n",
    "a header without end": b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "
    + b"a" * 100_000
    + b"\r\n\r\n",
    "10,000 headers": b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n" + b"X: y\r\n" * 10_000 + b"\r\n",
    "two lengths": b"POST /pair HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 1\r\n"
    b"Content-Length: 2\r\n\r\nab",
    "a length less than nothing": b"POST /pair HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: -1\r\n\r\n",
    "a path upwards": b"GET /../../../../etc/passwd HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n",
    "a path upwards, hidden": b"GET /picture/..%2f..%2fetc%2fpasswd HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n",
    "no host": b"GET / HTTP/1.0\r\n\r\n",
    "a method of its own": b"PURGE / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n",
    "a proxy": b"CONNECT example.org:443 HTTP/1.1\r\nHost: example.org:443\r\n\r\n",
}


@pytest.mark.parametrize("raw", RAW.values(), ids=RAW.keys())
def test_what_is_no_good_request_is_refused_and_the_next_is_answered(
    shared: Served, crew: httpx.Client, ref: str, raw: bytes
) -> None:
    found = ask(shared, raw)

    assert b" 200 " not in found.split(b"\r\n")[0]
    assert b"root:" not in found
    assert b"Traceback" not in found
    says_strike(crew, ref)


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:80", "127.0.0.1.evil.example", "localhost.evil.example", ""],
)
def test_the_page_is_not_given_under_another_sites_name(shared: Served, host: str) -> None:
    raw = f"GET / HTTP/1.1\r\nHost: {host}\r\n\r\n".encode()

    assert b" 421 " in ask(shared, raw).split(b"\r\n")[0]


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1:80", "[::1]:80", "deckboat", "DECKBOAT."])
def test_the_page_is_given_under_the_boats_own_names(shared: Served, host: str) -> None:
    raw = f"GET / HTTP/1.1\r\nHost: {host}\r\n\r\n".encode()

    assert b" 200 " in ask(shared, raw).split(b"\r\n")[0]


# pairing


def guess(served: Served, code: str, address: str = "127.0.0.1") -> int:
    transport = httpx.HTTPTransport(local_address=address)
    with httpx.Client(
        base_url=served.address, headers=MARK, transport=transport, timeout=HANGS_S
    ) as client:
        return client.post("pair", json={"code": code, "name": "Ana"}).status_code


def test_wrong_codes_of_one_address_keep_nobody_else_out(served: Served) -> None:
    code = served.code()
    for number in range(8):
        assert guess(served, f"AAAAAAA{'ABCDEFGH'[number]}", "127.0.0.2") == 403

    assert guess(served, code, "127.0.0.2") == 403
    assert guess(served, code, "127.0.0.1") == 200


def test_a_line_at_the_console_makes_new_codes_for_everybody(served: Served) -> None:
    old = served.code()
    for number in range(8):
        guess(served, f"AAAAAAA{'ABCDEFGH'[number]}")
    assert served.process.stdin is not None
    served.process.stdin.write("\n")
    served.process.stdin.flush()
    new = served.code()

    assert guess(served, old) == 403
    assert guess(served, new) == 200


def test_another_process_makes_codes_for_the_one_that_serves(served: Served) -> None:
    old = served.code()
    done = run(served.folder, "serve", "--pair")
    new = next(line for line in done.err.splitlines() if "enter " in line)
    code = new.split("enter ")[1].split(",")[0]

    assert done.code == 0
    assert guess(served, old) == 403
    assert guess(served, code) == 200


def test_a_phone_that_was_removed_is_let_in_no_more(served: Served) -> None:
    with paired(served) as client:
        listed = run(served.folder, "serve", "--devices")
        removed = run(served.folder, "serve", "--remove", "Ana")
        again = run(served.folder, "serve", "--remove", "Ana")

        assert "Ana" in listed.out
        assert removed.code == 0
        assert again.is_one_line
        assert client.get("me").status_code == 401


def test_names_of_phones_do_not_move_the_cursor(served: Served) -> None:
    with paired(served, name="Ana\u202e\x1b[2J"):
        listed = run(served.folder, "serve", "--devices")

    assert "\x1b" not in listed.out
    assert "\u202e" not in listed.out


# encryption, and who may read what is kept


def test_shaking_hands_for_ever_does_not_keep_the_crew_out(tmp_path: Path) -> None:
    trusting = ssl.create_default_context()
    trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
    with (
        serving_web(tmp_path, secure=True, idle_s=HOURS_S) as served,
        opened(served, 600, b"\x16\x03\x01"),
        httpx.Client(base_url=served.address, verify=trusting, timeout=HANGS_S) as client,
    ):
        assert client.get("").status_code == 200


def test_what_the_server_keeps_is_for_its_owner_alone(tmp_path: Path) -> None:
    with serving_web(tmp_path, secure=True):
        for name in ("serve.db", "serve.pem"):
            assert (tmp_path / name).stat().st_mode & 0o077 == 0


def test_a_home_that_is_made_is_for_its_owner_alone(tmp_path: Path) -> None:
    home = tmp_path / "new" / "home"

    assert run(home, "trips").code == 0
    assert home.stat().st_mode & 0o777 == 0o700


def test_a_key_that_others_can_read_is_not_used(tmp_path: Path) -> None:
    key = tmp_path / "key.pem"
    key.write_bytes(b"x")
    key.chmod(0o644)
    (tmp_path / "deckcall.toml").write_text(
        f'[serve]\ncert = "{key}"\nkey = "{key}"\n', encoding="utf-8"
    )

    done = run(tmp_path, "serve")

    assert done.is_one_line, done
    assert "chmod 600" in done.err
