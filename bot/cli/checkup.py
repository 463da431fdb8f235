"""`doctor`: look at the set-up and say, for each thing that is missing, what to do about it."""

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from importlib.util import find_spec
from typing import TYPE_CHECKING, Final

from bot.cli.options import Arguments
from bot.cli.shown import put_json
from bot.errors import DeckcallError, TransportMissing
from bot.replies.amounts import count
from bot.settings import Settings
from bot.settings.values import TOKEN_FILE, OutfitSettings
from bot.stamps import MEASURED_FIELDS
from bot.tackle.items import STRIKE_SHARE

if TYPE_CHECKING:
    from bot.instruments.fold import Instruments

LISTEN_FOR: Final = timedelta(seconds=3)
"""How long the instruments are listened to."""
LOW_DISK_BYTES = 200_000_000
USUAL_SHARE = (0.2, 0.4)
"""Strike drag as a share of the line class that nobody is asked about: a quarter to a third, with room."""


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was looked at."""

    name: str
    state: str
    """`ok`, `note` (works without it), or `wrong`."""
    text: str
    """What was found, and what to do."""


def doctor(args: Arguments, found: Settings) -> int:
    """Print every check; fails where one is wrong."""
    wrong = (Check("settings", "wrong", str(exc)) for exc in args.wrong)
    checks = (*wrong, *_all(found))
    if args.json:
        put_json({"checks": [{"name": c.name, "state": c.state, "text": c.text} for c in checks]})
    else:
        for check in checks:
            print(f"{check.state:5}  {check.name}: {check.text}")
    return 1 if any(check.state == "wrong" for check in checks) else 0


def _all(found: Settings) -> Iterator[Check]:
    looks: tuple[tuple[str, Callable[[Settings], Check]], ...] = (
        ("home", _home), ("disk", _disk), ("log", _log), ("copies", _copies),
        ("box", _box), ("boat", _boat), ("words", _words),
        ("ear", _ear), ("workers", _workers), ("sound", _sound), ("recordings", _recordings),
        ("telegram", _telegram), ("crew", _crew),
        ("web chat", _web), ("microphone", _microphone), ("wake phrase", _wake), ("voice", _voice),
        ("instruments", _instruments),
    )  # fmt: skip
    for name, look in looks:
        try:
            yield look(found)
        except (DeckcallError, OSError, ImportError) as exc:
            yield Check(name, "wrong", " ".join(str(exc).split()))


def _instruments(found: Settings) -> Check:
    if not found.instruments.kind:
        return Check(
            "instruments", "note",
            "none; with [instruments] kind in deckcall.toml entries carry place, speed and water",
        )  # fmt: skip
    is_well, text = heard_now(found)
    return Check("instruments", "ok" if is_well else "wrong", text)


def _home(found: Settings) -> Check:
    home = found.home
    home.mkdir(parents=True, exist_ok=True)
    if not os.access(home, os.W_OK):
        return Check(
            "home", "wrong", f"{home} cannot be written; set DECKCALL_HOME to another folder"
        )
    file = home / "deckcall.toml"
    return Check(
        "home", "ok", f"{home}, settings {'from ' + file.name if file.exists() else 'by default'}"
    )


def _disk(found: Settings) -> Check:
    free = shutil.disk_usage(found.home).free
    state = "ok" if free > LOW_DISK_BYTES else "wrong"
    advice = "" if state == "ok" else "; make room, or calls will wait and not be logged"
    return Check("disk", state, f"{free / 1e9:.1f} GB free{advice}")


def _log(found: Settings) -> Check:
    from bot.logbook.keeping import look_at
    from bot.logbook.store import FILE, Logbook

    with Logbook.open(found.home) as logbook:
        trips = len(logbook.trips())
    look_at(found.home / FILE)
    return Check("log", "ok", f"{found.home / FILE}, {count(trips, 'trip')}")


def _copies(found: Settings) -> Check:
    from bot.logbook.backups import copies
    from bot.logbook.keeping import look_at

    newest = next(iter(copies(found.home)), None)
    if newest is None:
        text = "none yet; one is made at each end of a trip, and by deckcall backup"
        return Check("copies", "note", text)
    held = look_at(newest)
    return Check(
        "copies",
        "ok",
        f"{newest}, checked: {count(held.trips, 'trip')}, {count(held.entries, 'entry')}",
    )


def _box(found: Settings) -> Check:
    from bot.logbook.store import Logbook

    with Logbook.open(found.home) as logbook:
        lures = logbook.lures()
    if not lures:
        return Check(
            "box", "note", "empty; deckcall box import FILE.csv teaches lure names and advice"
        )
    ready = sum(lure.ready for lure in lures)
    return Check("box", "ok", f"{len(lures)} lures, {ready} ready")


def _boat(found: Settings) -> Check:
    if found.boat.timezone == "UTC":
        text = 'times are UTC; set [boat] timezone = "Pacific/Auckland" or yours in deckcall.toml'
        return Check("boat", "note", text)
    if not found.outfits:
        text = f"{found.boat.timezone}; no [[outfit]], so there are no tackle rules to check"
        return Check("boat", "note", text)
    text = f"{found.boat.timezone}, {len(found.outfits)} outfits"
    odd = [words for outfit in found.outfits if (words := _odd_drag(outfit))]
    if odd:
        how = "a quarter to a third of the line is usual; deckcall setup takes 80 lb and 24 lb as such"
        return Check("boat", "note", f"{text}; {'; '.join(odd)}: {how}")
    return Check("boat", "ok", text)


def _odd_drag(outfit: OutfitSettings) -> str:
    """Return what is unusual about a strike drag, in words; empty where it is of the usual share."""
    line_kg = outfit.line_class_kg
    drag_kg = line_kg * STRIKE_SHARE if outfit.strike_drag_kg is None else outfit.strike_drag_kg
    share = drag_kg / line_kg
    if USUAL_SHARE[0] <= share <= USUAL_SHARE[1]:
        return ""
    of = f"{100 * share:.0f} % of its {line_kg:g} kg line"
    return f"{outfit.position}: strike drag {drag_kg:.1f} kg is {of}"


def _words(found: Settings) -> Check:
    from bot.fittings import clashes
    from bot.logbook.store import Logbook

    with Logbook.open(found.home) as logbook:
        lures = logbook.lures()
    said = clashes(found, lures)
    if not said:
        return Check("words", "ok", "no word of the boat means something else")
    return Check("words", "note", "; ".join(said))


def _ear(found: Settings) -> Check:
    """Return which engine hears, and load all that it listens with."""
    from bot.speech.models import choose_hearing

    used = choose_hearing(found.speech.engine, found.speech.model, found.home)
    if used.engine == "whisper":
        said = _whisper(found)
    elif find_spec(used.engine) is None:
        said = Check(
            "ear", "wrong", f"{used.engine} is not installed; run: pip install {used.engine}"
        )
    elif used.engine == "pocketsphinx":
        cost = "9.2 of 100 calls right at the first, where Whisper's ears have 83.6"
        said = Check("ear", "note", f"pocketsphinx with the model that it brings: {cost}")
    else:
        said = _vosk(found)
    return Check("ear", "wrong", f"{used.trouble}; meanwhile {said.text}") if used.trouble else said


def _whisper(found: Settings) -> Check:
    """Load all its ears: each that is missing costs something, and is named with that."""
    from bot.cli.ears_check import ears

    if find_spec("ctranslate2") is None:
        return Check("ear", "wrong", "ctranslate2 is not installed; run: pip install ctranslate2")
    looked = ears(found)
    there = ", ".join(one.name for one in looked if one.is_there)
    missing = "; ".join(f"{one.name} {one.text}" for one in looked if not one.is_there)
    if not missing:
        return Check("ear", "ok", f"whisper; loaded: {there}")
    state = "note" if looked[0].is_there else "wrong"
    return Check("ear", state, f"whisper; loaded: {there or 'nothing'}; {missing}")


def _vosk(found: Settings) -> Check:
    """Load the model and look for words of the boat that it lacks: what has them cannot be heard."""
    from bot.build import open_language
    from bot.fittings import ear_grammar
    from bot.speech.models import find_model
    from bot.speech.vosk_engine import VoskEngine

    folder = find_model(found.speech.model, found.home)
    engine = VoskEngine(folder or found.home)
    engine.prepare(ear_grammar(open_language(found)))
    if engine.left_out:
        few = ", ".join(engine.left_out[:8]) + (", ..." if len(engine.left_out) > 8 else "")
        text = (
            f"vosk with {folder}; it lacks, and will not hear: {few}; a nickname in [words] helps"
        )
        return Check("ear", "note", text)
    return Check("ear", "ok", f"vosk with {folder}")


def _workers(found: Settings) -> Check:
    from bot.speech.workers import SPARE_MB, spare_memory_mb

    said = found.speech
    text = (
        f"{said.workers} at once, {said.queue} may wait, given up after {said.give_up_s:g} s,"
        f" {said.max_s:g} s long at most"
    )
    spare = spare_memory_mb()
    if said.workers > 1 and spare is not None and spare < SPARE_MB:
        return Check("workers", "note", f"{text}; {spare} MB are free, so one does all the work")
    return Check("workers", "ok", text)


def _recordings(found: Settings) -> Check:
    from bot.logbook.recordings import recordings
    from bot.logbook.store import Logbook

    with Logbook.open(found.home) as logbook:
        there = recordings(logbook)
    size_mb = sum(one.path.stat().st_size for one in there) / 1e6
    days = found.speech.keep_days
    text = f"{len(there)}, {size_mb:.1f} MB, " + (f"kept {days} days" if days else "none is kept")
    if waits := sum(one.waits for one in there):
        return Check("recordings", "note", f"{text}; {waits} not heard yet: deckcall hear --retry")
    return Check("recordings", "ok", text)


def _sound(_found: Settings) -> Check:
    import soundfile

    known = soundfile.available_formats()
    if "OGG" not in known or "OPUS" not in soundfile.available_subtypes("OGG"):
        text = "this libsndfile reads no OGG/Opus, so no voice messages; pip install -U soundfile"
        return Check("sound", "wrong", text)
    return Check("sound", "ok", f"libsndfile {soundfile.__libsndfile_version__} reads OGG/Opus")


def _telegram(found: Settings) -> Check:
    if not found.telegram.token:
        text = (
            "no token; make a bot with BotFather, then give its token to deckcall setup, which keeps it in"
            f" {TOKEN_FILE}, or set DECKCALL_TELEGRAM_TOKEN"
        )
        return Check("telegram", "note", text)
    return Check("telegram", "ok", f"a token is set, {found.telegram.api}")


def _crew(found: Settings) -> Check:
    if found.telegram.token and not found.telegram.crew:
        text = "nobody is let in; set DECKCALL_CREW to the ids of your chats, or deckcall telegram --pair"
        return Check("crew", "note", text)
    return Check("crew", "ok", f"{len(found.telegram.crew)} chats or users may talk to the bot")


def _web(_found: Settings) -> Check:
    if any(find_spec(name) is None for name in ("aiohttp", "segno")):
        return Check("web chat", "note", "not installed; run: pip install deckcall once more")
    return Check("web chat", "ok", "installed")


def heard_now(found: Settings) -> tuple[bool, str]:
    """Return whether anything useful is heard of the instruments, and what.

    As the bot that runs hears them, else as they are heard now.
    """
    from bot.instruments.feed import known_now

    known, now = known_now(found.home), datetime.now(UTC)
    if known is None or not _names(known, now):
        try:
            known = _listen(found)
        except (OSError, DeckcallError) as exc:
            return (
                False,
                f"{exc}; look at [instruments] in deckcall.toml, the cable and the network",
            )
    names = _names(known, datetime.now(UTC))
    lost = ", ".join(f"{many} {why}" for why, many in known.dropped.items() if why != "not used")
    dropped = f"; dropped: {lost}" if lost else ""
    if not names:
        return False, f"nothing that can be used is heard{dropped}; are they switched on?"
    return True, f"{', '.join(names)}{dropped}"


def _listen(found: Settings) -> "Instruments":
    from bot.build import open_feed_lines
    from bot.instruments.fold import Instruments

    known, until = Instruments(), datetime.now(UTC) + LISTEN_FOR
    for line in open_feed_lines(found):
        now = datetime.now(UTC)
        if line:
            known = known.take(line, now)
        if now >= until:
            break
    return known


def _names(known: "Instruments", now: datetime) -> list[str]:
    fix = known.fix(now)
    there = ["place"] if fix.place is not None else []
    return there + [name for name in MEASURED_FIELDS if getattr(fix.stamp, name) is not None]


def _microphone(found: Settings) -> Check:
    """Return which microphone would be opened, and which others there are."""
    from bot.transports.listen.sources import device_of, sound_devices

    try:
        sd = sound_devices()
    except TransportMissing as exc:
        return Check("microphone", "note", str(exc))
    try:
        chosen = sd.query_devices(device=device_of(found.listen.microphone), kind="input")
        every = [one for one in sd.query_devices() if one["max_input_channels"]]
    except Exception as exc:  # PortAudio has an error of its own, which is known only once it loads
        return Check("microphone", "note", f"none to be used ({' '.join(str(exc).split())})")
    others = [f"{one['index']} {one['name']}" for one in every if one["index"] != chosen["index"]]
    text = f"{chosen['index']} {chosen['name']}"
    return Check("microphone", "ok", text + (f"; others: {', '.join(others)}" if others else ""))


def _wake(found: Settings) -> Check:
    """Return whether the phrase of the settings can be listened for."""
    from bot.build import open_language
    from bot.fittings import open_spotter

    try:
        open_spotter(found, open_language(found))
    except DeckcallError as exc:
        return Check("wake phrase", "wrong", str(exc))
    return Check("wake phrase", "ok", f'"{found.listen.wake}" opens the ear of deckcall listen')


def _voice(found: Settings) -> Check:
    """Return what would read the replies."""
    from bot.transports.listen.aloud import open_voice

    if found.listen.voice == "off":
        return Check("voice", "ok", "off; replies are shown only")
    try:
        there = open_voice(found.listen.voice, found.home)
    except DeckcallError as exc:
        return Check("voice", "wrong", str(exc))
    if there is None:
        text = "none; install espeak-ng, or pip install piper-tts and a voice of it in voices/"
        return Check("voice", "note", text)
    return Check("voice", "ok", type(there).__name__.lower().replace("espeak", "espeak-ng"))
