"""The verbs that look back: gouge, review."""

from datetime import date

import click

from planner.cli.shared import State, answer_json, answering, day_or_today, notes


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
    if as_json:
        answer_json(to_json_dict(document))
        return
    for line in gouge_lines(document, settings.dates):
        click.echo(line)
