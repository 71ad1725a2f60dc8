"""The verbs of the weather store: fetch, import, show."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from planner.cli.shared import (
    Day,
    State,
    answering,
    columns,
    day_or_today,
    json_option,
    notes,
    print_answer,
    seen_lines,
    today_option,
)
from planner.errors import WrongUse

if TYPE_CHECKING:
    from planner.weather.documents import Shown
    from planner.weather.fetch import Progress

SCHEMA_VERSION = 1
# Of the bar and of what is being asked; with the count between them they keep to eighty columns.
BAR_WIDTH, ASKED_WIDTH = 20, 36

place_option = click.option("--place", help="Name of the place; default: the bench.")


@click.group("weather")
def weather_command() -> None:
    r"""Fetch, import or show the weather.

    \b
    Examples:
      planner weather fetch
      planner weather import garden.csv --place Bench
      planner weather show --plot
      planner weather places "Ghent, BE"
    """


@weather_command.command("fetch")
@click.option("--place", help="Name of the place; default: all.")
@click.option("--from", "service", help="Ask this service only, such as met-norway or nasa-power.")
@json_option
@click.pass_obj
def fetch_command(state: State, *, place: str | None, service: str | None, as_json: bool) -> None:
    r"""Ask the weather services for what is missing.

    \b
    Examples:
      planner weather fetch
      planner weather fetch --place Bench --from nasa-power
    """
    from planner.commands.weather import fetch_weather
    from planner.commands.workshop import opened
    from planner.report.weather_words import fetched_lines
    from planner.report.words import dated

    settings = state.settings()
    places = [settings.place_named(place).place] if place else None
    with opened(settings) as workshop, _progress() as progress:
        report = fetch_weather(
            workshop,
            today=day_or_today(settings, None),
            places=places,
            service=service,
            progress=progress,
        )
    warnings = (f"Warning: {warning}" for warning in report.warnings)
    notes(*(dated(line, settings.dates) for line in (*report.notes, *warnings)))
    content = {"schema_version": SCHEMA_VERSION, **asdict(report)}
    print_answer(content, seen_lines(fetched_lines(report, settings.dates)), as_json=as_json)


@weather_command.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@place_option
@click.option(
    "--kind",
    type=click.Choice(["observed", "forecast"]),
    default="observed",
    show_default=True,
    help="What the rows are.",
)
@click.option("--issued", type=Day(), help="Day on which a forecast was issued; default: today.")
@click.option(
    "--dates", type=click.Choice(["ymd", "dmy", "mdy"]), help="What 3/4/2026 is in the file."
)
@click.option("--map", "headings", help='Your headings: "Zeit=time,T=temperature_c".')
@click.option("--remember", is_flag=True, help="Keep these in workshop.toml for the next time.")
@click.option("--dry-run", is_flag=True, help="Show what would be stored, store nothing.")
@today_option
@json_option
@click.pass_obj
def import_command(
    state: State,
    *,
    file: Path,
    place: str | None,
    kind: str,
    issued: date | None,
    dates: str | None,
    headings: str | None,
    remember: bool,
    dry_run: bool,
    today: date | None,
    as_json: bool,
) -> None:
    r"""Take in weather from a file.

    Hourly or daily rows, or a typical year (EPW, TMY3). A table has the columns time,
    temperature_c, and dew_point_c or rh_pct (in °F temperature_f, dew_point_f), under these
    headings or your own by --map; CSV, XLSX or ODS.

    \b
    Examples:
      planner weather import garden.csv --dry-run
      planner weather import logger.csv --map "Zeit=time,T=temperature_c,U=rh_pct"
      planner weather import town.epw --place Hall
    """
    from planner.commands import foreign
    from planner.commands.weather import import_weather
    from planner.commands.workshop import opened
    from planner.report.weather_words import imported_lines

    settings = state.settings()
    said = {"map": headings, "dates": dates}
    lines = foreign.to_remember(settings, foreign.WEATHER, said) if remember else ""
    with opened(settings) as workshop:
        imported = import_weather(
            workshop,
            file,
            today=day_or_today(settings, today),
            place_name=place,
            kind=kind,
            issued=issued,
            said=said,
            dry_run=dry_run,
        )
    notes(*(f"{file.name}: {note}." for note in imported.notes))
    if lines and not dry_run and imported.kind != "typical":
        notes(*foreign.remember(settings, lines))
    content = {"schema_version": SCHEMA_VERSION, "dry_run": dry_run, **asdict(imported)}
    told = imported_lines(imported, settings.dates, dry_run=dry_run)
    print_answer(content, seen_lines(told), as_json=as_json)


@weather_command.command("show")
@place_option
@click.option("--plot", is_flag=True, help="Draw it: a page, and a line a year here.")
@answering
@click.pass_obj
def show_command(
    state: State,
    *,
    place: str | None,
    plot: bool,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""What weather is stored, from where, and what is missing.

    \b
    Examples:
      planner weather show
      planner weather show --place Hall --plot
    """
    from planner.commands.weather_drawn import draw_weather
    from planner.commands.weather_shown import show_weather
    from planner.commands.workshop import opened
    from planner.report.weather_words import by_clock, shown_lines

    settings = state.settings()
    with opened(settings) as workshop:
        shown = show_weather(
            workshop, today=day_or_today(settings, today), place_name=place, curve=plot
        )
        page = draw_weather(workshop, shown) if plot else None
    drawn = {"page": str(page) if page else None} if plot else {}
    here = by_clock(shown, settings.place_named(shown.place).place.timezone)
    lines = shown_lines(here, settings.dates, blocks=_has_blocks(), width=columns())
    where = ("", f"Page: {page}") if page else ()
    print_answer({**_json(shown), **drawn}, (*lines, *where), as_json=as_json)


@weather_command.command("places")
@click.argument("name")
@click.option(
    "--from", "service", help='Ask this service: "open-meteo", where workshop.toml allows it.'
)
@answering
@click.pass_obj
def places_command(
    state: State,
    *,
    name: str,
    service: str | None,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""Places that a name may mean, as workshop.toml takes them.

    The list that comes with the program has the towns from 15,000 inhabitants on; Open-Meteo knows
    villages too, and heights.

    \b
    Examples:
      planner weather places "Portland, OR"
      planner weather places Vallorbe --from open-meteo
    """
    from planner.commands.weather_places import find_places
    from planner.report.weather_words import places_lines

    if offline and service is not None:
        raise WrongUse(
            f'"--from {service}" asks a service, and --offline asks none; leave one out.'
        )
    found, credit = find_places(state.settings(), name, service=service)
    places = [asdict(candidate) for candidate in found]
    content = {"schema_version": SCHEMA_VERSION, "places": places, "source": asdict(credit)}
    print_answer(content, places_lines(name, found, credit), as_json=as_json)


def _json(shown: "Shown") -> dict[str, Any]:
    answer = {"schema_version": SCHEMA_VERSION, **asdict(shown)}
    for holding in answer["holdings"]:
        holding["fetched_at"] = holding["fetched_at"].isoformat()
    if shown.last_fetch is not None:
        answer["last_fetch"] = shown.last_fetch.isoformat()
    for year in answer["curve"]:
        year["foreseen"] = sorted(year["foreseen"])
    return answer


def _has_blocks() -> bool:
    """Return whether the output can show the signs of the curve."""
    try:
        "▁█".encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def _asked(what: str | None) -> str:
    return (what or "")[:ASKED_WIDTH]


@contextmanager
def _progress() -> Iterator["Progress | None"]:
    """A bar of the places answered, on stderr while the fetch runs, where somebody looks at it."""
    if not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(
        length=1,
        label="Fetching",
        show_pos=True,
        show_eta=False,
        item_show_func=_asked,
        width=BAR_WIDTH,
        file=sys.stderr,
    ) as bar:

        def show(done: int, total: int, what: str) -> None:
            bar.length = max(total, 1)
            bar.update(done - bar.pos, what)
            bar.render_progress()  # an update by nought doesn't, and whose turn it is is news

        yield show
