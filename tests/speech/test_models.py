"""Fetching a model, for real, from a server on the loopback address."""

import io
import threading
import zipfile
from collections.abc import Iterator
from functools import partial
from hashlib import sha256
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from bot.errors import EngineError, ModelMissing, SettingsError
from bot.speech.models import (
    DEFAULT_MODEL,
    SpeechModel,
    choose_engine,
    fetch_model,
    find_model,
)

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


def test_a_model_is_fetched_unpacked_and_found(server: tuple[str, Path], tmp_path: Path) -> None:
    url, served = server
    model = _serve(served, _zip(PARTS))
    home = tmp_path / "home"

    folder = fetch_model(home, model, base_url=url, progress=False)

    assert folder == home / "models" / NAME
    assert (folder / "am/final.mdl").read_bytes() == b"acoustics"
    assert find_model(None, home) == folder
    assert [path.name for path in (home / "models").iterdir()] == [NAME]


def test_a_model_that_is_there_is_not_fetched_again(
    server: tuple[str, Path], tmp_path: Path
) -> None:
    url, served = server
    model = _serve(served, _zip(PARTS))
    first = fetch_model(tmp_path, model, base_url=url, progress=False)
    (served / f"{NAME}.zip").unlink()

    assert fetch_model(tmp_path, model, base_url=url, progress=False) == first


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
        fetch_model(tmp_path, model, base_url=url, progress=False)

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
        fetch_model(tmp_path / "home", model, base_url=url, progress=False)

    assert not list(tmp_path.rglob("escaped"))
    assert find_model(None, tmp_path / "home") is None


def test_an_archive_without_a_model_is_refused(server: tuple[str, Path], tmp_path: Path) -> None:
    url, served = server
    model = _serve(served, _zip({f"{NAME}/README": b"nothing"}))

    with pytest.raises(EngineError, match="no Vosk model"):
        fetch_model(tmp_path, model, base_url=url, progress=False)


def test_what_is_no_zip_is_refused(server: tuple[str, Path], tmp_path: Path) -> None:
    url, served = server

    with pytest.raises(ModelMissing, match="no zip archive"):
        fetch_model(tmp_path, _serve(served, b"<html>"), base_url=url, progress=False)


def test_no_connection_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(ModelMissing, match="DECKCALL_MODEL"):
        fetch_model(tmp_path, base_url="http://127.0.0.1:9/", progress=False)


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
