"""States, provinces and countries that lie in one time zone, or whose coast does, as people name them.

For whoever knows in which state the boat lies and not what its zone is called. A state in two zones is in
`SPLIT_STATES` with a big city of each. Source: the IANA time zone database (2024a). Pure.
"""

from collections.abc import Mapping
from typing import Final

_OF_ZONE: Final[Mapping[str, str]] = {
    "America/New_York": (
        "connecticut, ct, delaware, de, georgia, ga, maine, me, maryland, md, massachusetts, ma, "
        "new hampshire, nh, new jersey, nj, new york, ny, north carolina, nc, ohio, oh, "
        "pennsylvania, pa, rhode island, ri, south carolina, sc, vermont, vt, virginia, va, west "
        "virginia, wv, washington dc, dc, eastern, eastern time, est, edt"
    ),
    "America/Chicago": (
        "alabama, al, arkansas, ar, illinois, il, iowa, ia, louisiana, la, minnesota, mn, "
        "mississippi, ms, missouri, mo, oklahoma, ok, wisconsin, wi, central, central time, cst, "
        "cdt"
    ),
    "America/Denver": (
        "colorado, co, montana, mt, new mexico, nm, utah, ut, wyoming, wy, mst, mdt"
    ),
    "America/Phoenix": "arizona, az",
    "America/Los_Angeles": (
        "california, ca, nevada, nv, washington, wa, washington state, pst, pdt"
    ),
    "Pacific/Honolulu": "hawaii, hi, hawai'i",
    "America/Puerto_Rico": (
        "puerto rico, pr, us virgin islands, virgin islands, st thomas, st croix"
    ),
    "America/Halifax": "nova scotia, ns, prince edward island, pe, pei",
    "America/Moncton": "new brunswick, nb",
    "America/St_Johns": "newfoundland, nl",
    "America/Vancouver": "british columbia, bc",
    "America/Edmonton": "alberta, ab",
    "America/Winnipeg": "manitoba, mb",
    "Australia/Sydney": "new south wales, nsw",
    "Australia/Brisbane": "queensland, qld",
    "Australia/Melbourne": "victoria, vic",
    "Australia/Hobart": "tasmania, tas",
    "Australia/Adelaide": "south australia",
    "Australia/Darwin": "northern territory, nt",
    "Australia/Perth": "western australia",
    "Pacific/Auckland": ("new zealand, nz, north island, south island, northland, bay of plenty"),
    "America/Cancun": "quintana roo",
    "America/Tijuana": "baja california",
    "America/Mazatlan": "baja california sur, sinaloa, nayarit",
    "America/Mexico_City": "jalisco, veracruz, yucatan, guerrero, oaxaca",
    "America/Nassau": "bahamas, the bahamas",
    "America/Costa_Rica": "costa rica",
    "America/Panama": "panama",
    "America/Guatemala": "guatemala",
    "America/Santo_Domingo": "dominican republic",
    "America/Caracas": "venezuela",
    "Atlantic/Azores": "azores, the azores",
    "Atlantic/Madeira": "madeira",
    "Atlantic/Canary": "canary islands, canaries",
    "Atlantic/Cape_Verde": "cape verde, cabo verde",
    "Europe/London": "england, scotland, wales, united kingdom, uk, great britain",
    "Europe/Dublin": "ireland",
    "Europe/Rome": "italy, sicily, sardinia",
    "Europe/Paris": "france",
    "Europe/Athens": "greece",
    "Africa/Johannesburg": "south africa, kwazulu natal",
    "Africa/Nairobi": "kenya",
    "Africa/Maputo": "mozambique",
    "Indian/Mauritius": "mauritius",
    "Indian/Reunion": "reunion, la reunion",
    "Indian/Mahe": "seychelles",
    "Pacific/Fiji": "fiji",
    "Pacific/Tongatapu": "tonga",
    "Pacific/Apia": "samoa",
    "Pacific/Efate": "vanuatu",
    "Pacific/Noumea": "new caledonia",
    "Pacific/Tahiti": "tahiti, french polynesia",
    "Asia/Tokyo": "japan, okinawa",
    "Asia/Taipei": "taiwan",
    "Asia/Manila": "philippines",
    "Asia/Bangkok": "thailand",
    "Asia/Dubai": "united arab emirates",
    "Asia/Muscat": "oman",
}
"""Zone -> names and postal codes, parted by commas."""

SPLIT_STATES: Final[Mapping[str, tuple[str, str]]] = {
    "florida": ("New York", "Chicago"),
    "fl": ("New York", "Chicago"),
    "texas": ("Chicago", "Denver"),
    "tx": ("Chicago", "Denver"),
    "alaska": ("Anchorage", "Adak"),
    "ak": ("Anchorage", "Adak"),
    "oregon": ("Los Angeles", "Boise"),
    "michigan": ("Detroit", "Chicago"),
    "mi": ("Detroit", "Chicago"),
    "indiana": ("Indianapolis", "Chicago"),
    "kentucky": ("New York", "Chicago"),
    "tennessee": ("New York", "Chicago"),
    "ontario": ("Toronto", "Winnipeg"),
    "quebec": ("Toronto", "Halifax"),
    "labrador": ("Halifax", "St Johns"),
}
"""State -> a big city of the zone of most of it, and one of the zone of the rest."""


_BY_NAME: Final = {
    name.strip(): zone for zone, names in _OF_ZONE.items() for name in names.split(",")
}


def zone_of_region(said: str) -> str | None:
    """Return the time zone of a state, a province or a country; None where it is none that is known."""
    words = said.casefold().replace(".", "").split()
    return _BY_NAME.get(" ".join(words))


def parts_of_region(said: str) -> tuple[str, str] | None:
    """Return a big city of each zone of a state that lies in two; None for any other."""
    return SPLIT_STATES.get(" ".join(said.casefold().replace(".", "").split()))
