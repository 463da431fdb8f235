"""Files of weights are written anew without compression, and hold what they held."""

from pathlib import Path

import numpy as np

from bot.bench.reader_weights import main


def test_weights_written_anew_are_the_same_and_no_longer_compressed(tmp_path: Path) -> None:
    path = tmp_path / "net.npz"
    held = {"act.q": np.zeros((40, 50), np.int8), "pieces": np.array("[PAD]\nrig\n##ger")}
    np.savez_compressed(path, **held)  # type: ignore[arg-type]
    before = path.stat().st_size

    assert main([str(path)]) == 0

    with np.load(path) as found:
        assert sorted(found.files) == sorted(held)
        assert all((found[name] == value).all() for name, value in held.items())
        assert found["act.q"].dtype == np.int8
    assert path.stat().st_size > max(before, 40 * 50)
    assert [one.name for one in tmp_path.iterdir()] == ["net.npz"]


def test_without_a_file_nothing_is_done() -> None:
    assert main([]) == 2
