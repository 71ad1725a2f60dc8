"""The verbs that look further: prepare, for."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from planner.cli.shared import (
    State,
    answering,
    columns,
    day_or_today,
    notes,
    print_answer,
    sort_to_finish_option,
    weeks_option,
)
from planner.cli.waiting import waiting
from planner.cli.where import coordinate_options, place_of
from planner.errors import WrongUse

if TYPE_CHECKING:
    from planner.room.knowledge import RoomKnowledge
    from planner.settings import PlaceSettings, Settings

PERCENT = click.FloatRange(0, 100)


@click.command("prepare")
@weeks_option
@sort_to_finish_option
@answering
@click.pass_obj
def prepare_command(
    state: State,
    *,
    weeks: int | None,
    sort_to_finish_days: int | None,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""Spells ahead: what to sort, gouge and order by when.

    Counted back from the week in which the reeds are judged, by the lead times of workshop.toml,
    from the cane in the record and the orders.

    \b
    Examples:
      planner prepare
      planner prepare --weeks 26
      planner prepare --sort-to-finish-days 7
    """
    from planner.commands.prepare import prepare
    from planner.commands.wishes import Wishes
    from planner.report.prepare_words import prepare_lines

    settings = state.settings()
    with waiting("Working out the plan"):
        answer = prepare(
            settings,
            today=day_or_today(settings, today),
            wishes=Wishes(weeks, sort_to_finish_days=sort_to_finish_days),
            fetch=not offline and today is None,
            tell=notes,
        )
    notes(*answer["warnings"])
    print_answer(answer, prepare_lines(answer, settings.dates, columns()), as_json=as_json)


def _asked(
    settings: "Settings",
    place: str,
    coordinates: tuple[float | None, float | None],
    room: "RoomKnowledge",
) -> "PlaceSettings":
    """The place meant: one of the workshop's as its settings have it, else as the options say."""
    from planner.room.knowledge import RoomKnowledge
    from planner.settings import FILE_NAME, PlaceSettings
    from planner.weather.places import plain

    low, high = room.humidify_to_pct, room.dehumidify_to_pct
    if low is not None and high is not None and low > high:
        raise WrongUse("--humidify-to-pct must not exceed --dehumidify-to-pct.")
    own = {plain(entry.place.name): entry for entry in settings.places}.get(plain(place))
    if own is None:
        return PlaceSettings(place_of(place, *coordinates), room=room)
    if room != RoomKnowledge() or coordinates != (None, None):
        raise WrongUse(
            f"{own.place.name} is a place of this workshop: where it is and what is known of its "
            f"room stands in {FILE_NAME}. Leave those options out, or ask under another name with "
            "--latitude and --longitude."
        )
    return own


@click.command("for")
@click.argument("place")
@coordinate_options
@weeks_option
@click.option(
    "--weather",
    "weather_file",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A table of the place's weather, instead of asking a service.",
)
@click.option("--winter-c", type=click.FloatRange(0, 35), help="Heating set-point there, in °C.")
@click.option("--unheated", is_flag=True, help="The room there isn't heated.")
@click.option("--humidify-to-pct", type=PERCENT, help="Humidifier there holds at least that.")
@click.option("--dehumidify-to-pct", type=PERCENT, help="Dehumidifier there holds at most that.")
@click.option("--air-conditioned", is_flag=True, help="The room there is cooled in summer.")
@answering
@click.pass_obj
def for_command(
    state: State,
    *,
    place: str,
    latitude: float | None,
    longitude: float | None,
    weeks: int | None,
    weather_file: Path | None,
    winter_c: float | None,
    unheated: bool,
    humidify_to_pct: float | None,
    dehumidify_to_pct: float | None,
    air_conditioned: bool,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""One answer for one town; nothing is written.

    Which cane, which gouge, and how far to leave the reed open at the bench for a player there.

    \b
    Examples:
      planner for "Ghent, BE"
      planner for Ghent --winter-c 22 --humidify-to-pct 40
      planner for "The hut" --latitude 47.1 --longitude 11.3 --unheated
    """
    from planner.commands.for_place import answer_for
    from planner.report.prepare_words import for_lines
    from planner.room.knowledge import RoomKnowledge

    settings = state.settings()
    room = RoomKnowledge(
        winter_c=winter_c,
        heated=not unheated,
        humidify_to_pct=humidify_to_pct,
        dehumidify_to_pct=dehumidify_to_pct,
        air_conditioned=air_conditioned,
    )
    asked = _asked(settings, place, (latitude, longitude), room)
    with waiting(f"Working out what {asked.place.name} asks for"):
        found = answer_for(
            settings,
            asked,
            today=day_or_today(settings, today),
            weeks=weeks,
            fetch=not offline and today is None,
            weather_file=weather_file,
        )
    notes(*found.notes, *found.answer["warnings"])
    print_answer(found.answer, for_lines(found.answer, settings.dates, columns()), as_json=as_json)
