"""First use: start a workshop, or look at an invented one."""

import re
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from planner.cli.shared import (
    State,
    columns,
    json_option,
    notes,
    print_answer,
    today_option,
)
from planner.cli.where import coordinate_options, place_of
from planner.commands.start import USUAL_DIAMETERS, USUAL_GOUGES
from planner.errors import WrongUse
from planner.settings import FILE_NAME, Settings
from planner.settings_schema import OPENINGS_MM

if TYPE_CHECKING:
    from planner.commands.start import Answers
    from planner.weather.places import Place


def _range_of(text: str) -> tuple[float, float] | None:
    """A wanted range as typed, ``0.70-0.90``; None for nothing."""
    numbers = re.findall(r"\d+(?:[.,]\d+)?", text)
    if not text.strip():
        return None
    if len(numbers) != 2:
        raise click.BadParameter(f'"{text}" is not a range; write it as 0.70-0.90')
    low, high = (OPENING.convert(number, None, None) for number in numbers)
    if low >= high:
        raise click.BadParameter(f'"{text}" ends where it begins or below; write it as 0.70-0.90')
    return low, high


class Millimetres(click.ParamType[float]):
    """A length as typed, 10.5, 10,5 or 10.5 mm, from *low* to *high*. [mm]"""

    name = "mm"

    def __init__(self, low: float, high: float) -> None:
        self.low, self.high = low, high

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the number, or refuse it."""
        if isinstance(value, float):
            return value
        found = re.fullmatch(r"(\d+(?:[.,]\d*)?|[.,]\d+)\s*(?:mm)?", str(value).strip())
        if found is None:
            self.fail(f'"{value}" is not a length in mm; write it as 10.5', param, ctx)
        length = float(found[1].replace(",", "."))
        if not self.low <= length <= self.high:
            self.fail(f'"{value}" must be from {self.low:g} to {self.high:g} mm', param, ctx)
        return length


OPENING, DIAMETER, GOUGE = (
    Millimetres(*limits) for limits in (OPENINGS_MM, USUAL_DIAMETERS, USUAL_GOUGES)
)
COORDINATES_TOO = "the latitude and longitude of the place as a map shows them: 51.05, 3.72."
# Typed with or without a comma; south and west are negative.
COORDINATES = re.compile(r"([-+]?\d+(?:\.\d+)?)°?\s*[,; ]\s*([-+]?\d+(?:\.\d+)?)°?")


def _asked_through(folder: Path, **given: Any) -> "Answers":
    """The answers; a pipe that ends before them is told what else to do."""
    try:
        return _asked(folder, **given)
    except click.Abort as error:
        if sys.stdin.isatty():
            raise
        raise WrongUse(
            "The answers ended before all was asked. Give them as options, at least --place: see "
            '"planner start --help". Nothing was made.'
        ) from error


def _asked_place(coordinates: tuple[float | None, float | None]) -> "Place":
    """The place of the bench as typed, asked for again where the list doesn't have it."""
    if coordinates != (None, None):
        return place_of(click.prompt("Name of the place", err=True), *coordinates)
    while True:
        typed = click.prompt("Town of your bench, or its latitude and longitude", err=True)
        found = COORDINATES.fullmatch(typed.strip())
        try:
            if found is None:
                return place_of(typed, None, None, otherwise=COORDINATES_TOO)
            latitude, longitude = (float(number) for number in found.groups())
            if abs(latitude) > 90 or abs(longitude) > 180:
                raise WrongUse(f'"{typed}" is no place: latitude to 90, longitude to 180 degrees.')
        except WrongUse as error:
            if not sys.stdin.isatty():
                raise
            notes(str(error))
        else:
            return place_of(click.prompt("Name of the place", err=True), latitude, longitude)


def _asked(
    folder: Path,
    *,
    name: str | None,
    place: str | None,
    coordinates: tuple[float | None, float | None],
    contact: str | None,
    opening: tuple[float | None, float | None],
    usual_diameter: float | None,
    gouge: float | None,
) -> "Answers":
    """The answers given as options, and those asked for."""
    from planner.commands.start import Answers

    asking = place is None  # whoever names the place as an option is not asked for the rest
    found = _asked_place(coordinates) if place is None else place_of(place, *coordinates)
    if asking:
        notes(f"Bench: {found.name}, time zone {found.timezone}")
        contact = contact or click.prompt(
            "Mail or web address, which the weather services ask for",
            default="",
            err=True,
            show_default=False,
        )
        if opening == (None, None):
            opening = click.prompt(
                "Wanted opening at the tip in mm, as 0.70-0.90 (Enter: learn it from verdicts)",
                default="",
                value_proc=_range_of,
                err=True,
                show_default=False,
            ) or (None, None)
        usual_diameter = usual_diameter or click.prompt(
            "Tube diameter you usually take, in mm", default=10.5, type=DIAMETER, err=True
        )
        gouge = gouge or click.prompt(
            "Gouge you usually aim for, in mm", default=0.59, type=GOUGE, err=True
        )
    return Answers(
        name or folder.resolve().name,
        found,
        contact or "",
        *opening,
        usual_diameter,
        0.59 if gouge is None else gouge,
    )


@click.command("start")
@click.option("--name", help="Name of the workshop; default: the folder's.")
@click.option("--place", help='Town of the bench, as "Name" or "Name, CC".')
@coordinate_options
@click.option("--contact", help="Mail or web address; the weather services ask who is calling.")
@click.option("--opening-low-mm", type=OPENING, help="Wanted range at the tip, from.")
@click.option("--opening-high-mm", type=OPENING, help="Wanted range at the tip, to.")
@click.option("--usual-diameter-mm", type=DIAMETER, help="Tube diameter that you usually take.")
@click.option("--gouge-mm", type=GOUGE, help="Centre thickness that you usually gouge to.")
@click.option(
    "--from",
    "source",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Load the tables of a folder: reeds, readings, checks, cane, orders, weather.",
)
@today_option
@click.pass_context
def start_command(
    ctx: click.Context,
    *,
    name: str | None,
    place: str | None,
    latitude: float | None,
    longitude: float | None,
    contact: str | None,
    opening_low_mm: float | None,
    opening_high_mm: float | None,
    usual_diameter_mm: float | None,
    gouge_mm: float | None,
    source: Path | None,
    today: date | None,
) -> None:
    r"""Make a workshop in the folder you stand in (or the one of --workshop).

    What isn't given as an option is asked for. Answer with Enter where you don't know yet.

    \b
    Examples:
      planner start
      planner start --place "Ghent, BE" --opening-low-mm 0.7 --opening-high-mm 0.9
      planner --workshop reeds start --from old-tables
    """
    from planner.commands.load import load_folder
    from planner.commands.start import must_be_free, start
    from planner.settings import current_folder

    folder = ctx.obj.workshop or current_folder()
    must_be_free(folder, source)
    if source is not None and (source / FILE_NAME).is_file():
        _nothing_said_twice(ctx, source)
        loaded = load_folder(source, folder, today=today)
        notes(*loaded.lines)
        _made(loaded.settings)
        _next(loaded.settings)
        return
    if (opening_low_mm is None) != (opening_high_mm is None):
        raise WrongUse(
            "--opening-low-mm and --opening-high-mm go together; one of them is missing."
        )
    answers = _asked_through(
        folder,
        name=name,
        place=place,
        coordinates=(latitude, longitude),
        contact=contact,
        opening=(opening_low_mm, opening_high_mm),
        usual_diameter=usual_diameter_mm,
        gouge=gouge_mm,
    )
    settings = start(folder, answers)
    _made(settings)
    if source is not None:
        notes(*load_folder(source, folder, today=today).lines)
    _next(settings)


def _nothing_said_twice(ctx: click.Context, source: Path) -> None:
    """Refuse answers beside settings that are copied as they are."""
    beside = [
        option.opts[0]
        for option in ctx.command.params
        if option.name not in ("source", "today") and ctx.params.get(option.name or "") is not None
    ]
    if beside:
        raise WrongUse(
            f"{source / FILE_NAME} says what {', '.join(beside)} would say. Leave them out, and "
            "edit the new workshop's settings afterwards."
        )


def _made(settings: Settings) -> None:
    click.echo(f"Made {settings.folder / FILE_NAME}; edit it by hand whenever you like.")


def _next(settings: Settings) -> None:
    click.echo(
        f'Next: "planner weather fetch" for {settings.bench.place.name}, "planner add reed", '
        '"planner week".'
    )


@click.command("demo")
@click.argument("folder", required=False, type=click.Path(file_okay=False, path_type=Path))
@json_option
@click.pass_obj
def demo_command(state: State, *, folder: Path | None, as_json: bool) -> None:
    r"""Make an invented workshop in FOLDER (default: demo-workshop) and plan it.

    No network is needed. People, places and reeds in it are invented.

    \b
    Examples:
      planner demo
      planner --workshop demo-workshop week --today 2026-11-23
    """
    from planner.commands.demo import demo
    from planner.report.terminal import plan_lines

    made = demo(folder or state.workshop or Path("demo-workshop"))
    notes(*made.notes)
    answer = made.planned.answer
    lines = (
        *plan_lines(answer, made.settings.dates, columns()),
        "",
        f"Page: {made.planned.page}",
        f"Try: planner --workshop {made.settings.folder} week --today {answer['today']}",
    )
    print_answer(answer, lines, as_json=as_json)
