"""What the log holds at the end of a few lines in a running trip: conversations, and lives of fish.

`python -m bot.bench lives FILE...` says the lines of `fixtures/crews/*/conversations.jsonl` or `lives.jsonl`
to a desk and compares entries and counts at the end. `--true` gives the desk what each line means
(`line_calls`) as if it had been read with certainty: what is wrong then is not the reader's fault.
"""

import argparse
import json
import shutil
import sqlite3
import tempfile
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from bot.answers.values import spread_json, tally_json
from bot.answers.view import View
from bot.bench.corpus import BOX, same_value
from bot.calls.language import Language
from bot.calls.meant.attach import other_meanings, with_meanings
from bot.calls.understand import Understanding
from bot.desk.desk import Desk
from bot.desk.fits import settle_by_context
from bot.messages import Message, Reply
from bot.transcript import Transcript
from bot.trip.call import from_json

START: Final = (
    "trip start", "set short corner black 14", "set long corner green 12", "set short rigger pink 10",
    "set long rigger purple 8", "set shotgun blue 6", "lines in",
)  # fmt: skip
BEGAN: Final = datetime(2026, 3, 1, 20, tzinfo=UTC)
SAID_FROM: Final = BEGAN + timedelta(minutes=31)
CERTAIN: Final = 0.99
NEAR_MIN: Final = 1.5
"""How far the time of an entry may be from the minute that is wanted."""
IMPLIED: Final = frozenset({"strike", "hookup"})
"""A stage that a later one implies may stand in the log though nobody said it, where the counts hold."""
KINDS: Final = ("right", "missed", "asked", "should have asked", "wrong log")

Row = Mapping[str, Any]


class ReadRight(Desk):
    """A desk that is told what a line means, where that is known."""

    truth: Sequence[Row] | None = None

    def _meant(
        self, transcript: Transcript, words: Language, before: View, message: Message
    ) -> Understanding:
        found = super()._meant(transcript, words, before, message)
        if self.truth is None:
            return found
        calls = tuple(from_json(call) for call in self.truth)
        if found.calls != calls:  # the same are kept with all that they mean beside their slots
            calls = with_meanings(calls, transcript.best, words.reader)
        else:
            calls = found.calls
        told = Understanding(
            transcript.best, calls, CERTAIN, meant=other_meanings(transcript.best, words.reader)
        )
        return settle_by_context(told, before.trip, message.at)


@dataclass(frozen=True, slots=True)
class EndState:
    """What there is after the last line: replies, entries that stand and that do not, counts, what is out."""

    replies: tuple[Reply, ...]
    new: tuple[Row, ...]
    taken_back: bool
    """True where something that stood before the first line does not any more."""
    counts: Mapping[str, int]
    spread: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Score:
    """How a conversation came out, and why."""

    kind: str
    missing: tuple[Row, ...] = ()
    extra: tuple[Row, ...] = ()
    counts_differ: bool = False


def main(argv: list[str]) -> int:
    """Say, look, count."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench lives", description=__doc__)
    parser.add_argument("files", nargs="+", type=Path)
    parser.add_argument("--true", action="store_true", help="read every line as it is meant")
    parser.add_argument("--show", action="store_true", help="show what is not right")
    args = parser.parse_args(argv)
    total: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        home = begin_log(Path(folder) / "start")
        for path in args.files:
            found = Counter[str]()
            for line in path.read_text("utf-8").splitlines():
                talk = json.loads(line)
                ended = say_lines(talk, home, args.true)
                scored = score(talk, ended)
                found[scored.kind] += 1
                if args.show and scored.kind != "right":
                    show(f"{path.parent.name}: {talk['id']}", talk, ended, scored)
            print(f"{path.parent.name:4} {path.stem:14}", _shares(found), flush=True)
            total += found
    print(f"{'all':19}", _shares(total))
    return 0


def begin_log(home: Path) -> Path:
    """Make a log with a trip that fishes for half an hour."""
    with Desk(home) as desk:
        desk.box_import(BOX)
        for n, text in enumerate(START):
            desk.say(text, crew="Skipper", at=BEGAN + timedelta(seconds=10 * n))
    return home


def say_lines(talk: Row, start: Path, true: bool = False) -> EndState:
    """Say the lines of a conversation in a trip that has begun (a copy of it)."""
    truths = talk["line_calls"] if true else [None] * len(talk["lines"])
    with tempfile.TemporaryDirectory() as folder:
        home = Path(shutil.copytree(start, Path(folder) / "home"))
        before = {row["id"] for row in entries(home)}
        desk = ReadRight(home)
        with desk:
            replies = []
            for (minute, who, text), desk.truth in zip(talk["lines"], truths, strict=True):
                at = SAID_FROM + timedelta(minutes=minute)
                replies.append(desk.say(text, crew=who, at=at))
            view = desk.view(at)
            counts, spread = tally_json(view, "none")["total"], spread_json(view)["positions"]
        stand = entries(home)
    new = tuple(row for row in stand if row["id"] not in before)
    gone = before - {row["id"] for row in stand}
    out = {row["position"]: row["size_in"] for row in spread if row["lure"] or row["size_in"]}
    return EndState(tuple(replies), new, bool(gone), counts, out)


def entries(home: Path) -> tuple[Row, ...]:
    """Return the entries that stand, as the view of the contract has them."""
    log = sqlite3.connect(home / "deckcall.db")
    log.row_factory = sqlite3.Row
    rows = log.execute("SELECT * FROM entries WHERE NOT void ORDER BY id").fetchall()
    log.close()
    return tuple(dict(row) for row in rows)


def score(talk: Row, ended: EndState) -> Score:
    """Judge what a log holds at the end by what it must hold."""
    want = talk.get("counts", {})
    high = any(ended.counts[name] > n for name, n in want.items())
    low = any(ended.counts[name] < n for name, n in want.items())
    implied = bool(want) and not high and not low
    lists = (talk["entries"], *talk.get("alt", ()))
    missing, extra = min((compare_entries(ended.new, one, implied) for one in lists), key=_many)
    if "spread" in talk and ended.spread != talk["spread"]:
        missing = [*missing, {"spread": talk["spread"], "is": ended.spread}]
    lost = ended.taken_back and not talk.get("voids")
    is_open = bool(talk.get("open"))
    if is_open and any(one.ask for one in ended.replies) and not (extra or high or lost):
        missing, low = [], False
    asked = bool(ended.replies and ended.replies[-1].ask)
    if extra or high or lost:
        kind = "wrong log"
    elif missing or low:
        kind = "asked" if asked else "missed"
    elif talk.get("ask") and not asked and not is_open:
        kind = "should have asked"
    else:
        kind = "right"
    return Score(kind, tuple(missing), tuple(extra), high or low)


def compare_entries(
    new: Sequence[Row], wants: Sequence[Row], implied: bool
) -> tuple[list[Row], list[Row]]:
    """Return what is missing and what nobody said, by the largest pairing of entries and wishes."""
    owner: dict[int, int] = {}

    def place(wish: int, seen: set[int]) -> bool:
        for n, entry in enumerate(new):
            if n in seen or not _fits(entry, wants[wish]):
                continue
            seen.add(n)
            if n not in owner or place(owner[n], seen):
                owner[n] = wish
                return True
        return False

    placed = {n for n in range(len(wants)) if place(n, set())} & set(owner.values())
    missing = [wish for n, wish in enumerate(wants) if n not in placed]
    quiet = {"trip_start"} | (IMPLIED if implied else set())
    left = [one for n, one in enumerate(new) if n not in owner and one["act"] not in quiet]
    for wish in missing:  # an entry that only lacks a slot is missed, not wrong
        part = next((one for one in left if _fits(one, wish, lacking=True)), None)
        if part is not None:
            left.remove(part)
    return missing, left


def show(name: str, talk: Row, ended: EndState, scored: Score) -> None:
    """Print a conversation that did not come out right."""
    print(f"\n{scored.kind}: {name}")
    for (minute, who, text), meant, reply in zip(
        talk["lines"], talk["line_calls"], ended.replies, strict=True
    ):
        calls = "; ".join(map(_words, meant))
        print(
            f"   {minute:>4} {who}: {text}\n        = {calls}\n        > {reply.text.splitlines()}"
        )
    for word, rows in (("missing", scored.missing), ("not said", scored.extra)):
        for row in rows:
            print(f"   {word}: {_words(row)}")
    if scored.missing or scored.extra:
        print("   log:", "; ".join(map(_words, ended.new)))
    if scored.counts_differ:
        print("   counts", {name: ended.counts[name] for name in talk["counts"]}, talk["counts"])


def _words(row: Row) -> str:
    hidden = {"id", "trip", "source", "text", "crew", "at", "void"}
    return " ".join(
        f"{k}={v}" for k, v in row.items() if v not in (None, "", 0) and k not in hidden
    )


def _fits(entry: Row, want: Row, lacking: bool = False) -> bool:
    return all(_same(slot, entry.get(slot), value, lacking) for slot, value in want.items())


def _same(slot: str, got: Any, value: Any, lacking: bool) -> bool:
    if slot == "at":
        off = datetime.fromisoformat(str(got).replace("Z", "+00:00")) - SAID_FROM
        return bool(abs(off.total_seconds() / 60 - value) <= NEAR_MIN)
    empty = got in (None, "", 0)
    if value is None:
        return empty
    if empty or value == "*":
        return lacking or not empty
    if slot in ("colours", "old_colours"):
        return set(str(got).split()) == set(value.split() if isinstance(value, str) else value)
    return bool(got) is value if isinstance(value, bool) else _alike(slot, value, got)


def _alike(slot: str, value: Any, got: Any) -> bool:
    if isinstance(value, str):
        return value.casefold() == str(got).casefold()
    return same_value(slot, float(value), float(got))


def _many(found: tuple[Sequence[Row], Sequence[Row]]) -> int:
    return len(found[0]) + len(found[1])


def _shares(found: Counter[str]) -> str:
    many = found.total()
    return "  ".join(f"{kind} {found[kind] / many:6.1%}" for kind in KINDS) + f"  of {many}"
