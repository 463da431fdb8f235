"""The one table of acts: what each may carry, what it does to the log, and what it is called.

One row an act. What depends on an act by data is read from its row; what depends on it by behaviour is a
`match` over the acts of a kind, a stage or a form that ends in `assert_never`, so that mypy names the
places where a new one must be thought of. To add an act: its name in the Literal of its kind, its row
here, its wordings in `grammar/calls.toml`. Pure; knows no words, no trip.
"""

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field
from typing import Final, Literal, get_args

FishAct = Literal[
    "raise", "strike", "hookup", "leader", "miss", "pulled_hook", "break_off", "boat", "release"
]
LineAct = Literal["lines_in", "lines_out", "set", "clear", "swap", "angler", "drag"]
LureAct = Literal["ready", "rework", "tray"]
BoatAct = Literal[
    "trip_start", "trip_end", "sighting", "bait", "mark", "speed", "water", "conditions", "note",
    "emergency",
]  # fmt: skip
QuestionAct = Literal[
    "plan", "ask_tally", "ask_spread", "ask_next", "ask_why", "ask_last", "ask_ready", "ask_sun",
    "ask_drag", "ask_fish", "help",
]  # fmt: skip
ControlAct = Literal["undo", "amend", "yes", "no"]

Act = FishAct | LineAct | LureAct | BoatAct | QuestionAct | ControlAct

Kind = Literal["fish", "line", "lure", "boat", "question", "control"]
"""`question` reads the log and changes nothing; `control` is about earlier entries or a question."""
Stage = Literal["raised", "struck", "on", "leader", "missed", "lost", "caught"]
"""The stage of a fish after the act; the last three end its encounter."""
Form = Literal[
    "bite", "leader", "ending", "began", "ended", "fishing", "stopped", "set", "clear",
    "swap", "lure", "seen", "mark", "speed", "water", "text", "trouble", "plain",
]  # fmt: skip
"""How its line in a reply is written; `plain` is its label with every slot that was said."""


@dataclass(frozen=True, slots=True)
class Row:
    """What the program knows of one act."""

    act: Act
    kind: Kind
    takes: frozenset[str] = frozenset()
    """Slots that it may carry."""
    needs: tuple[str, ...] = ()
    """Slots without which a wording is not yet a call; `a|b` is one of several."""
    _: KW_ONLY
    label: str
    """Its name beside an entry: "strike", "hooked up"."""
    aloud: str = ""
    """How the spoken reply begins; empty: the label."""
    asked: str = ""
    """Its name in a question put back to the crew; empty: the label."""
    stage: Stage | None = None
    """Its stage in the life of a fish."""
    form: Form = "plain"
    joins: bool = False
    """True where the same said by two of the crew within a minute is one event."""
    tells_time: bool = False
    """True where its line shows its time even when it was said at once."""
    places: bool = False
    """True where it changes what hangs on a line: a plan or advice offered before is then out of date."""
    needs_lines: bool = False
    """True where it is odd while no line is in."""
    reads: Mapping[str, str] = field(default_factory=dict)
    """Slot of a phrase -> the slot that it fills here: kilos are the drag, inches of a fish its length."""
    lays: bool = False
    """True where a lure goes out on a line."""
    keeps: bool = False
    """True where the fish is kept; False where it is let go."""
    loses_lure: bool = False
    """True where the lure of the line is lost with it."""
    afterwards: bool = False
    """True where it may belong to a trip that ended a while ago."""

    @property
    def is_entry(self) -> bool:
        """Return whether it becomes an entry of the log."""
        return self.kind not in ("question", "control")

    @property
    def names_lure(self) -> bool:
        """Return whether it may say which lure."""
        return "colours" in self.takes


_LURE = frozenset({"colours", "size_in", "lure", "head"})
_OLD = frozenset({"old_colours", "old_size_in", "old_lure"})
_TIME = frozenset({"side", "ago_min", "clock"})
_PLACE = frozenset({"position"})
_FISH = frozenset({"species", "count"})
_MEASURED = frozenset({"length_cm", "weight_kg"})
_ANGLER = frozenset({"angler"})
_BITE = _PLACE | _LURE | _FISH | _TIME
_LOSS = _PLACE | _ANGLER | _TIME | {"species"}
_CATCH = _PLACE | _FISH | _MEASURED | _ANGLER | _TIME
_ASKED = _PLACE | _LURE | _ANGLER | _TIME | {"about", "species", "tray"}
_ANY = _BITE | _CATCH | _ASKED | frozenset(
    "what text tagged tag speed_kn water_c depth_m drag_kg wind_kn wind_from sea_m".split()
)  # fmt: skip
_SEA = {"speed_kn": "wind_kn", "length_cm": "sea_m"}

ROWS: Final[tuple[Row, ...]] = (
    # The trip and the lines
    Row("trip_start", "boat", _TIME, label="trip start", aloud="trip started", form="began",
        tells_time=True, joins=True),
    Row("trip_end", "boat", _TIME, label="trip end", aloud="trip ended", form="ended", tells_time=True,
        joins=True, afterwards=True),
    Row("lines_in", "line", _TIME, label="lines in", form="fishing", tells_time=True, joins=True),
    Row("lines_out", "line", _TIME, label="lines out", form="stopped", tells_time=True, joins=True,
        places=True),
    Row("set", "line", _PLACE | _LURE | _TIME, ("position", "lure"), label="set", form="set", lays=True,
        joins=True, places=True),
    Row("clear", "line", _PLACE | _TIME, ("position",), label="clear", aloud="cleared", form="clear",
        joins=True, places=True),
    Row("swap", "line", _PLACE | _LURE | _OLD | _TIME, ("position|old|lure",), label="swap", form="swap",
        lays=True, joins=True, places=True),
    Row("angler", "line", _PLACE | _ANGLER | _TIME, ("angler",), label="on the rod",
        reads={"text": "angler"}, joins=True),
    Row("drag", "line", _PLACE | _TIME | {"drag_kg"}, ("drag_kg",), label="drag",
        reads={"weight_kg": "drag_kg"}),
    # Fish
    Row("raise", "fish", _BITE, label="raised", stage="raised", form="bite", joins=True),
    Row("strike", "fish", _BITE | _ANGLER, label="strike", stage="struck", form="bite", joins=True,
        needs_lines=True),
    Row("hookup", "fish", _BITE | _ANGLER, label="hooked up", stage="on", form="bite", joins=True,
        needs_lines=True),
    Row("leader", "fish", _LOSS, label="leadered", stage="leader", form="leader", joins=True),
    Row("miss", "fish", _PLACE | _ANGLER | _TIME, label="missed", stage="missed", form="ending",
        joins=True),
    Row("pulled_hook", "fish", _LOSS, label="pulled hook", stage="lost", form="ending", joins=True),
    Row("break_off", "fish", _LOSS, label="broken off", stage="lost", form="ending", joins=True,
        loses_lure=True),
    Row("boat", "fish", _CATCH, label="boated", stage="caught", keeps=True, reads={"size_in": "length_cm"},
        form="ending", joins=True),
    Row("release", "fish", _CATCH | {"tagged", "tag"}, label="released", stage="caught",
        reads={"size_in": "length_cm"}, form="ending", joins=True),
    # What is seen, measured and kept
    Row("sighting", "boat", _FISH | _TIME | {"what"}, label="seen", form="seen",
        joins=True),
    Row("bait", "boat", _FISH | _TIME | {"text", "size_in"}, ("text|species",), label="bait", joins=True,
        reads={"prey": "species"}, afterwards=True),
    Row("mark", "boat", _TIME | {"text"}, label="mark", asked="mark this spot", aloud="marked", form="mark",
        tells_time=True, afterwards=True),
    Row("speed", "boat", _TIME | {"speed_kn"}, ("speed_kn",), label="speed", form="speed"),
    Row("water", "boat", _TIME | {"water_c", "depth_m", "what"}, ("water_c|depth_m",), label="water",
        form="water"),
    Row("conditions", "boat", _TIME | {"wind_kn", "wind_from", "sea_m", "text"},
        ("wind_kn|wind_from|sea_m|text",), label="conditions", reads=_SEA),
    Row("note", "boat", frozenset({"text"}), ("text",), label="note", aloud="noted", form="text",
        afterwards=True),
    Row("emergency", "boat", _TIME | {"what"}, label="emergency", form="trouble", joins=True,
        afterwards=True),
    # Lures at hand
    Row("ready", "lure", _LURE, ("lure",), label="ready", form="lure", afterwards=True),
    Row("rework", "lure", _LURE | {"text"}, ("lure",), label="to rework", asked="needs work", form="lure",
        afterwards=True),
    Row("tray", "lure", _LURE | _PLACE | {"tray", "text"}, ("tray",), label="tray", reads={"text": "tray"},
        afterwards=True),
    # Questions
    Row("plan", "question", frozenset({"tackle", "speed_kn", "species", "tray", "text"}),
        label="plan a spread"),
    Row("ask_tally", "question", _ASKED, label="tally"),
    Row("ask_spread", "question", _ASKED - {"about"}, label="the spread"),
    Row("ask_next", "question", _ASKED - {"about", "angler"}, label="next change"),
    Row("ask_why", "question", _ASKED - {"about"}, label="why"),
    Row("ask_last", "question", _ASKED, label="the last one"),
    Row("ask_ready", "question", _PLACE | _LURE | {"tray", "species"}, label="what is ready"),
    Row("ask_sun", "question", _TIME, label="sun times"),
    Row("ask_drag", "question", _PLACE | _TIME, label="the drag"),
    Row("ask_fish", "question", _ASKED | {"count"}, label="the fish"),
    Row("help", "question", label="help"),
    # About earlier entries, or a question
    Row("undo", "control", _TIME, label="undo"),
    Row("amend", "control", _ANY, label="correction", asked="correction"),
    Row("yes", "control", label="yes"),
    Row("no", "control", label="no"),
)  # fmt: skip

TABLE: Final[Mapping[str, Row]] = {row.act: row for row in ROWS}
"""The row of an act."""
ACTS: Final[tuple[Act, ...]] = tuple(row.act for row in ROWS)
TAKES: Final[Mapping[str, frozenset[str]]] = {row.act: row.takes for row in ROWS}
"""The slots that an act may carry."""


def _of_kind(*kinds: Kind) -> frozenset[str]:
    return frozenset(row.act for row in ROWS if row.kind in kinds)


def _at_stage(*stages: Stage) -> frozenset[str]:
    return frozenset(row.act for row in ROWS if row.stage in stages)


QUESTIONS: Final = _of_kind("question")
"""Acts that read the log and change nothing in it."""
CONTROL: Final = _of_kind("control")
"""Acts about earlier entries or a question; not entries themselves."""
LOGGED: Final = frozenset(row.act for row in ROWS if row.is_entry)
"""Acts that become an entry of the log."""

FISH_ACTS: Final = frozenset(row.act for row in ROWS if row.stage is not None)
"""Acts in the life of a fish."""
BITES: Final = _at_stage("raised", "struck", "on")
"""Acts of a fish at a lure, which may say which lure."""
CAUGHT: Final = _at_stage("caught")
LOST: Final = _at_stage("lost")
MISSED: Final = _at_stage("missed")
ENDINGS: Final = _at_stage("missed", "lost", "caught")
"""Acts that end an encounter."""
LAYING: Final = frozenset(row.act for row in ROWS if row.lays)
"""Acts that put a lure out on a line."""
PLACING: Final = frozenset(row.act for row in ROWS if row.places)
"""Acts that change what hangs on a line."""


STRIKE: Final = "strike"
SET: Final = "set"
CLEAR: Final = "clear"
BREAK_OFF: Final = "break_off"
RELEASE: Final = "release"
HOOKUP: Final = "hookup"
SWAP: Final = "swap"
ANGLER: Final = "angler"
AMEND: Final = "amend"
UNDO: Final = "undo"
NOTE: Final = "note"
MISS: Final = "miss"
PULLED: Final = "pulled_hook"
"""It was on and came off, where nobody said how."""
PLAN: Final = "plan"
"""The question for a spread; whoever runs a tray asks for one that goes out at once."""
BAIT: Final = "bait"
LINES_IN: Final = "lines_in"
LINES_OUT: Final = "lines_out"
TRIP_END: Final = "trip_end"
TRIP_START: Final = "trip_start"
SPEED: Final = "speed"
CONDITIONS: Final = "conditions"
TRAY: Final = "tray"
SIGHTING: Final = "sighting"
ASK_FISH: Final = "ask_fish"
READY: Final = "ready"
REWORK: Final = "rework"
ASK_LAST: Final = "ask_last"
ASK_NEXT: Final = "ask_next"
ASK_TALLY: Final = "ask_tally"
ASK_SPREAD: Final = "ask_spread"
"""The question what is out, and where."""
ASK_READY: Final = "ask_ready"
"""The question what is ready, in the box or in a tray."""


def _unlisted() -> frozenset[str]:
    kinds = (FishAct, LineAct, LureAct, BoatAct, QuestionAct, ControlAct)
    return frozenset(act for kind in kinds for act in get_args(kind)) ^ frozenset(ACTS)


if _unlisted():  # a name without a row, or a row without a name
    raise TypeError(f"bot/trip/acts.py: no row, or no name, for {', '.join(sorted(_unlisted()))}")
