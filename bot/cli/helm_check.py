"""What `doctor` says of the ear at the helm: microphone, wake phrase, voice. State and text for each."""

from bot.errors import DeckcallError, TransportMissing
from bot.settings import Settings

Found = tuple[str, str]


def microphone(found: Settings) -> Found:
    """Return which microphone would be opened, and which others there are."""
    from bot.transports.listen.sources import device_of, sound_devices

    try:
        sd = sound_devices()
    except TransportMissing as exc:
        return "note", str(exc)
    try:
        chosen = sd.query_devices(device=device_of(found.listen.microphone), kind="input")
        every = [one for one in sd.query_devices() if one["max_input_channels"]]
    except Exception as exc:  # PortAudio has an error of its own, which is known only once it loads
        return "note", f"none to be used ({' '.join(str(exc).split())})"
    others = [f"{one['index']} {one['name']}" for one in every if one["index"] != chosen["index"]]
    text = f"{chosen['index']} {chosen['name']}"
    return "ok", text + (f"; others: {', '.join(others)}" if others else "")


def wake_phrase(found: Settings) -> Found:
    """Return whether the phrase of the settings can be listened for."""
    from bot.build import open_language
    from bot.fittings import open_spotter

    try:
        open_spotter(found, open_language(found))
    except DeckcallError as exc:
        return "wrong", str(exc)
    return "ok", f'"{found.listen.wake}" opens the ear of deckcall listen'


def voice(found: Settings) -> Found:
    """Return what would read the replies."""
    from bot.transports.listen.aloud import open_voice

    if found.listen.voice == "off":
        return "ok", "off; replies are shown only"
    try:
        there = open_voice(found.listen.voice, found.home)
    except DeckcallError as exc:
        return "wrong", str(exc)
    if there is None:
        text = "none; install espeak-ng, or pip install piper-tts and a voice of it in voices/"
        return "note", text
    return "ok", type(there).__name__.lower().replace("espeak", "espeak-ng")
