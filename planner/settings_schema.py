"""What may stand in ``workshop.toml``: the known keys, and what is wrong with the others."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from planner.weather.places import plain

Check = Callable[[Any], str | None]  # what is allowed, in words, where the value isn't


def _number(low: float, high: float) -> Check:
    def check(value: Any) -> str | None:
        sound = isinstance(value, int | float) and not isinstance(value, bool)
        return None if sound and low <= value <= high else f"a number from {low:g} to {high:g}"

    return check


def _whole(low: int, high: int) -> Check:
    def check(value: Any) -> str | None:
        sound = isinstance(value, int) and not isinstance(value, bool)
        return None if sound and low <= value <= high else f"a whole number from {low} to {high}"

    return check


def _text(value: Any) -> str | None:
    return None if isinstance(value, str) else "text in quotes"


def _yes_no(value: Any) -> str | None:
    return None if isinstance(value, bool) else "true or false"


def _one_of(*words: str) -> Check:
    def check(value: Any) -> str | None:
        return None if value in words else "one of " + ", ".join(f'"{word}"' for word in words)

    return check


def _zone(value: Any) -> str | None:
    try:
        ZoneInfo(value)
    except (ZoneInfoNotFoundError, ValueError, TypeError, OSError):
        return 'a time zone such as "Europe/Berlin"'
    return None


def _table(value: Any) -> str | None:
    return None if isinstance(value, dict) else "a table"


DIAMETERS_MM, GOUGES_MM, OPENINGS_MM = (1.0, 40.0), (0.1, 3.0), (0.0, 10.0)  # of any double reed
_MM = _number(*DIAMETERS_MM)
_THICKNESS = _number(*GOUGES_MM)

DEFAULTS: dict[str, dict[str, float]] = {
    "cane": {"diameter_min_mm": 9.5, "diameter_max_mm": 11.5, "sorted_to_mm": 0.25},
    "gouge": {"usual_mm": 0.59, "min_mm": 0.56, "max_mm": 0.62, "check_limit_mm": 0.02},
}

SECTIONS: dict[str, dict[str, Check]] = {
    "workshop": {
        "name": _text,
        "contact": _text,
        "temperature": _one_of("celsius", "fahrenheit"),
        "dates": _one_of("ymd", "dmy", "mdy"),
    },
    "opening": {
        "low_mm": _number(*OPENINGS_MM),
        "high_mm": _number(*OPENINGS_MM),
        "resolution_mm": _number(0.0, 0.5),
    },
    "cane": {
        "diameter_min_mm": _MM,
        "diameter_max_mm": _MM,
        "sorted_to_mm": _number(0.01, 5.0),
        "usual_mm": _MM,
    },
    "gouge": {
        "usual_mm": _THICKNESS,
        "min_mm": _THICKNESS,
        "max_mm": _THICKNESS,
        "check_limit_mm": _number(0.001, 0.5),
    },
    "lead": {
        "sort_to_finish_days": _whole(0, 365),
        "in_use_days": _whole(1, 365),
        "order_days": _whole(0, 365),
    },
    "output": {
        "reeds_per_week": _number(0.0, 10_000.0),
        "pieces_per_good_reed": _number(1.0, 100.0),
    },
    "weather": {
        "ahead": _text,
        "past": _text,
        "open_meteo_noncommercial": _yes_no,
        "open_meteo_apikey_env": _text,
        "urls": _table,
    },
}
PLACE: dict[str, Check] = {
    "name": _text,
    "latitude": _number(-90.0, 90.0),
    "longitude": _number(-180.0, 180.0),
    "timezone": _zone,
    "altitude": _number(-500.0, 9000.0),
    "share": _number(0.0, 1000.0),
    "room": _table,
}
ROOM: dict[str, Check] = {
    "winter_c": _number(0.0, 35.0),
    "heated": _yes_no,
    "humidify_to_pct": _number(0.0, 100.0),
    "dehumidify_to_pct": _number(0.0, 100.0),
    "air_conditioned": _yes_no,
    "damp": _yes_no,
    "hygrometer_offset_pct": _number(-50.0, 50.0),
}
TOP = (*SECTIONS, "place", "import")


def problems(tree: dict[str, Any]) -> Iterator[str]:
    """Yield every problem of the settings, each naming its key and what may stand there."""
    yield from _unknown(tree, TOP, "")
    for name, checks in SECTIONS.items():
        yield from _section(tree.get(name, {}), checks, f"[{name}] ")
    if not isinstance(tree.get("import", {}), dict):
        yield "[import] must be a table, with one of its own for each table: [import.reeds]"
    yield from _order(tree)
    places = tree.get("place", [])
    if not isinstance(places, list) or not places:
        yield "no [[place]]: the workshop needs at least one, the first is the bench"
        return
    for number, place in enumerate(places, start=1):
        where = f"[[place]] {number} "
        yield from _section(place, PLACE, where)
        if isinstance(place, dict):
            yield from _section(place.get("room", {}), ROOM, f"{where}[place.room] ")
            yield from _floor_and_ceiling(place.get("room", {}), f"{where}[place.room] ")
            yield from _whereabouts(place, where)
    yield from _doubled(places)


def _section(section: Any, checks: Mapping[str, Check], where: str) -> Iterator[str]:
    if not isinstance(section, dict):
        yield f"{where}must be a table of keys"
        return
    yield from _unknown(section, tuple(checks), where)
    for key, value in section.items():
        allowed = checks[key](value) if key in checks else None
        if allowed is not None:
            yield f"{where}{key} = {value!r}: must be {allowed}"


def _unknown(section: Mapping[str, Any], known: tuple[str, ...], where: str) -> Iterator[str]:
    for key in section:
        if key not in known:
            import difflib

            near = difflib.get_close_matches(key, known, n=1, cutoff=0.0)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            yield f'{where}"{key}" is not a known key{hint}'


def _order(tree: dict[str, Any]) -> Iterator[str]:
    for name, low, high, between in (
        ("opening", "low_mm", "high_mm", None),
        ("cane", "diameter_min_mm", "diameter_max_mm", "usual_mm"),
        ("gouge", "min_mm", "max_mm", "usual_mm"),
    ):
        section = tree.get(name, {})
        if not isinstance(section, dict):
            continue
        checks, default = SECTIONS[name], DEFAULTS.get(name, {})
        if any(checks[key](section[key]) for key in (low, high, between) if key and key in section):
            continue  # told already
        first, last = section.get(low, default.get(low)), section.get(high, default.get(high))
        if not (isinstance(first, int | float) and isinstance(last, int | float)):
            if (first is None) != (last is None):
                yield f"[{name}] {low} and {high} go together; one of them is missing"
            continue
        if first >= last:
            unset = _unset(section, default, low, high)
            yield f"[{name}] {low} = {first:g} must be less than {high} = {last:g}{unset}"
            continue
        usual = section.get(between, default.get(between)) if between else None
        if isinstance(usual, int | float) and not first <= usual <= last:
            unset = _unset(section, default, low, high, between or "")
            yield f"[{name}] {between} = {usual:g} must lie within {first:g} to {last:g}{unset}"


def _unset(section: Mapping[str, Any], default: Mapping[str, float], *keys: str) -> str:
    """Which of the keys stand on the program's own figures, which the maker has never seen."""
    unset = [key for key in keys if key in default and key not in section]
    if not unset:
        return ""
    are = "isn't set and is the default" if len(unset) == 1 else "aren't set and are the defaults"
    return f" ({' and '.join(unset)} {are})"


def _floor_and_ceiling(room: Any, where: str) -> Iterator[str]:
    """A humidifier and a dehumidifier that would work against each other."""
    if not isinstance(room, dict):
        return
    keys = ("humidify_to_pct", "dehumidify_to_pct")
    if not all(key in room and ROOM[key](room[key]) is None for key in keys):
        return
    low, high = (room[key] for key in keys)
    if low > high:
        yield f"{where}humidify_to_pct = {low:g} must not exceed dehumidify_to_pct = {high:g}"


def _whereabouts(place: dict[str, Any], where: str) -> Iterator[str]:
    name = place.get("name")
    if not isinstance(name, str) or not name.strip():
        yield f"{where}needs a name"
    if ("latitude" in place) != ("longitude" in place):
        yield f"{where}latitude and longitude go together; one of them is missing"


def _doubled(places: list[Any]) -> Iterator[str]:
    seen: set[str] = set()
    for place in places:
        name = place.get("name") if isinstance(place, dict) else None
        if isinstance(name, str) and plain(name) in seen:
            yield f'two places are named "{name}"; give each its own name'
        if isinstance(name, str):
            seen.add(plain(name))
