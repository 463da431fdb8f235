"""Files of weights are written anew without compression, and hold what they held."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bot.bench.reader_weights import in_eight_bits, main, weight_of


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


def _net(
    pieces: str,
    word: list[list[float]],
    bias: list[float],
    acts: str = "-",
    roles: str = "-",
) -> dict[str, Any]:
    names = {"pieces": pieces, "acts": acts, "roles": roles, "heads": 1, "before": 2}
    said = {name: np.array(value) for name, value in names.items()}
    return (
        said | in_eight_bits("word.weight", np.array(word)) | {"bias": np.array(bias, np.float32)}
    )


def test_the_mean_of_two_networks_goes_by_pieces(tmp_path: Path) -> None:
    before, after, out = (tmp_path / name for name in ("before.npz", "after.npz", "out.npz"))
    np.savez(before, **_net("fish\nrod", [[0.0, 2.0], [4.0, 4.0]], [0.0]))
    np.savez(after, **_net("rod\nnew\nfish", [[2.0, 4.0], [7.0, 7.0], [2.0, 2.0]], [3.0]))

    assert main(["--mean", str(before), str(after), str(out)]) == 0

    with np.load(out) as held:
        assert str(held["pieces"]) == "rod\nnew\nfish"
        mean = weight_of(held, "word.weight")
        assert np.allclose(mean, [[3.0, 4.0], [7.0, 7.0], [1.0, 2.0]], atol=0.05)
        assert held["bias"] == [1.5]


def test_the_mean_of_two_networks_goes_by_acts(tmp_path: Path) -> None:
    before, after, out = (tmp_path / name for name in ("before.npz", "after.npz", "out.npz"))
    head = {"act.bias": np.array([1.0, 3.0], np.float32)}
    np.savez(before, **_net("fish", [[1.0, 1.0]], [0.0], acts="strike\nboat") | head)
    head = {"act.bias": np.array([5.0, 7.0, 9.0], np.float32)}
    np.savez(after, **_net("fish", [[1.0, 1.0]], [0.0], acts="boat\nnew\nstrike") | head)

    assert main(["--mean", str(before), str(after), str(out)]) == 0

    with np.load(out) as held:
        assert str(held["acts"]) == "boat\nnew\nstrike"
        assert held["act.bias"].tolist() == [4.0, 7.0, 5.0]


def test_networks_of_other_roles_have_no_mean(tmp_path: Path) -> None:
    one, other = tmp_path / "one.npz", tmp_path / "other.npz"
    np.savez(one, **_net("fish", [[1.0, 1.0]], [0.0]))
    np.savez(other, **_net("fish", [[1.0, 1.0]], [0.0], roles="position"))

    with pytest.raises(ValueError, match="other roles"):
        main(["--mean", str(one), str(other), str(tmp_path / "out.npz")])
