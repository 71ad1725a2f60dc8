"""The verbs that look back: gouge, review."""

import sys
from datetime import date

import click

from planner.cli.shared import (
    Day,
    State,
    answering,
    columns,
    day_or_today,
    notes,
    print_answer,
)


@click.command("gouge")
@click.option("--gouger", help="Only the gouger of that name.")
@click.option(
    "--within-pieces",
    type=click.IntRange(1, 10_000),
    help="Pieces that may be gouged before a change of 0.01 mm is called; default: a week's.",
)
@answering
@click.pass_obj
def gouge_command(
    state: State,
    *,
    gouger: str | None,
    within_pieces: int | None,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""The gouger: where it stands, drifting or not, next check.

    A chart of its checks about the centre aimed for; "sharpened" and "set" start it anew.

    \b
    Examples:
      planner gouge
      planner gouge --within-pieces 30
      planner gouge --gouger bench --json
    """
    from planner.commands.gouge import gouge, to_json_dict
    from planner.report.gouge_words import gouge_lines

    settings = state.settings()
    document = gouge(
        settings,
        today=day_or_today(settings, today),
        gouger=gouger,
        within_pieces=within_pieces,
    )
    notes(*document.warnings)
    lines = gouge_lines(document, settings.dates, columns())
    print_answer(to_json_dict(document), lines, as_json=as_json)


@click.command("review")
@click.option("--from", "first", type=Day(), help="First day of the season (YYYY-MM-DD).")
@click.option("--to", "last", type=Day(), help="Last day of the season (YYYY-MM-DD).")
@click.option("--open", "show", is_flag=True, help="Open the page.")
@answering
@click.pass_obj
def review_command(
    state: State,
    *,
    first: date | None,
    last: date | None,
    show: bool,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""How well a season fitted: a page, and its summary.

    Every week is planned again with only what was known then, and held against the reeds that
    were judged. Without days: the last winter or summer half that ended.

    \b
    Examples:
      planner review --open
      planner review --from 2025-10-01 --to 2026-03-31
      planner review --json
    """
    from planner.commands.review import review_season
    from planner.plan.assemble import to_json_dict
    from planner.report.review_words import review_lines

    settings = state.settings()
    reviewed = review_season(
        settings,
        today=day_or_today(settings, today),
        first=first,
        last=last,
        progress=_weeks_done,
    )
    lines = review_lines(reviewed.document, settings.dates, columns())
    content = to_json_dict(reviewed.document)
    print_answer(content, (*lines, "", f"Page: {reviewed.page}"), as_json=as_json)
    if show:
        click.launch(str(reviewed.page))


def _weeks_done(done: int, total: int) -> None:
    """Say on stderr what takes a while; where somebody looks at it, how far it is."""
    if not done:
        weeks = "1 week" if total == 1 else f"{total} weeks"
        notes(f"Planning {weeks} again, each with what was known then; this takes a while.")
    elif sys.stderr.isatty():
        click.echo(f"\r{done} of {total}", err=True, nl=done == total)
