"""What a wheel holds: the program, its words, the demo and the guide; no benches, no test material."""

import zipfile
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    built = next(iter(WheelBuilder(str(ROOT)).build(directory=str(folder), versions=["standard"])))
    return zipfile.ZipFile(built)


def test_benches_and_corpora_are_left_out(wheel: zipfile.ZipFile) -> None:
    names = wheel.namelist()

    assert not [n for n in names if n.startswith(("bot/bench/", "tests/", "fixtures/"))]
    assert {n.split("/")[2] for n in names if n.startswith("bot/_fixtures/")} == {"demo"}


def test_words_demo_weights_and_licences_are_in(wheel: zipfile.ZipFile) -> None:
    names = set(wheel.namelist())

    assert {f"bot/_grammar/{p.name}" for p in (ROOT / "grammar").glob("*.toml")} <= names
    assert {f"bot/_fixtures/demo/{p.name}" for p in (ROOT / "fixtures/demo").iterdir()} <= names
    assert {"bot/speech/phones.npz", "bot/speech/weights.md", "bot/py.typed"} <= names
    assert [n for n in names if n.endswith("licenses/bot/LICENSE")]
    assert [n for n in names if n.endswith("licenses/bot/speech/phones_licence.txt")]


def test_every_file_that_was_learned_has_a_line_with_its_licence() -> None:
    learned = {p.name for end in ("npz", "bin", "json") for p in (ROOT / "bot").rglob(f"*.{end}")}
    lines = (ROOT / "bot/speech/weights.md").read_text("utf-8").splitlines()
    rows = [line for line in lines if line.startswith("| `")]
    licensed = "".join(row.split("|")[1] for row in rows if row.split("|")[-2].strip())

    assert {"phones.npz", "model.bin", "trust.json"} <= learned
    assert {name for name in learned if f"{name}`" not in licensed} == set()
