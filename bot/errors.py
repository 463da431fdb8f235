"""What can go wrong with the installation or the set-up. A person's mistakes are values, not these.

DeckcallError
├── SettingsError      a key of deckcall.toml or of the environment
├── GrammarError       a file of grammar/, with file and line
├── TackleError        a tackle box that cannot be read
├── AudioError         a recording that cannot be decoded
├── EngineError        speech-to-text
│   ├── EngineMissing  its package is not installed
│   ├── ModelMissing   its model is not where it was said to be
│   ├── EngineBusy     too many recordings wait already
│   └── GivenUp        it took too long over a recording, or broke on it
├── TransportError     a way in or out that does not work
│   └── TransportMissing   its extra is not installed
└── LogbookError       the log cannot be opened, read or written

Each message says what is wrong, where, and what to do, in one line.
"""


class DeckcallError(Exception):
    """Anything that the program explains in one line and then ends with exit code 1."""


class SettingsError(DeckcallError):
    """A setting is missing or wrong."""


class GrammarError(DeckcallError):
    """A grammar file is wrong; the message names file and line."""


class TackleError(DeckcallError):
    """A tackle box cannot be read."""


class AudioError(DeckcallError):
    """A recording cannot be used: corrupt, empty, silent or too long."""


class EngineError(DeckcallError):
    """Speech-to-text does not work."""


class EngineMissing(EngineError):
    """The engine's package is not installed."""


class ModelMissing(EngineError):
    """The engine's model is not where it should be."""


class EngineBusy(EngineError):
    """Too many recordings wait to be heard: another one is not taken."""


class GivenUp(EngineError):
    """A recording took too long to be heard, or what hears broke on it."""


class TransportError(DeckcallError):
    """A way in or out does not work."""


class TransportMissing(TransportError):
    """The extra that this way needs is not installed."""


class LogbookError(DeckcallError):
    """The log cannot be opened, read or written."""
