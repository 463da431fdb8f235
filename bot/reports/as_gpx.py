"""Places of the log as GPX 1.1: a waypoint for each entry, a track for each trip. Written by gpxpy."""

import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

import gpxpy.gpx as gpx

_NO_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 cannot hold (section 2.2)."""


def to_gpx(points: Sequence[Mapping[str, Any]], boat: str) -> str:
    """Write entries; each has `latitude` and `longitude` beside its columns."""
    made = gpx.GPX()
    made.creator = "deckcall"
    made.name = _text(boat) or None
    in_order = sorted(points, key=lambda one: (one["at"], one["id"]))
    for one in in_order:
        made.waypoints.append(_waypoint(one))
    for trip in dict.fromkeys(one["trip"] for one in in_order):
        track = gpx.GPXTrack(name=_text(trip))
        places = [one for one in in_order if one["trip"] == trip]
        track.segments.append(
            gpx.GPXTrackSegment(
                [gpx.GPXTrackPoint(p["latitude"], p["longitude"], time=_at(p)) for p in places]
            )
        )
        made.tracks.append(track)
    return str(made.to_xml(version="1.1"))


def _waypoint(one: Mapping[str, Any]) -> gpx.GPXWaypoint:
    words = [one["act"].replace("_", " "), one["position"] or "", one["species"] or ""]
    return gpx.GPXWaypoint(
        one["latitude"],
        one["longitude"],
        time=_at(one),
        name=_text(", ".join(word for word in words if word)),
        description=_text(one["text"]) or None,
        type=_text(one["act"]),
    )


def _at(one: Mapping[str, Any]) -> datetime:
    return datetime.fromisoformat(one["at"])


def _text(value: str) -> str:
    return _NO_XML.sub("", value)
