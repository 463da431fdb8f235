"""Reading instruments for real: sockets on loopback, a pseudo terminal; what breaks is tried again."""

import os
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.bench.nmea import with_checksum
from bot.cli.checkup import heard_now
from bot.desk import Desk
from bot.errors import SettingsError
from bot.instruments.feed import NOW_FILE, Feed, known_now, now_of
from bot.instruments.lines import Where, lines
from bot.logbook.store import Logbook
from bot.logbook.track import fix_near, track_between
from bot.settings import load

RMC = with_checksum("GPRMC,170000.00,A,3505.526,S,17423.246,E,7.8,57.6,060226,,,A")
MTW = with_checksum("IIMTW,21.4,C")


def until(holds: Callable[[], object]) -> None:
    """Wait for what happens in another thread."""
    for _ in range(1000):
        if holds():
            return
        time.sleep(0.01)
    raise AssertionError("it did not happen")


def free_port(kind: socket.SocketKind) -> int:
    with closing(socket.socket(socket.AF_INET, kind)) as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def has_place(home: Path) -> bool:
    known = known_now(home)
    return known is not None and known.place is not None


@contextmanager
def plotter(*says: bytes) -> Iterator[tuple[int, list[int]]]:
    """Serve what is said on TCP: one connection for each, closed after it. Gives port and connections."""
    server, met = socket.create_server(("127.0.0.1", 0)), [0]

    def serve() -> None:
        for said in says:
            there, _ = server.accept()
            met[0] += 1
            with closing(there):
                there.sendall(said)

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    with closing(server):
        yield server.getsockname()[1], met
        thread.join(5)


def test_sentences_come_by_udp(tmp_path: Path) -> None:
    port = free_port(socket.SOCK_DGRAM)
    with (
        Feed(tmp_path, Where("udp", "127.0.0.1", port)),
        closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as sounder,
    ):

        def heard() -> bool:
            sounder.sendto(f"{MTW}\r\n{RMC}\r\n".encode(), ("127.0.0.1", port))
            time.sleep(0.05)
            return has_place(tmp_path)

        until(heard)
    fix = now_of(tmp_path)(datetime.now(UTC))

    assert fix is not None
    assert fix.place == pytest.approx((-35.0921, 174.38743), abs=1e-4)
    assert fix.stamp.water_c == 21.4


def test_a_connection_that_ends_is_made_anew_and_sentences_may_come_in_pieces(
    tmp_path: Path,
) -> None:
    whole = f"{MTW}\r\n{RMC}\r\n".encode()
    with (
        plotter(b"", whole[:30], MTW.encode() + b"\r\n" + whole) as (port, met),
        Feed(tmp_path, Where("tcp", "127.0.0.1", port), again_s=(0.01,)),
    ):
        until(lambda: has_place(tmp_path) or met[0] == 3)
        until(lambda: known_now(tmp_path) is not None)

    assert met[0] == 3


def test_the_other_end_may_come_later(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    port = free_port(socket.SOCK_STREAM)
    with Feed(tmp_path, Where("tcp", "127.0.0.1", port), again_s=(0.01,)):
        until(lambda: "trying again" in caplog.text)
        with closing(socket.create_server(("127.0.0.1", port))) as server:
            there, _ = server.accept()
            with closing(there):
                there.sendall(f"{RMC}\r\n".encode())
                until(lambda: has_place(tmp_path))

    refused = [record for record in caplog.records if "refused" in record.getMessage()]
    assert len(refused) == 1  # told once, however often it was tried


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="no pseudo terminals here")
def test_sentences_come_by_a_serial_line() -> None:
    pytest.importorskip("serial")
    ours, theirs = os.openpty()
    try:
        heard = lines(Where("serial", device=os.ttyname(theirs), baud=4800))
        assert next(heard) is None  # opened, and nothing there
        os.write(ours, f"{MTW}\r\n{RMC[:10]}".encode())
        found = [line for line in (next(heard), next(heard)) if line]
        os.write(ours, f"{RMC[10:]}\r\n".encode())
        while len(found) < 2:
            found += [line for line in [next(heard)] if line]
    finally:
        os.close(ours)
        os.close(theirs)

    assert [line.strip() for line in found] == [MTW, RMC]


def test_a_line_without_an_end_is_not_kept_for_ever() -> None:
    with plotter(b"x" * 20_000 + f"\r\n{MTW}\r\n".encode()) as (port, _):
        heard = lines(Where("tcp", "127.0.0.1", port))
        found = [line for line in (next(heard) for _ in range(2)) if line]

    assert found[-1].strip() == MTW
    assert len(found[0]) < 20_000


class Script:
    """Lines and what the clock shows at each; stops at the end."""

    def __init__(self, said: list[tuple[float, str]]) -> None:
        self.said, self.second, self.done = said, 0.0, threading.Event()

    def clock(self) -> datetime:
        return datetime(2026, 2, 6, 17, tzinfo=UTC) + timedelta(seconds=self.second)

    def lines(self, _: Where) -> Iterator[str | None]:
        for second, line in self.said:
            self.second = second
            yield line
        self.said = []
        self.done.set()
        while True:
            time.sleep(0.01)
            yield None


def rmc(second: int) -> tuple[float, str]:
    clock = f"17{second // 60:02d}{second % 60:02d}.00"
    minutes = 5 + second * 7.8 / 3600
    return second, with_checksum(
        f"GPRMC,{clock},A,35{minutes:06.3f},S,17423.246,E,7.8,180.0,060226,,,A"
    )


def test_the_track_is_kept_while_the_boat_goes(tmp_path: Path) -> None:
    script = Script([rmc(second) for second in range(0, 601, 2)])
    with Feed(tmp_path, Where("udp"), clock=script.clock, open_lines=script.lines):
        assert script.done.wait(20)

    with Logbook.open(tmp_path) as log:
        start = datetime(2026, 2, 6, 17, tzinfo=UTC)
        points = track_between(log, start, start + timedelta(hours=1))
        near = fix_near(log, start + timedelta(seconds=44))

    assert [(point.at - start).seconds for point in points] == list(range(0, 601, 30))
    assert near is not None
    assert near.place_age_s == 14
    assert near.stamp.sog_kn == 7.8


def test_a_second_process_of_the_boat_leaves_the_line_alone_and_has_the_stamps(
    tmp_path: Path,
) -> None:
    first, second = Script([rmc(0)]), Script([(0.0, MTW)])
    with Feed(tmp_path, Where("udp"), clock=first.clock, open_lines=first.lines):
        assert first.done.wait(20)
        with Feed(tmp_path, Where("udp"), clock=second.clock, open_lines=second.lines):
            assert not second.done.wait(0.3)
            fix = now_of(tmp_path)(first.clock())

    assert fix is not None
    assert fix.place is not None


def test_a_call_is_stamped_with_what_is_known_and_not_with_what_is_old(tmp_path: Path) -> None:
    script = Script([rmc(0), (1, MTW)])
    with Feed(tmp_path, Where("udp"), track=False, clock=script.clock, open_lines=script.lines):
        assert script.done.wait(20)
    now = script.clock()
    with Desk(tmp_path, instruments=now_of(tmp_path)) as desk:
        desk.say("lines in", at=now + timedelta(seconds=3))
        desk.say("birds to port", at=now + timedelta(seconds=60))
        fresh, old = desk.view().stood[-2:]

    assert fresh.place == pytest.approx((-35.0833, 174.38743), abs=1e-3)
    assert fresh.stamp.place_from == "instruments"
    assert (old.place, old.stamp.water_c) == (None, None)


def test_the_doctor_says_what_is_heard_and_what_was_dropped(tmp_path: Path) -> None:
    port = free_port(socket.SOCK_STREAM)
    (tmp_path / "deckcall.toml").write_text(
        f'[instruments]\nkind = "tcp"\nhost = "127.0.0.1"\nport = {port}\n'
    )
    found = load({"DECKCALL_HOME": str(tmp_path)})
    nobody = heard_now(found)
    now = datetime.now(UTC)
    script = Script([(0.0, RMC), (0.0, MTW), (0.0, f"{MTW[:-1]}!"), (1.0, MTW)])
    with Feed(
        tmp_path, Where("tcp"), track=False, clock=lambda: now + timedelta(seconds=script.second),
        open_lines=script.lines,
    ):  # fmt: skip
        assert script.done.wait(20)
    heard = heard_now(found)

    assert not nobody[0]
    assert "[instruments] in deckcall.toml" in nobody[1]
    assert heard == (True, "place, cog_deg, sog_kn, water_c; dropped: 1 unreadable")


@pytest.mark.parametrize("text", ["", "{", "[]", '{"place": 1}', '{"place": null}'])
def test_a_file_that_is_none_of_ours_stamps_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / NOW_FILE).write_text(text)

    assert now_of(tmp_path)(datetime.now(UTC)) is None


@pytest.mark.parametrize(
    ("toml", "wrong"),
    [
        ('kind = "tcp"', "host is missing"),
        ('kind = "serial"', "device is missing"),
        ('kind = "upd"', 'did you mean "udp"'),
        ("port = 10110", "kind is missing"),
    ],
)
def test_settings_that_name_no_instruments_are_told(tmp_path: Path, toml: str, wrong: str) -> None:
    (tmp_path / "deckcall.toml").write_text(f"[instruments]\n{toml}\n")

    with pytest.raises(SettingsError, match="instruments") as told:
        load({"DECKCALL_HOME": str(tmp_path)})
    assert wrong in str(told.value)
