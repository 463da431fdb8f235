"""The network against the formulas it is made of, by a library that knows nothing of it."""

from io import BytesIO

import numpy as np
import pytest
from scipy.special import erf, log_softmax, softmax

from bot.calls.reader.network import LONGEST, Network, load

WIDTH, INNER, HEADS = 8, 12, 2
PIECES = ("[PAD]", "[UNK]", "[CLS]", "strike", "long", "rig", "##ger", "l", "##o")


def _weights(seed: int = 3) -> dict[str, np.ndarray]:
    chance = np.random.default_rng(seed)

    def some(*shape: int) -> np.ndarray:
        return chance.normal(0, 0.5, shape).astype(np.float32)

    found = {
        "word.weight": some(len(PIECES), WIDTH), "place.weight": some(LONGEST, WIDTH),
        "known.weight": some(WIDTH, 3), "flags.weight": some(WIDTH, 2), "norm.weight": some(WIDTH),
        "norm.bias": some(WIDTH), "act.weight": some(4, WIDTH), "act.bias": some(4),
        "begin.weight": some(1, WIDTH), "begin.bias": some(1), "role.weight": some(3, WIDTH),
        "role.bias": some(3),
    }  # fmt: skip
    for name, rows, columns in (
        ("qkv", 3 * WIDTH, WIDTH), ("out", WIDTH, WIDTH), ("up", INNER, WIDTH), ("down", WIDTH, INNER),
    ):  # fmt: skip
        found[f"layers.0.{name}.weight"] = some(rows, columns)
        found[f"layers.0.{name}.bias"] = some(rows)
    for name in ("norm1", "norm2"):
        found[f"layers.0.{name}.weight"], found[f"layers.0.{name}.bias"] = some(WIDTH), some(WIDTH)
    return found


def _file(weights: dict[str, np.ndarray]) -> bytes:
    out = BytesIO()
    labels = {"pieces": "\n".join(PIECES), "acts": "-\na\nb\nc", "roles": "-\np\nq"}
    np.savez(out, heads=np.array(HEADS), **{k: np.array(v) for k, v in labels.items()}, **weights)  # type: ignore[arg-type]
    return out.getvalue()


def _norm(x: np.ndarray, w: np.ndarray, b: np.ndarray) -> np.ndarray:
    return np.asarray((x - x.mean(-1, keepdims=True)) / x.std(-1, keepdims=True) * w + b)


def _by_the_book(
    weights: dict[str, np.ndarray], ids: list[int], known: np.ndarray, flags: np.ndarray
) -> np.ndarray:
    """Return the last layer by the formulas of Vaswani et al. 2017, and Hendrycks and Gimpel 2016 (GELU)."""
    w = {k: v.astype(np.float64) for k, v in weights.items()}
    x = w["word.weight"][ids] + w["place.weight"][: len(ids)] + known @ w["known.weight"].T
    x[0] += flags @ w["flags.weight"].T
    x = _norm(x, w["norm.weight"], w["norm.bias"])
    q, k, v = np.split(x @ w["layers.0.qkv.weight"].T + w["layers.0.qkv.bias"], 3, axis=1)
    each = WIDTH // HEADS
    heads = []
    for h in range(HEADS):
        part = slice(h * each, (h + 1) * each)
        heads.append(softmax(q[:, part] @ k[:, part].T / np.sqrt(each), axis=-1) @ v[:, part])
    y = np.concatenate(heads, 1) @ w["layers.0.out.weight"].T + w["layers.0.out.bias"]
    x = _norm(x + y, w["layers.0.norm1.weight"], w["layers.0.norm1.bias"])
    up = x @ w["layers.0.up.weight"].T + w["layers.0.up.bias"]
    gelu = 0.5 * up * (1 + erf(up / np.sqrt(2)))
    down = gelu @ w["layers.0.down.weight"].T + w["layers.0.down.bias"]
    return _norm(x + down, w["layers.0.norm2.weight"], w["layers.0.norm2.bias"])


@pytest.fixture
def network() -> Network:
    return load(_file(_weights()))


def test_a_look_is_what_the_formulas_of_a_transformer_give(network: Network) -> None:
    weights = _weights()
    known = [[True, False, False], [False, False, True]]

    seen = network.look(["strike", "rigger"], known, [True, False])

    ids = [2, 3, 5, 6]
    rows = np.array([[0, 0, 0], [1, 0, 0], [0, 0, 1], [0, 0, 1]], float)
    last = _by_the_book(weights, ids, rows, np.array([1.0, 0.0]))[[1, 2]]
    assert seen.act[0] == pytest.approx(
        log_softmax(last @ weights["act.weight"].T + weights["act.bias"], -1), abs=1e-4
    )
    assert seen.begin[0] == pytest.approx(
        (last @ weights["begin.weight"].T + weights["begin.bias"])[:, 0], abs=1e-4
    )
    assert seen.role[0] == pytest.approx(
        log_softmax(last @ weights["role.weight"].T + weights["role.bias"], -1), abs=1e-4
    )


def test_a_word_without_pieces_is_unknown_and_changes_nothing_else(network: Network) -> None:
    one = network.look(["\u00e9\u00e9\u00e9"], [[False] * 3], [False, False])
    other = network.look(["\u4e2d"], [[False] * 3], [False, False])

    assert one.act == pytest.approx(other.act)


def test_words_beyond_the_longest_line_are_not_looked_at(network: Network) -> None:
    seen = network.look(["strike"] * 200, [[False] * 3] * 200, [False, False])

    assert seen.act.shape[1] < LONGEST


def test_weights_of_eight_bits_are_read_with_their_scales() -> None:
    weights = _weights()
    packed = dict(weights)
    matrix = packed.pop("layers.0.up.weight")
    scale = np.abs(matrix).max(1, keepdims=True) / 127
    packed["layers.0.up.weight.q"] = np.round(matrix / scale).astype(np.int8)
    packed["layers.0.up.weight.s"] = scale.astype(np.float32)

    seen = load(_file(packed)).look(["strike", "long"], [[False] * 3] * 2, [False, False])

    exact = load(_file(weights)).look(["strike", "long"], [[False] * 3] * 2, [False, False])
    assert seen.act == pytest.approx(exact.act, abs=0.1)


def test_networks_that_look_together_say_what_each_says_by_itself() -> None:
    files = _file(_weights(3)), _file(_weights(4))
    said = ["strike", "long", "rigger"], [[False] * 3] * 3, [False, True]

    seen = load(*files).look(*said)

    for n, one in enumerate(files):
        alone = load(one).look(*said)
        assert seen.act[n] == pytest.approx(alone.act[0], abs=1e-5)
        assert seen.begin[n] == pytest.approx(alone.begin[0], abs=1e-5)
        assert seen.role[n] == pytest.approx(alone.role[0], abs=1e-5)
