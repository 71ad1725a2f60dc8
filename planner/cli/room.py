"""The verb that tells of the room: room."""

from datetime import date

import click

from planner.cli.shared import State, answering, columns, day_or_today, print_answer


@click.command("room")
@click.option("--place", help="Another place than the bench.")
@click.option("--open", "show", is_flag=True, help="Open the page.")
@answering
@click.pass_obj
def room_command(
    state: State,
    *,
    place: str | None,
    show: bool,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""What is known of the room, from its readings: a page, and its summary.

    \b
    Examples:
      planner room
      planner room --open
      planner room --place "Far Harbour" --json
    """
    from planner.commands.room import room, to_json_dict
    from planner.report.room_words import room_lines

    settings = state.settings()
    answer = room(settings, today=day_or_today(settings, today), place=place)
    lines = room_lines(
        answer.known, dates=settings.dates, fahrenheit=settings.fahrenheit, width=columns()
    )
    content = to_json_dict(answer.known)
    print_answer(content, (*lines, "", f"Page: {answer.page}"), as_json=as_json)
    if show:
        click.launch(str(answer.page))
