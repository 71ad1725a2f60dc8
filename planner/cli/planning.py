"""The verbs of the main job: week and plan."""

from datetime import date

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
from planner.errors import WrongUse

WEEK_KEYS = (
    *("schema_version", "today", "workshop", "basis", "same_cane"),
    *("watch", "warnings", "sources"),
)
NOTHING_WRITTEN = "A what-if: your plan and its page stay as they are."


@click.command("week")
@answering
@click.pass_obj
def week_command(state: State, *, as_json: bool, today: date | None, offline: bool) -> None:
    r"""What to take this week, in a few lines.

    \b
    Example:
      planner week
      planner week --json --today 2026-01-12
    """
    from planner.commands.plan import plan, rows_now
    from planner.report.terminal import week_lines

    settings = state.settings()
    with waiting("Working out the plan"):
        planned = plan(
            settings,
            today=day_or_today(settings, today),
            fetch=not offline and today is None,
            tell=notes,
        )
    now = rows_now(planned.answer)
    notes(*planned.answer["warnings"])
    print_answer(
        {**{key: planned.answer[key] for key in WEEK_KEYS}, **now},
        week_lines(planned.answer, now, settings.dates, columns()),
        as_json=as_json,
    )


@click.command("plan")
@weeks_option
@click.option("--usual-only", is_flag=True, help="What if you went on with your usual choice.")
@sort_to_finish_option
@click.option("--open", "show", is_flag=True, help="Open the page.")
@answering
@click.pass_obj
def plan_command(
    state: State,
    *,
    weeks: int | None,
    usual_only: bool,
    sort_to_finish_days: int | None,
    show: bool,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""The page for the coming weeks, and its summary.

    \b
    Examples:
      planner plan --open
      planner plan --weeks 26 --offline
      planner plan --usual-only           # what if; nothing is written
      planner plan --json > plan.json
    """
    from planner.commands.plan import plan
    from planner.commands.wishes import Wishes
    from planner.report.terminal import plan_lines

    settings, wishes = state.settings(), Wishes(weeks, usual_only, sort_to_finish_days)
    if show and wishes.what_if(settings):
        raise WrongUse("A what-if writes no page, so there is none to open; leave --open out.")
    with waiting("Working out the plan"):
        planned = plan(
            settings,
            today=day_or_today(settings, today),
            wishes=wishes,
            fetch=not offline and today is None,
            with_page=True,
            tell=notes,
        )
    notes(*planned.answer["warnings"])
    lines = plan_lines(planned.answer, settings.dates, columns())
    where = f"Page: {planned.page}" if planned.page else NOTHING_WRITTEN
    print_answer(planned.answer, (*lines, "", where), as_json=as_json)
    if show:
        click.launch(str(planned.page))
