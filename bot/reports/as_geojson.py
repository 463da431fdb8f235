"""Places of the log as GeoJSON (RFC 7946): a point for each entry, a line for each trip. Pure.

Longitude before latitude, WGS 84, no `crs`; a line over the 180th meridian is cut there (section 3.1.9).
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Final

from bot.stamps import Fix

PLACES: Final = 7
"""Decimals: about a centimetre (section 11.2 advises no more than is known)."""

LonLat = tuple[float, float]


def to_geojson(
    points: Sequence[Mapping[str, Any]],
    tracks: Mapping[str, Sequence[Fix]] = MappingProxyType({}),
) -> str:
    """Write entries; each has `latitude` and `longitude` beside its columns. `tracks` by trip."""
    features = [_point(one) for one in points]
    for trip in dict.fromkeys([*(one["trip"] for one in points), *tracks]):
        line = _way(trip, points, tracks.get(trip, ()))
        features += [line] if line is not None else []
    made = {"type": "FeatureCollection", "features": features}
    return json.dumps(made, ensure_ascii=False, allow_nan=False) + "\n"


def cut(way: Sequence[LonLat]) -> list[list[LonLat]]:
    """Cut a way where it goes over the 180th meridian, the short way round."""
    parts: list[list[LonLat]] = [[way[0]]]
    for (lon, lat), (to_lon, to_lat) in pairwise(way):
        if abs(to_lon - lon) > 180:
            side = 180.0 if lon > 0 else -180.0
            reach = to_lon + 2 * side
            share = (side - lon) / (reach - lon) if reach != lon else 0.0
            at = round(lat + share * (to_lat - lat), PLACES)
            parts[-1].append((side, at))
            parts.append([(-side, at)])
        parts[-1].append((to_lon, to_lat))
    return parts


def _point(one: Mapping[str, Any]) -> dict[str, Any]:
    about = {
        name: value for name, value in one.items() if name not in ("latitude", "longitude", "void")
    }
    return {
        "type": "Feature",
        "id": one["id"],
        "geometry": {"type": "Point", "coordinates": list(_lonlat(one))},
        "properties": about,
    }


def _way(
    trip: str, points: Iterable[Mapping[str, Any]], track: Sequence[Fix]
) -> dict[str, Any] | None:
    measured = [
        (round(fix.place[1], PLACES), round(fix.place[0], PLACES))
        for fix in track
        if fix.place is not None
    ]
    way = measured or [
        _lonlat(one)
        for one in sorted(points, key=lambda p: (p["at"], p["id"]))
        if one["trip"] == trip
    ]
    if len(way) < 2:
        return None
    parts = [[list(place) for place in part] for part in cut(way) if len(part) > 1]
    kind, coordinates = ("LineString", parts[0]) if len(parts) == 1 else ("MultiLineString", parts)
    return {
        "type": "Feature",
        "geometry": {"type": kind, "coordinates": coordinates},
        "properties": {"trip": trip},
    }


def _lonlat(one: Mapping[str, Any]) -> LonLat:
    return round(one["longitude"], PLACES), round(one["latitude"], PLACES)
