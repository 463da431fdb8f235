"""Which speech models there are, where they lie, how one is fetched, and which engine is used.

The only module of `speech` that writes to disk or talks to a network, and only when asked to fetch.
"""

import shutil
import tempfile
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path, PurePosixPath

from bot.errors import EngineError, ModelMissing, SettingsError
from bot.speech.vosk_engine import is_vosk_model

BASE_URL = "https://alphacephei.com/vosk/models/"
"""Where the makers of Vosk publish their models."""
MODELS_FOLDER = "models"
"""Under the home folder; each model lies in a folder of its own name."""
_MOST_BYTES = 4 << 30
"""An archive that unpacks to more is refused."""


@dataclass(frozen=True, slots=True)
class SpeechModel:
    """A published Vosk model."""

    name: str
    sha256: str
    size_bytes: int
    about: str

    @property
    def file(self) -> str:
        """Give the name of its archive."""
        return f"{self.name}.zip"


DEFAULT_MODEL = SpeechModel(
    name="vosk-model-small-en-us-0.15",
    # As pinned by OpenEmbedded's and Arch Linux's recipes for this archive, and many others.
    sha256="30f26242c4eb449f948e42cb302dd7a686cb29a3423a8367f99ff41780942498",
    size_bytes=41_205_931,
    about="English, small: for phones and small computers",
)
MODELS: tuple[SpeechModel, ...] = (DEFAULT_MODEL,)


def fetch_model(
    home: Path,
    model: SpeechModel = DEFAULT_MODEL,
    *,
    base_url: str = BASE_URL,
    progress: bool = True,
) -> Path:
    """Fetch a model into the home folder unless it is there, and give its folder.

    Its checksum is verified before anything is unpacked; raises ModelMissing with what to do.
    """
    models = home / MODELS_FOLDER
    target = models / model.name
    if is_vosk_model(target):
        return target
    try:
        models.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".fetch-", dir=models) as scratch:
            archive = _download(model, base_url, Path(scratch), progress=progress)
            unpacked = _unpack(archive, Path(scratch) / "unpacked", model.name)
            if target.exists():
                shutil.rmtree(target)
            unpacked.rename(target)
    except OSError as exc:
        raise ModelMissing(
            f"the model cannot be written to {models} ({exc.strerror or exc}): "
            "make room there, or choose another home with DECKCALL_HOME"
        ) from exc
    return target


def find_model(explicit: Path | None, home: Path) -> Path | None:
    """Give the folder of the model to use, or None; a folder that was set must hold one."""
    if explicit is not None:
        if is_vosk_model(explicit):
            return explicit
        raise ModelMissing(
            f"DECKCALL_MODEL points to {explicit}, which holds no Vosk model: "
            "correct it, or run 'deckcall model get' and unset it"
        )
    return next(installed(home), None)


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


def installed(home: Path) -> Iterator[Path]:
    """Give the model folders under the home folder, the default model first, then by name."""
    models = home / MODELS_FOLDER
    if not models.is_dir():
        return
    folders = sorted(
        models.iterdir(), key=lambda path: (path.name != DEFAULT_MODEL.name, path.name)
    )
    yield from (folder for folder in folders if is_vosk_model(folder))


def _download(model: SpeechModel, base_url: str, folder: Path, *, progress: bool) -> Path:
    """Fetch the archive and verify its checksum."""
    import pooch
    import requests

    pooch.get_logger().setLevel("WARNING")
    url = base_url.rstrip("/") + "/" + model.file
    try:
        return Path(
            pooch.retrieve(
                url,
                known_hash=f"sha256:{model.sha256}",
                fname=model.file,
                path=folder,
                progressbar=progress,
            )
        )
    except requests.exceptions.RequestException as exc:
        raise ModelMissing(
            f"{url} cannot be fetched: check the connection and try again, or fetch it elsewhere, "
            "unpack it and set DECKCALL_MODEL to its folder"
        ) from exc
    except ValueError as exc:
        raise ModelMissing(
            f"what came from {url} has another checksum than published, and was thrown away: "
            "try again; a network that answers for others may be in between"
        ) from exc


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
