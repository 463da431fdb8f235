"""Train the network of the reader: a pretrained teacher first, then the small student that ships.

    python -m bot.bench reader_train DATA.json MPNET.npz VOCAB.txt OUT [--hold NAME …] [--pool N] …

Runs beside a GPU with torch and numpy and nothing of deckcall but `reader_augment.py`,
`reader_net.py` and `reader_weights.py`. The teacher is MPNet (base, Apache-2.0) with three heads: act,
beginning and role of each word; the student is a small transformer that learns from the labels and from
the teacher on lines that are made anew without end.
"""

import argparse
import json
import math
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F  # noqa: N812 - its usual name

sys.path.insert(0, str(Path(__file__).parent))
from reader_augment import Example, Mixer, example_of, labels_of  # type: ignore[import-not-found]
from reader_net import (  # type: ignore[import-not-found]
    BEFORE,
    LONGEST,
    Encoder,
    export,
    go_on,
    teacher_of,
)
from reader_reword import IGNORED, like, reword, wear_pieces  # type: ignore[import-not-found]
from reader_weights import weight_of  # type: ignore[import-not-found]

COMMON = 11000
"""How many pieces of the teacher are kept although no line uses them; the commonest come first."""
CLS, SEP, PAD, UNK = "[CLS]", "[SEP]", "[PAD]", "[UNK]"
UNKNOWN = 1  # the place of `UNK` in `_pieces`
_state: dict[str, Any] = {}


def pieces_of(word: str, vocab: dict[str, int]) -> list[int]:
    """Return the pieces of a word, longest first."""
    found: list[int] = []
    at = 0
    while at < len(word):
        end = len(word)
        while end > at:
            piece = word[at:end] if at == 0 else "##" + word[at:end]
            if piece in vocab:
                found.append(vocab[piece])
                break
            end -= 1
        else:
            return [vocab[UNK]]
        at = end
    return found or [vocab[UNK]]


def _rows(
    example: Example, vocab: dict[str, int], acts: dict[str, int], roles: dict[str, int]
) -> Any:
    ids, known = [vocab[CLS]], [0]
    act, begin, role = [IGNORED], [IGNORED], [IGNORED]
    for word in example.words:
        pieces = pieces_of(word.text, vocab)
        if len(ids) + len(pieces) > LONGEST - 1:
            break
        ids += pieces
        known += [word.known] * len(pieces)
        rest = [IGNORED] * (len(pieces) - 1)
        act += [IGNORED if word.mark else acts[word.act], *rest]
        begin += [IGNORED if word.mark else int(word.begins), *rest]
        known_role = example.roles_known and not word.mark
        role += [roles[word.role] if known_role else IGNORED, *rest]
    places = list(range(len(ids)))
    if example.before and len(ids) <= LONGEST - BEFORE:
        earlier = [(p, w.known) for w in example.before for p in pieces_of(w.text, vocab)][-BEFORE:]
        ids += [p for p, _ in earlier]
        known += [k for _, k in earlier]
        places += range(LONGEST - len(earlier), LONGEST)
    out = np.zeros((6, LONGEST), np.int32)
    out[0, : len(ids)] = ids
    out[0, len(ids) :] = vocab[PAD]
    out[1, : len(known)] = known
    for row, values in enumerate((act, begin, role), 2):
        out[row] = [*values, *[IGNORED] * (LONGEST - len(values))]
    out[5, : len(places)] = places
    return out


def _made(job: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    seed, count = job
    chance, mixer = Random(seed), _state["mixer"]
    made = [mixer.make(chance) for _ in range(count)]
    arrays = np.stack([_rows(e, _state["vocab"], _state["acts"], _state["roles"]) for e in made])
    return arrays, np.array([e.flags for e in made], np.int32)


def _counted(job: tuple[int, int]) -> Counter[str]:
    seed, count = job
    chance, mixer, vocab = Random(seed), _state["mixer"], _state["vocab"]
    names = _state["names"]
    found: Counter[str] = Counter()
    for _ in range(count):
        for word in mixer.make(chance).words:
            found.update(names[p] for p in pieces_of(word.text, vocab))
    return found


def _through(model: Encoder, batch: Any, on: Any, pad: int) -> Any:
    return model(batch[:, 0].long(), batch[:, 1], on, pad, batch[:, 5].long())


def _loss(out: Any, batch: Any, soft: Any = None, words: Any = None, share: float = 0.5) -> Any:
    """Return the loss of labels, and of what teachers say of words; waits for nothing."""
    act, begin, role = (o.float() for o in out)
    _, _, want_act, want_begin, want_role, _ = batch.long().unbind(1)
    labelled = (want_act != IGNORED).float()

    def begins(wanted: Any, there: Any) -> Any:
        each = F.binary_cross_entropy_with_logits(begin, wanted, reduction="none")
        return (each * there).sum() / there.sum().clamp(min=1)

    hard = F.cross_entropy(act.flatten(0, 1), want_act.flatten(), ignore_index=IGNORED)
    hard = hard + begins(want_begin.clamp(min=0).float(), labelled)
    known = (want_role != IGNORED).sum().clamp(min=1)
    roles = F.cross_entropy(
        role.flatten(0, 1), want_role.flatten(), ignore_index=IGNORED, reduction="sum"
    )
    hard = hard + roles / known
    if soft is None:
        return hard
    kl = begins(soft[1].float(), words)
    for mine, theirs in ((act, soft[0]), (role, soft[2])):
        each = F.kl_div(F.log_softmax(mine, -1), theirs.float(), reduction="none").sum(-1)
        kl = kl + (each * words).sum() / words.sum().clamp(min=1)
    return share * hard + (1 - share) * kl


@dataclass(frozen=True)
class Plan:
    """How long and how fast a model is trained."""

    steps: int
    size: int
    rate: float
    head_rate: float
    budget_s: float
    """Seconds after which it ends, whatever the steps."""


_HEADS = ("act", "begin", "role", "known", "flags")


def _optimiser(model: Encoder, plan: Plan) -> Any:
    groups: tuple[list[Any], list[Any]] = ([], [])
    for name, parameter in model.named_parameters():
        groups[name.split(".")[0] in _HEADS].append(parameter)
    rates = (plan.rate, plan.head_rate)
    parts = [{"params": g, "lr": r, "own": r} for g, r in zip(groups, rates, strict=True)]
    quick = next(model.parameters()).is_cuda
    return torch.optim.AdamW(parts, weight_decay=0.01, betas=(0.9, 0.98), fused=quick)


def _taught(teachers: list[Encoder], batch: Any, on: Any, pad: int) -> tuple[Any, Any, Any]:
    with torch.no_grad():
        outs = [_through(t, batch, on, pad) for t in teachers]
        return (
            sum(o[0].float().softmax(-1) for o in outs) / len(outs),
            sum(o[1].float().sigmoid() for o in outs) / len(outs),
            sum(o[2].float().softmax(-1) for o in outs) / len(outs),
        )


def batches(lengths: Any, size: int, chance: Any) -> Iterator[Any]:
    """Yield without end the numbers of `size` lines of like length, so that little is padded."""
    at_once = 16
    while True:
        some = torch.randint(0, len(lengths), (at_once * size,), generator=chance)
        some = some[lengths[some].argsort()].view(at_once, size)
        yield from some[torch.randperm(at_once, generator=chance)]


def fit(
    models: Sequence[Encoder], data: Any, flags: Any, pad: int, plan: Plan, device: str,
    teachers: list[Encoder] | None = None, seed: int = 0, alike: Any = None,
) -> None:  # fmt: skip
    """Train models side by side on a pool of examples, with teachers or without.

    With `alike` (see `reader_reword.like`) some lines are said in other words, which teachers label.
    """
    adams = [_optimiser(model.to(device).train(), plan) for model in models]
    steps = plan.steps
    rise = max(1, steps // 20)
    lengths = (data[:, 0] != pad).sum(1).cpu()
    picks = batches(lengths, plan.size, torch.Generator().manual_seed(seed))
    amp = torch.autocast(device.split(":")[0], dtype=torch.bfloat16, enabled=device != "cpu")
    began, step = time.time(), 0
    while (done := max(step / steps, (time.time() - began) / plan.budget_s)) < 1:
        factor = min((step + 1) / rise, max(0.01, 0.5 + 0.5 * math.cos(math.pi * done)))
        pick = next(picks)
        longest = int(lengths[pick].max())
        pick = pick.to(data.device)
        batch, on = data[pick, :, :longest].to(device), flags[pick].to(device)
        words = (batch[:, 2] != IGNORED).float()
        if teachers and alike is not None:
            batch = reword(batch, *alike)
        with amp:
            soft = _taught(teachers, batch, on, pad) if teachers else None
        batch = wear_pieces(batch, UNKNOWN)
        for model, adam in zip(models, adams, strict=True):
            for group in adam.param_groups:
                group["lr"] = group["own"] * factor
            with amp:
                out = _through(model, batch, on, pad)
            loss = _loss(out, batch, soft, words)
            adam.zero_grad(set_to_none=True)
            loss.backward()
            nn.utils.clip_grad_norm_(model.parameters(), 1.0)
            adam.step()
        if step % max(1, steps // 8) == 0:
            print(
                f"  step {step} loss {float(loss.detach()):.3f} {time.time() - began:.0f} s",
                flush=True,
            )
        step += 1
    print(f"  {step} steps, {time.time() - began:.0f} s", flush=True)
    for model in models:
        model.eval()


def shares(model: Encoder, data: Any, flags: Any, pad: int, device: str) -> tuple[float, float]:
    """Return the share of lines with every act and beginning right, and with every role right as well."""
    acts = whole = 0
    with torch.no_grad():
        for at in range(0, len(data), 512):
            batch, on = data[at : at + 512].to(device), flags[at : at + 512].to(device)
            act, begin, role = _through(model, batch, on, pad)
            there = batch[:, 2] != IGNORED
            good = ((act.argmax(-1) == batch[:, 2]) & ((begin > 0) == (batch[:, 3] > 0))) | ~there
            same = (role.argmax(-1) == batch[:, 4]) | (batch[:, 4] == IGNORED)
            acts += int(good.all(1).sum())
            whole += int((good & same).all(1).sum())
    return acts / max(1, len(data)), whole / max(1, len(data))


def _arguments(argv: Sequence[str] | None) -> argparse.Namespace:
    ap = argparse.ArgumentParser(description=__doc__)
    ap.add_argument("data", type=Path)
    ap.add_argument("mpnet", type=Path)
    ap.add_argument("vocab", type=Path)
    ap.add_argument("out", help="begins the names of the files that are written")
    ap.add_argument("--hold", nargs="*", default=[], help="parts of names of sources to leave out")
    ap.add_argument("--favour", nargs="*", default=[], help="NAME=WEIGHT of sources")
    ap.add_argument("--pool", type=int, default=1_500_000, help="lines made anew")
    ap.add_argument("--teachers", type=int, default=1)
    ap.add_argument("--teacher-steps", type=int, default=5000)
    ap.add_argument("--teacher-s", type=float, default=100.0, help="seconds at most for each")
    ap.add_argument("--teacher-start", type=Path, help="a teacher to go on from")
    ap.add_argument("--teacher-rate", type=float, default=6e-5)
    ap.add_argument("--taught", type=Path, nargs="*", default=[], help="teachers written before")
    ap.add_argument("--batch", type=int, default=256)
    ap.add_argument("--students", nargs="*", default=["a", "b"], metavar="NAME[:WIDTH:LAYERS]")
    ap.add_argument("--student-steps", type=int, default=9000)
    ap.add_argument("--student-s", type=float, default=170.0)
    ap.add_argument("--student-batch", type=int, default=1024)
    ap.add_argument("--start", nargs="*", default=[], help="weights that the students go on from")
    ap.add_argument("--student-rate", type=float, default=1e-3)
    ap.add_argument("--threads", type=int, default=0, help="of the processor; 0: all")
    ap.add_argument("--workers", type=int, default=5)
    ap.add_argument("--seed", type=int, default=1)
    return ap.parse_args(argv)


def _pieces(base: list[str], workers: int) -> list[str]:
    """Return the pieces that are kept: common ones, single letters, and all that the lines use."""
    counts: Counter[str] = Counter()
    with Pool(workers) as pool:
        for some in pool.imap_unordered(_counted, [(900 + n, 4000) for n in range(16)]):
            counts.update(some)
    common = {p for p in base[:COMMON] if p and not p.startswith("[")}
    single = {p for p in base if len(p.removeprefix("##")) == 1 and p.isascii()}
    used = {p for p, n in counts.items() if n > 2}
    return [PAD, UNK, CLS, *sorted((common | single | used) - {PAD, UNK, CLS})]


def _pool(args: argparse.Namespace, device: str) -> tuple[Any, Any]:
    each = 5000
    jobs = [(args.seed * 1_000_003 + n, each) for n in range(max(1, args.pool // each))]
    with Pool(args.workers) as pool:
        made = list(pool.imap_unordered(_made, jobs))
    data = torch.from_numpy(np.concatenate([m[0] for m in made]))
    flags = torch.from_numpy(np.concatenate([m[1] for m in made]))
    return (data.to(device), flags.to(device)) if device == "cuda" else (data, flags)


def _student(told: str, sizes: dict[str, int], embedding: Any) -> Encoder:
    """Return the student `NAME[:WIDTH:LAYERS]`, which begins with MPNet's words in fewer dimensions."""
    width, layers = map(int, told.split(":")[1:] or (192, 3))
    student = Encoder(len(embedding), width, 3 * width, layers, 4, **sizes, dropout=0.05)
    with torch.no_grad():
        _, _, v = torch.linalg.svd(embedding - embedding.mean(0), full_matrices=False)
        small = (embedding - embedding.mean(0)) @ v[:width].T
        student.word.weight.copy_(small / small.std() * 0.05)
    return student


def main(argv: Sequence[str] | None = None) -> None:  # noqa: PLR0915 - one recipe, read from top to bottom
    """Train as the command line says."""
    args = _arguments(argv)
    began = time.time()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(args.seed)
    if args.threads:
        torch.set_num_threads(args.threads)
    raw = json.loads(args.data.read_text())
    everything = [example_of(e) for e in raw["examples"]]
    test = [e for e in everything if any(h in e.source for h in args.hold)]
    train = [e for e in everything if not any(h in e.source for h in args.hold)]
    weight = dict(f.split("=") for f in args.favour)
    weights = [next((float(w) for k, w in weight.items() if k in e.source), 1.0) for e in train]
    acts, roles = labels_of(everything)
    base = args.vocab.read_text(encoding="utf-8").split("\n")
    full = {p: n for n, p in enumerate(base) if p}
    _state["mixer"] = Mixer(train, raw["slips"], raw["flags"], weights)
    _state.update(vocab=full, names=base)
    pieces = _pieces(base, args.workers)
    vocab = {p: n for n, p in enumerate(pieces)}
    _state.update(vocab=vocab, acts={a: n for n, a in enumerate(acts)})
    _state.update(roles={r: n for n, r in enumerate(roles)})
    data, flags = _pool(args, device)
    print(
        f"{len(train)} examples, {len(test)} held out, {len(pieces)} pieces, {len(acts)} acts",
        end="",
    )
    print(f", {len(roles)} roles, {tuple(data.shape)} in {time.time() - began:.0f} s", flush=True)
    pad = vocab[PAD]

    def judge(name: str, model: Encoder) -> None:
        if test:
            rows = np.stack([_rows(e, vocab, _state["acts"], _state["roles"]) for e in test])
            on = torch.tensor([e.flags for e in test], dtype=torch.int32)
            right = shares(model.to(device), torch.from_numpy(rows), on, pad, device)
            print(
                f"{name}: held-out lines right: acts {right[0]:.3f}, all {right[1]:.3f}", flush=True
            )

    mpnet = np.load(args.mpnet)
    kept = [full[p] for p in pieces]
    sizes = {"acts": len(acts), "roles": len(roles), "flags": raw["flags"]}

    def write(name: str, model: Encoder) -> None:
        judge(name, model)
        path = Path(f"{args.out}_{name}.npz")
        export(model, pieces, acts, roles, path)
        print(f"{path} {path.stat().st_size} bytes, {time.time() - began:.0f} s in all", flush=True)

    def teacher(seed: int, held: Path | None = None, learns: bool = True) -> Encoder:
        torch.manual_seed(args.seed)
        model = teacher_of(mpnet, kept, **sizes)
        if held:
            go_on(model, np.load(held), pieces, acts, roles)
            model.to(device).eval()
            judge(held.stem, model)
        if learns:
            heads = args.teacher_rate if held else 1e-3
            plan = Plan(args.teacher_steps, args.batch, args.teacher_rate, heads, args.teacher_s)
            fit([model], data, flags, pad, plan, device, seed=seed)
            write(f"teacher{seed}", model)
        return model

    count = 0 if args.taught else args.teachers
    teachers = [teacher(args.seed * 10 + n, args.teacher_start) for n in range(count)]
    teachers += [teacher(0, held, learns=False) for held in args.taught]
    words = weight_of(mpnet, "embeddings.word_embeddings.weight")
    students = [_student(told, sizes, torch.tensor(words)[kept]) for told in args.students]
    for student, start in zip(students, args.start, strict=False):
        go_on(student, np.load(start), pieces, acts, roles)
        judge(f"start {start}", student)
    rate = args.student_rate
    plan = Plan(args.student_steps, args.student_batch, rate, 2 * rate, args.student_s)
    if students:
        vectors = torch.tensor(words)[kept]
        alike = [table.to(device) for table in like(vectors, pieces, set(base[:COMMON]))]
        fit(students, data, flags, pad, plan, device, teachers or None, args.seed, alike)
    for told, student in zip(args.students, students, strict=True):
        write(told.partition(":")[0], student)


if __name__ == "__main__":
    main()
