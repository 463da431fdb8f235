"""Places of the log as GPX 1.1: a waypoint for each entry, a track for each trip. Written by gpxpy."""

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Final

import gpxpy.gpx as gpx

from bot.stamps import Fix

_NO_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 cannot hold (section 2.2)."""


GAP: Final = timedelta(minutes=10)
"""A track that says nothing for longer goes on in another segment."""


def to_gpx(
    points: Sequence[Mapping[str, Any]],
    boat: str,
    tracks: Mapping[str, Sequence[Fix]] = MappingProxyType({}),
) -> str:
    """Write entries; each has `latitude` and `longitude` beside its columns. `tracks` by trip."""
    made = gpx.GPX()
    made.creator = "deckcall"
    made.name = _text(boat) or None
    in_order = sorted(points, key=lambda one: (one["at"], one["id"]))
    for one in in_order:
        made.waypoints.append(_waypoint(one))
    for trip in dict.fromkeys([*(one["trip"] for one in in_order), *tracks]):
        track = gpx.GPXTrack(name=_text(trip))
        entries = [
            gpx.GPXTrackPoint(*_place(one["latitude"], one["longitude"]), time=_at(one))
            for one in in_order
            if one["trip"] == trip
        ]
        way = [
            gpx.GPXTrackPoint(*_place(f.latitude, f.longitude), time=f.at)
            for f in tracks.get(trip, ())
        ]
        track.segments += [gpx.GPXTrackSegment(part) for part in _parts(way or entries, bool(way))]
        made.tracks.append(track)
    return str(made.to_xml(version="1.1"))


def _parts(way: list[gpx.GPXTrackPoint], measured: bool) -> list[list[gpx.GPXTrackPoint]]:
    """Cut a measured way where nothing was known for long; entries are joined however far apart."""
    parts = [way[:1]]
    for last, point in pairwise(way):
        if measured and last.time and point.time and point.time - last.time > GAP:
            parts.append([])
        parts[-1].append(point)
    return parts


def _waypoint(one: Mapping[str, Any]) -> gpx.GPXWaypoint:
    words = [one["act"].replace("_", " "), one["position"] or "", one["species"] or ""]
    return gpx.GPXWaypoint(
        *_place(one["latitude"], one["longitude"]),
        time=_at(one),
        name=_text(", ".join(word for word in words if word)),
        description=_text(one["text"]) or None,
        type=_text(one["act"]),
    )


def _place(latitude: float | None, longitude: float | None) -> tuple[float | None, float | None]:
    """Return a place to the ten-millionth of a degree: a centimetre, finer than anybody measures."""
    return (
        None if latitude is None else round(latitude, 7),
        None if longitude is None else round(longitude, 7),
    )


def _at(one: Mapping[str, Any]) -> datetime:
    return datetime.fromisoformat(one["at"])


def _text(value: str) -> str:
    return _NO_XML.sub("", value)
