"""One answer for one place that the workshop doesn't have: nothing is written.

Its weather goes to a copy of the weather store that is thrown away after.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from planner.air.weeks import same_week
from planner.commands.weather import import_weather, refresh
from planner.commands.wishes import Asked, Wishes
from planner.commands.workshop import WEATHER_FILE, Workshop, opened
from planner.errors import WeatherUnavailable
from planner.settings import PlaceSettings, Settings
from planner.store.copies import copy_database
from planner.store.weather import WeatherStore
from planner.weather.places import plain

if TYPE_CHECKING:
    from planner.commands.learn import Learned
    from planner.plan.documents import PlanDocument

KEYS = ("schema_version", "today", "workshop", "basis", "warnings", "sources")


@dataclass(frozen=True)
class Answered:
    """What to take for one place as a JSON object, and notes."""

    answer: dict[str, Any]
    notes: tuple[str, ...]


def answer_for(
    settings: Settings,
    asked: PlaceSettings,
    *,
    today: date,
    weeks: int | None = None,
    fetch: bool = False,
    weather_file: Path | None = None,
    transport: Any = None,
) -> Answered:
    """Return what to take for reeds that go to a place.

    Parameters
    ----------
    settings : of the workshop whose history is built on
    asked : the place and what is known of its room; where the workshop has a place of that name,
        that one is meant
    today : the day of the plan
    weeks : how many weeks are shown
    fetch : ask the weather services for the place
    weather_file : a table of the place's own weather
    transport : an ``httpx`` transport in place of the network, for tests

    Raises
    ------
    WeatherUnavailable
        If there is no weather for the place, or none for the bench.
    """
    known = {plain(entry.place.name): entry for entry in settings.places}
    place = known.get(plain(asked.place.name), asked)
    with opened(settings) as workshop, _aside(workshop, place) as trial:
        notes: list[str] = []
        if weather_file is not None:
            read = import_weather(trial, weather_file, today=today, place_name=place.place.name)
            notes = [f"{read.file}: {note}." for note in read.notes]
        elif fetch:
            notes = refresh(trial, today=today, places=[place.place], transport=transport)
        return Answered(_answer(trial, place, today, Wishes(weeks).settled(settings)), tuple(notes))


@contextmanager
def _aside(workshop: Workshop, place: PlaceSettings) -> Iterator[Workshop]:
    """The workshop with the place added, on a copy of its weather."""
    settings = workshop.settings
    places = settings.places if place in settings.places else (*settings.places, place)
    with TemporaryDirectory(prefix="planner-") as folder:
        copy = Path(folder) / WEATHER_FILE
        copy_database(settings.folder / WEATHER_FILE, copy)
        store = WeatherStore.open(copy)
        try:
            yield Workshop(replace(settings, places=places), workshop.record, store)
        finally:
            store.close()


def _answer(workshop: Workshop, place: PlaceSettings, today: date, asked: Asked) -> dict[str, Any]:
    from planner.commands.learn import learn
    from planner.plan.assemble import to_json_dict

    name = place.place.name
    learned = learn(workshop, today)
    if name not in learned.rooms:
        raise WeatherUnavailable(
            f"There is no weather for {name}. Ask again with a network and without --offline or "
            "--today, or give a table of its weather with --weather FILE."
        )
    answer = to_json_dict(_document(workshop, learned, place, asked))
    there = [row for row in answer["weeks"] if row["place"] == name]
    return {
        **{key: answer[key] for key in KEYS},
        "place": asdict(place.place),
        "take": taken_now(there, today),
        "weeks": there,
        "spells": answer["spells"],
    }


def _document(
    workshop: Workshop, learned: "Learned", place: PlaceSettings, asked: Asked
) -> "PlanDocument":
    """The plan of the bench and the place alone; all the reeds have taught the model."""
    from planner.commands.ahead import MEMBERS
    from planner.commands.chain import (
        advise_places,
        basis_of,
        no_weather,
        spells_of,
        warnings_of,
        workshop_line,
    )
    from planner.plan.assemble import assemble

    bench, name = workshop.settings.bench, place.place.name
    if bench.place.name not in learned.rooms:
        raise WeatherUnavailable(no_weather(bench.place.name))
    places = (bench,) if place == bench else (bench, place)
    two = replace(workshop, settings=replace(workshop.settings, places=places))
    names = two.settings.place_names
    learned = replace(learned, rooms={key: learned.rooms[key] for key in names})
    draws = learned.fit.draws(MEMBERS)
    advices = advise_places(two, learned, asked, draws)
    weeks = [row for advice in advices for row in advice.weeks]
    return assemble(
        today=learned.today,
        workshop=workshop_line(two.settings, learned.usual_diameter),
        basis=basis_of(two.settings, learned, draws, advices[0]),
        weeks=weeks,
        spells=spells_of([a for a in advices if a.coming.place == name], draws, two.settings),
        warnings=tuple(warnings_of(two, learned, draws, advices)),
        sources=two.weather.sources(names, learned.today),
    )


def taken_now(rows: Sequence[dict[str, Any]], today: date) -> dict[str, Any] | None:
    """Return the row of the week that cane is taken for in the week of *today*, None for none."""
    return next((row for row in rows if same_week(date.fromisoformat(row["sort_by"]), today)), None)
