"""Who speaks what the ear is trained on, and who judges it."""

from pathlib import Path

import numpy as np
import pytest

from bot.bench import ear, ear_kokoro
from bot.errors import EngineMissing


def test_those_who_judge_or_choose_are_no_voices_of_the_training(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "voices").mkdir()
    for name in ("af_bella", "if_sara", "im_nicola", "bm_lewis"):
        np.save(tmp_path / "voices" / f"{name}.npy", np.zeros((2, 256), np.float16))
    monkeypatch.setenv("KOKORO", str(tmp_path))

    assert ear_kokoro.speakers() == ["af_bella", "bm_lewis"]
    judges = {speaker for _, speaker in ear.VOICES["natural"]}
    assert judges.isdisjoint({*ear_kokoro.speakers(), *ear_kokoro.CHOOSING})


def test_without_its_folder_one_line_says_what_to_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("KOKORO", raising=False)

    with pytest.raises(EngineMissing, match="set KOKORO to the folder"):
        ear_kokoro.speakers()
