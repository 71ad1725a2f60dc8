"""What the columns of a room's log hold, told by their headings: for ``room_logs.py``."""

import re

TIME = {"time", "date", "datetime", "timestamp", "stamp", "zeit", "datum", "uhrzeit", "utc", "hour"}
INSIDE = {"indoor", "indoors", "in", "inside", "int", "internal", "interior", "room", "innen"}
INSIDE |= {"living", "house", "home", "zone", "i", "ind", "livingroom", "workshop"}
OUTSIDE = {"outdoor", "outdoors", "out", "outside", "ext", "external", "exterior", "ambient"}
OUTSIDE |= {"aussen", "außen", "weather", "o", "e", "outd", "station", "met"}
SINGLE = {"o", "e"}
WARMTH = {"temp", "temperature", "t", "ta", "drybulb", "tdb", "temperatur", "degc", "degf"}
WARMTH |= {"c", "f", "celsius", "fahrenheit", "warmth"}
HUMIDITY = {"rh", "humidity", "hum", "humid", "relhum", "rel", "feuchte", "hr", "h", "hygro"}
HUMIDITY |= {"pct", "percent", "relativehumidity"}
DEW = {"dew", "dewpoint", "dewp", "td", "tdew", "dpt"}
OTHER = {"absolute", "abs", "specific", "mixing", "ratio", "apparent", "feels", "wet", "wetbulb"}
OTHER |= {"wind", "soil", "pressure", "water", "max", "min", "std"}
RUN_TOGETHER = re.compile(
    r"^(t|temp|temperature|rh|hum|humidity|dew|dewpoint|td)(indoor|outdoor|inside|outside|in|out|int|ext|i|e|o)$"
    r"|^(indoor|outdoor|inside|outside|in|out|int|ext)(t|temp|temperature|rh|hum|humidity|dew|dewpoint)$"
)


def words_of(column: str) -> list[str]:
    """Split a heading into lower-case words: ``OutdoorTemp_C`` to outdoor, temp, c."""
    out: list[str] = []
    for chunk in re.findall(r"[A-Za-zÄÖÜäöüß]+", column):
        joined = RUN_TOGETHER.match(chunk.lower())
        if joined:
            out += [part for part in joined.groups() if part]
        else:
            split = re.sub(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", " ", chunk)
            out += split.lower().split()
    return out


def kind_of(column: str) -> str | None:
    """What a column holds by its heading; None where that isn't said."""
    words, quantity = set(words_of(column)), quantity_of(column)
    if quantity is None:
        return None
    if words & OUTSIDE and not (words & INSIDE and words & OUTSIDE <= SINGLE):
        return f"outdoor_{quantity}"
    return f"indoor_{quantity}" if words & INSIDE else None


def quantity_of(column: str) -> str | None:
    """``c``, ``pct`` or ``dew``, wherever it was measured; None for anything else."""
    words = set(words_of(column))
    if words & (OTHER | TIME):
        return None
    if words & DEW:
        return "dew"
    if words & HUMIDITY or ("%" in column and not words & WARMTH):
        return "pct"
    return "c" if words & WARMTH or "°" in column else None
