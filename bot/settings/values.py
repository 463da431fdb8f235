"""The settings as values, with their defaults and what may be chosen.

Frozen and plain; how they are read is the business of `load`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from bot.advice.data import Wishes
from bot.reminders.wanted import NOTHING, Reminders
from bot.settings.zone import machine_zone
from bot.spread.weights import DEFAULT_WEIGHTS, Weights
from bot.tackle.items import USUAL_KN

FILE_NAME: Final = "deckcall.toml"
TOKEN_FILE: Final = "telegram.token"
TELEGRAM_API: Final = "https://api.telegram.org"
ENGINES: Final = ("auto", "whisper", "vosk", "pocketsphinx")
POSITIONS: Final = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")
INSTRUMENT_KINDS: Final = ("udp", "tcp", "serial")
UNITS: Final = ("metric", "imperial")
HOOK_GAUGES: Final = ("light", "medium", "heavy")
SPOOL_MM: Final = {"full_radius_mm": 500, "arbor_radius_mm": 500, "width_mm": 500, "line_mm": 5}
"""What a spool is measured by, and the most that can be meant."""
WORD_KINDS: Final = ("colours", "species", "positions", "nicknames")
OPTIONS: Final = ("home", "engine", "model", "timezone", "token_file")
"""What the command line may set."""

Forms = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class SpoolSettings:
    """The spool of a reel, measured inside its flanges, and the diameter of its line, in millimetres."""

    full_radius_mm: float
    arbor_radius_mm: float
    width_mm: float
    line_mm: float


@dataclass(frozen=True, slots=True)
class OutfitSettings:
    """One rod: where it stands and what its tackle may carry."""

    position: str
    line_class_kg: float
    strike_drag_kg: float | None = None
    """None: 30 % of the line class."""
    line_m: float | None = None
    hook_gauge: str | None = None
    """None: by line class."""
    double_m: float | None = None
    """Length of the double line."""
    spool: "SpoolSettings | None" = None


@dataclass(frozen=True, slots=True)
class BoatSettings:
    """The boat itself."""

    name: str = ""
    timezone: str = field(default_factory=machine_zone)
    """By its name (IANA); the machine's own where none is set."""
    positions: tuple[str, ...] = POSITIONS
    place: tuple[float, float] | None = None
    """Latitude and longitude in degrees, north and east positive; for sun times."""
    crew: tuple[str, ...] = ()
    """Names of the crew; the first speaks on the terminal and at the helm."""
    usual_kn: float = USUAL_KN
    """The speed at which lures are towed where none was called."""
    units: str = ""
    """`metric` or `imperial` (pounds, feet, degrees Fahrenheit); empty: as the box was written."""

    @property
    def zone(self) -> ZoneInfo:
        """Return the boat's own time."""
        return ZoneInfo(self.timezone)


@dataclass(frozen=True, slots=True)
class WordSettings:
    """The boat's own words: what is meant, and how it is said."""

    colours: Forms = field(default_factory=dict)
    species: Forms = field(default_factory=dict)
    positions: Forms = field(default_factory=dict)
    nicknames: Forms = field(default_factory=dict)
    """Lures of the box by the names that the crew has for them."""


@dataclass(frozen=True, slots=True)
class SpeechSettings:
    """The ear."""

    engine: str = "auto"
    model: Path | None = None
    """Folder of a Vosk model; None: the one that `deckcall model get` has fetched, if any."""
    keep_days: int = 30
    """How long recordings are kept; 0: only those that wait to be heard once more."""
    max_s: float = 60.0
    """A recording that is longer is refused."""
    workers: int = 1
    """Most processes that hear recordings, each with the model in memory; started when needed."""
    queue: int = 20
    """Most recordings that may wait for them; those that come then are kept and not heard."""
    give_up_s: float = 30.0
    """A recording that is not heard in this time is given up and kept."""
    learn: bool = True
    """Whether what the crew is used to saying makes it likelier to be heard."""


@dataclass(frozen=True, slots=True)
class TelegramSettings:
    """The way in and out by Telegram."""

    token: str | None = field(default=None, repr=False)
    api: str = TELEGRAM_API
    crew: tuple[int, ...] = ()
    """Chats (groups) and users that may talk to the bot; empty: nobody."""
    skippers: tuple[int, ...] = ()
    """Users of the crew who may also void what others logged and take exports; empty: everybody."""
    guests: tuple[int, ...] = ()
    """Users who may only ask."""
    boats: Mapping[int, Path] = field(default_factory=dict)
    """Groups with a log of their own: chat id to the folder of that boat."""
    workers: int = 2
    """Processes that share the boats; each boat stays with one."""
    acknowledge: str = "reply"
    """`reply`, or `reaction` where a plain entry needs no words."""
    board: bool = True
    """Keep one pinned message for each trip up to date."""
    max_file_mb: float = 5.0


@dataclass(frozen=True, slots=True)
class ServeSettings:
    """The web chat on the boat's own network."""

    host: str = "127.0.0.1"
    port: int = 8765
    cert: Path | None = None
    """Certificate file (PEM); with it the page is secure and a browser gives the microphone."""
    key: Path | None = None
    """Its key file, where that is not in the same file."""
    secure: bool = False
    """Without a certificate file: make one of the boat's own, which each phone is asked to trust."""


@dataclass(frozen=True, slots=True)
class ListenSettings:
    """The ear at the helm."""

    wake: str = "barnacle biscuit"
    """The phrase that opens it."""
    strictness: float = 1.0
    """How well it must fit: higher wakes less often where nobody said it, and where somebody did."""
    open_s: float = 6.0
    """How long a call may take to begin."""
    pause_s: float = 0.8
    """Silence that ends a call."""
    microphone: str = ""
    """Number of the device, or a part of its name; empty: the system's own choice."""
    loudspeaker: str = ""
    voice: str = "auto"
    """`auto`, `off`, `espeak-ng`, or the file of a Piper voice, from the home folder."""
    tones: bool = True


@dataclass(frozen=True, slots=True)
class KeepingSettings:
    """How the log is kept safe."""

    backups: int = 7
    """Copies that lie beside the log, one made at each end of a trip; 0 makes none by itself."""


@dataclass(frozen=True, slots=True)
class InstrumentSettings:
    """Where the boat's instruments are heard (NMEA 0183)."""

    kind: str = ""
    """`udp`, `tcp` or `serial`; empty: no instruments."""
    host: str = ""
    port: int = 10110
    """As IANA has it for nmea-0183."""
    device: str = ""
    baud: int = 4800
    track: bool = True
    """Keep where the boat goes, in the log."""


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything that can be set."""

    home: Path
    boat: BoatSettings = field(default_factory=BoatSettings)
    outfits: tuple[OutfitSettings, ...] = ()
    words: WordSettings = field(default_factory=WordSettings)
    advice: Wishes = field(default_factory=Wishes)
    speech: SpeechSettings = SpeechSettings()
    telegram: TelegramSettings = field(default_factory=TelegramSettings)
    serve: ServeSettings = ServeSettings()
    plan: Weights = DEFAULT_WEIGHTS
    keeping: KeepingSettings = KeepingSettings()
    instruments: InstrumentSettings = InstrumentSettings()
    listen: ListenSettings = ListenSettings()
    reminders: Reminders = NOTHING

    @property
    def homes(self) -> tuple[Path, ...]:
        """Return the folders of all boats, this one's first."""
        return tuple(dict.fromkeys((self.home, *self.telegram.boats.values())))
