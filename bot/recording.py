"""What is a recording: by the name of its file, by its media type, by the mark it begins with.

The one place that says so, for every transport, the log and the ear. Knows nothing of speech. Pure.
"""

from typing import Final, NamedTuple


class Format(NamedTuple):
    """One kind of file that holds sound."""

    suffixes: tuple[str, ...]
    marks: tuple[tuple[int, bytes], ...]
    """Where a mark stands in the file, and the mark."""
    demuxer: str = ""
    """FFmpeg's name of the container, for those that phones' own recorders write; empty for others."""
    called: str = ""
    """What people call such a container."""


FORMATS: Final = (
    Format((".wav",), ((0, b"RIFF"), (0, b"RF64"))),
    Format((".flac",), ((0, b"fLaC"),)),
    Format((".ogg", ".oga", ".opus"), ((0, b"OggS"),)),
    Format((".mp3",), ((0, b"ID3"), (0, b"\xff\xfb"), (0, b"\xff\xf3"), (0, b"\xff\xf2"))),
    Format((".m4a", ".3gp", ".3gpp"), ((4, b"ftyp"),), "mov", "an M4A or MP4"),
    Format((".webm", ".weba"), ((0, b"\x1a\x45\xdf\xa3"),), "matroska", "a WebM"),
    Format((".amr",), ((0, b"#!AMR"),), "amr", "an AMR"),
    Format((".caf",), ((0, b"caff"),), "caf", "a CAF"),
)
"""Files that hold a call. A clip (MP4, MOV) is no recording by its name: it is sent for its picture."""
SUFFIXES: Final = tuple(suffix for kind in FORMATS for suffix in kind.suffixes)
MEDIA_TYPES: Final = ("application/ogg", "video/3gpp", "video/webm")
"""What phones and messengers say of sound beside `audio/...`."""


def is_recording(name: str, media_type: str = "") -> bool:
    """Return whether a file may hold a call, by its name or by what was said of it."""
    kind = media_type.casefold()
    known = kind.startswith("audio/") or kind in MEDIA_TYPES
    return known or name.casefold().endswith(SUFFIXES)


def format_of(data: bytes) -> Format | None:
    """Return the format of a file by its mark, or None for one that is not known."""
    return next(
        (one for one in FORMATS for at, mark in one.marks if data[at : at + len(mark)] == mark),
        None,
    )
