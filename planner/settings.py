"""``workshop.toml`` to settings: every problem at once, unknown keys with the nearest known one.

Only the standard library is loaded here, so that the bench commands start at once.
"""

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from planner.errors import UnknownPlace, WorkshopError
from planner.plan.limits import Limits
from planner.room.knowledge import RoomKnowledge
from planner.settings_schema import DEFAULTS, PLACE, problems
from planner.weather.places import Place, plain
from planner.weather.wanted import Wanted

FILE_NAME = "workshop.toml"
FOLDER_VARIABLE = "PLANNER_WORKSHOP"


@dataclass(frozen=True)
class Opening:
    """The wanted range at the tip (None: learned from verdicts), and how finely it is read. [mm]"""

    low_mm: float | None = None
    high_mm: float | None = None
    resolution_mm: float = 0.01


@dataclass(frozen=True)
class Cane:
    """Tube diameters that the maker takes, and how finely they are sorted. [mm]"""

    diameter_min_mm: float = DEFAULTS["cane"]["diameter_min_mm"]
    diameter_max_mm: float = DEFAULTS["cane"]["diameter_max_mm"]
    sorted_to_mm: float = DEFAULTS["cane"]["sorted_to_mm"]
    usual_mm: float | None = None


@dataclass(frozen=True)
class Gouge:
    """Centre thickness aimed for, its limits, and how far a check may be off the aim. [mm]"""

    usual_mm: float = DEFAULTS["gouge"]["usual_mm"]
    min_mm: float = DEFAULTS["gouge"]["min_mm"]
    max_mm: float = DEFAULTS["gouge"]["max_mm"]
    check_limit_mm: float = DEFAULTS["gouge"]["check_limit_mm"]


@dataclass(frozen=True)
class Lead:
    """Days from sorting to the finished reed, in use at the player, and from order to cane."""

    sort_to_finish_days: int = 14
    in_use_days: int = 21
    order_days: int = 21


@dataclass(frozen=True)
class Output:
    """Reeds wanted a week, and pieces gouged for one good reed (None: learned from the stock)."""

    reeds_per_week: float = 20.0
    pieces_per_good_reed: float | None = None


@dataclass(frozen=True)
class PlaceSettings:
    """A place, the share of the reeds that goes there (None: not said), and its room."""

    place: Place
    share: float | None = None
    room: RoomKnowledge = field(default_factory=RoomKnowledge)


@dataclass(frozen=True)
class Settings:
    """A workshop's settings; ``text`` is the file as read, for fingerprints.

    ``dates`` is how days are shown, ``typed_dates`` what 3/4/2026 is in a file or at the prompt:
    the same where the maker said it, else ``ymd``, by which it is refused.
    """

    folder: Path
    text: str
    name: str
    contact: str
    fahrenheit: bool
    dates: str
    typed_dates: str
    opening: Opening
    cane: Cane
    gouge: Gouge
    lead: Lead
    output: Output
    weather: Wanted
    imports: Mapping[str, Any]
    places: tuple[PlaceSettings, ...]

    @property
    def bench(self) -> PlaceSettings:
        """The place of the bench: the first."""
        return self.places[0]

    @property
    def place_names(self) -> tuple[str, ...]:
        """The names of the places, the bench first."""
        return tuple(entry.place.name for entry in self.places)

    def limits(self, usual_diameter: float) -> Limits:
        """Return what the maker can do, with the usual diameter [mm] as settled elsewhere."""
        return Limits(
            diameter_min=self.cane.diameter_min_mm,
            diameter_max=self.cane.diameter_max_mm,
            sorted_to=self.cane.sorted_to_mm,
            usual_diameter=usual_diameter,
            gouge_min=self.gouge.min_mm,
            gouge_max=self.gouge.max_mm,
            usual_gouge=self.gouge.usual_mm,
        )

    def place_named(self, name: str | None) -> PlaceSettings:
        """Return the place of that name, forgiving case and spacing; the bench for None.

        Raises
        ------
        UnknownPlace
            If the workshop has no such place.
        """
        if name is None:
            return self.bench
        for entry in self.places:
            if plain(entry.place.name) == plain(name):
                return entry
        raise UnknownPlace(
            f'The workshop has no place "{name}"; it has {", ".join(self.place_names)}. '
            f"Add it to {self.folder / FILE_NAME} as another [[place]]."
        )


def find_workshop(folder: Path | None) -> Path:
    """Return the workshop's folder: the one named, else the current one, else the variable's.

    Raises
    ------
    WorkshopError
        If none of them holds a ``workshop.toml``, or one can't be looked into.
    """
    candidates = [folder] if folder is not None else _candidates()
    for candidate in candidates:
        try:
            if (candidate / FILE_NAME).is_file():
                return candidate
        except OSError as error:
            raise WorkshopError(f"{candidate} can't be looked into: {error.strerror}.") from error
    raise WorkshopError(
        f"There is no workshop in {' or '.join(str(c) for c in candidates)}. Make one with "
        '"planner start", name its folder with --workshop, or try "planner demo".'
    )


def _candidates() -> list[Path]:
    named = [Path(name)] if (name := os.environ.get(FOLDER_VARIABLE)) else []
    try:
        return [current_folder(), *named]
    except WorkshopError:
        if named:
            return named
        raise


def current_folder() -> Path:
    """Return the folder that the maker stands in.

    Raises
    ------
    WorkshopError
        If it isn't there any more.
    """
    try:
        return Path.cwd()
    except OSError as error:
        raise WorkshopError(
            "The folder you stand in is gone; was it moved? Change into the workshop's folder, or "
            "name it with --workshop."
        ) from error


def read_settings(folder: Path) -> Settings:
    """Read the ``workshop.toml`` of a folder.

    Raises
    ------
    WorkshopError
        With every problem of the file, each naming its key, what stands there and what may.
    """
    path = folder / FILE_NAME
    try:
        text = path.read_text(encoding="utf-8-sig")
        tree = tomllib.loads(text)
    except OSError as error:
        raise WorkshopError(f"{path} can't be read: {error.strerror}.") from error
    except (ValueError, RecursionError) as error:  # tomllib's own, and those of Python's limits
        raise WorkshopError(
            f"{path} isn't sound TOML: {error}. Text needs quotes, decimals a point."
        ) from error
    found = list(problems(tree))
    if found:
        raise WorkshopError(
            "\n".join([f"{path} can't be used:", *(f"  {problem}" for problem in found)])
        )
    return _settings(folder, text, tree)


def _settings(folder: Path, text: str, tree: dict[str, Any]) -> Settings:
    workshop = tree.get("workshop", {})
    return Settings(
        folder=folder,
        text=text,
        name=workshop.get("name", "") or folder.resolve().name,
        contact=workshop.get("contact", ""),
        fahrenheit=workshop.get("temperature") == "fahrenheit",
        dates=workshop.get("dates", "dmy"),
        typed_dates=workshop.get("dates", "ymd"),
        opening=Opening(**tree.get("opening", {})),
        cane=Cane(**tree.get("cane", {})),
        gouge=Gouge(**tree.get("gouge", {})),
        lead=Lead(**tree.get("lead", {})),
        output=Output(**tree.get("output", {})),
        weather=Wanted(**tree.get("weather", {})),
        imports=tree.get("import", {}),
        places=tuple(_place(entry, folder) for entry in tree["place"]),
    )


def _place(entry: dict[str, Any], folder: Path) -> PlaceSettings:
    known = {key: entry[key] for key in PLACE if key in entry and key not in ("share", "room")}
    if "latitude" not in known or "timezone" not in known:
        known = _looked_up(known, folder)
    return PlaceSettings(
        Place(**{**known, "name": known["name"].strip()}),
        entry.get("share"),
        RoomKnowledge(**entry.get("room", {})),
    )


def _looked_up(known: dict[str, Any], folder: Path) -> dict[str, Any]:
    """Fill in what the list of places knows: coordinates of a name, time zone of coordinates."""
    from planner.weather.search import place_named, zone_at

    if "latitude" in known:
        return {**known, "timezone": zone_at(known["latitude"], known["longitude"])}
    found = place_named(known["name"])
    if found is None:
        raise WorkshopError(
            f'{folder / FILE_NAME}: "{known["name"]}" is not one place of the list; give it '
            "latitude and longitude."
        )
    return {
        "latitude": found.latitude,
        "longitude": found.longitude,
        "timezone": found.timezone,
        **known,
    }
