"""The verbs of the record: add, undo, import, export, backup, verify."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import click

from planner.cli.shared import (
    State,
    answer_json,
    answering,
    day_or_today,
    json_option,
    notes,
    print_answer,
    seen_lines,
)
from planner.history.cells import unit_of
from planner.history.meanings import MEANINGS
from planner.history.tables import TABLES, Column, Table
from planner.plan.documents import SCHEMA_VERSION
from planner.settings import Settings

ARTICLES = {"cane": "a movement of cane", "order": "an order"}


def _now(settings: Settings, today: date | None) -> datetime:
    """The computer's time, or the end of the day asked for at the bench."""
    if today is None:
        return datetime.now(UTC)
    return datetime.combine(today, time(23, 59), ZoneInfo(settings.bench.place.timezone))


def _column_option(column: Column) -> Callable[[Any], Any]:
    meaning, unit = MEANINGS[column.name], unit_of(column)
    shown = f"{meaning[0].upper()}{meaning[1:]}{f', in{unit}' if unit else ''}"
    choices = f": {', '.join(column.choices)}" if column.choices else ""
    return click.option(
        f"--{column.name.replace('_', '-')}", column.name, help=f"{shown}{choices}."
    )


def _adding(table: Table) -> click.Command:
    def command(
        state: State, *, as_json: bool, today: date | None, offline: bool, **cells: str | None
    ) -> None:
        from planner.cli.entry import add_one, enter_many

        settings = state.settings()
        given = {name: text for name, text in cells.items() if text is not None}
        if _is_one(table, given):
            add_one(settings, table, given, now=_now(settings, today), as_json=as_json)
        else:
            enter_many(settings, table, given, now=lambda: _now(settings, today), as_json=as_json)

    from planner.history.quick import EXAMPLES, STAYING

    staying = ", ".join(STAYING[table.name])
    command.__doc__ = (
        f"Add {ARTICLES.get(table.one, f'a {table.one}')}.\n\n"
        "With options it is one record; without, one a line, from the keyboard or a pipe, each "
        f'kept at once. What stays until changed: {staying}. "undo" takes the last line back, an '
        f"empty line ends.\n\n\b\nLines:\n  {EXAMPLES[table.name]}\n\n\b\nExample:\n"
        f"  planner add {table.one}"
    )
    made: Any = command
    for column in reversed(table.columns):
        made = _column_option(column)(made)
    return click.command(table.one)(answering(click.pass_obj(made)))


def _is_one(table: Table, given: dict[str, str]) -> bool:
    """Whether the options make a record; words that stay only open the prompt."""
    from planner.history.quick import STAYING

    return any(name not in STAYING[table.name] for name in given)


@click.group("add")
def add_command() -> None:
    r"""Add a reed, check, cane, reading or order.

    \b
    Examples:
      planner add reed
      planner add reed --diameter-mm 10.4 --gouge-mm 0.58 --opening-mm 0.82
      planner add check --centre-mm 0.59
      planner add cane --from-stage supplier --to-stage tube --pieces 60
      printf '10.3 0.58 0.82\n10-10.5 good\n' | planner add reed
    """


for _table in TABLES.values():
    add_command.add_command(_adding(_table))


@click.command("undo")
@json_option
@click.pass_obj
def undo_command(state: State, *, as_json: bool) -> None:
    r"""Take the last entry back, an import as a whole; again goes further back.

    What is taken back keeps its trace in the record.

    \b
    Example:
      planner undo
    """
    from planner.commands.add import undo
    from planner.commands.record import zones_of
    from planner.report.record_words import difference_dict, undone_lines

    settings = state.settings()
    undone = undo(settings)
    change = difference_dict(undone.difference) if undone else None
    lines = (
        undone_lines(undone, zones_of(settings), settings.dates)
        if undone
        else ["There is nothing to take back."]
    )
    content = {"schema_version": SCHEMA_VERSION, "undone": change}
    print_answer(content, seen_lines(lines), as_json=as_json)


_table_argument = click.argument("table", type=click.Choice(list(TABLES)))


@click.command("import")
@_table_argument
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Say what would change; change nothing.")
@click.option("--replace", is_flag=True, help="Take rows out that the file doesn't have.")
@click.option("--dates", type=click.Choice(["ymd", "dmy", "mdy"]), help="What 3/4/2026 is.")
@click.option("--map", "headings", help='Your headings: "Ø=diameter_mm,result=verdict".')
@click.option("--verdicts", help='Your words: "flat=closed,ok=good,wide=open".')
@click.option(
    "--units",
    help='Units of bare numbers: "diameter_mm=inch,gouge_mm=hundredths"; also cm, thousandths '
    "(of an inch), fahrenheit.",
)
@click.option("--remember", is_flag=True, help="Keep these in workshop.toml for the next time.")
@answering
@click.pass_obj
def import_command(
    state: State,
    *,
    table: str,
    file: Path,
    dry_run: bool,
    replace: bool,
    dates: str | None,
    headings: str | None,
    verdicts: str | None,
    units: str | None,
    remember: bool,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""Take a whole table into the record: CSV, XLSX or ODS, all rows or none.

    A file from "export", edited, changes the rows whose id it has; the same file twice adds
    nothing. A table's columns are the options of "planner add reed", "add cane" and so on, with
    underscores: diameter_mm.

    \b
    Examples:
      planner import reeds reeds.xlsx --dry-run
      planner import reeds old.csv --dates dmy --map "Ø=diameter_mm"
    """
    from planner.commands import foreign, tables
    from planner.commands.record import zones_of
    from planner.report.record_words import difference_dict, difference_lines

    settings = state.settings()
    said = {"map": headings, "verdicts": verdicts, "units": units, "dates": dates}
    lines = foreign.to_remember(settings, table, said) if remember else ""
    done = tables.import_table(
        settings,
        table,
        file,
        today=day_or_today(settings, today),
        said=said,
        replacing=replace,
        dry_run=dry_run,
    )
    notes(*done.notes)
    if lines and not dry_run:
        notes(*foreign.remember(settings, lines))
    change = {**difference_dict(done.difference), "dry_run": dry_run}
    told = difference_lines(done.difference, file.name, zones_of(settings), dry_run=dry_run)
    content = {"schema_version": SCHEMA_VERSION, **change}
    print_answer(content, seen_lines(told), as_json=as_json)


@click.command("export")
@click.argument("table", type=click.Choice([*TABLES, "stock"]))
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path), required=False)
@click.option("--decimal-comma", is_flag=True, help="CSV with semicolons and decimal commas.")
@click.option("--overwrite", is_flag=True, help="Write over a file that is there.")
@answering
@click.pass_obj
def export_command(
    state: State,
    *,
    table: str,
    file: Path | None,
    decimal_comma: bool,
    overwrite: bool,
    as_json: bool,
    today: date | None,
    offline: bool,
) -> None:
    r"""Write a whole table to a CSV, XLSX or ODS file; without a file, CSV to the terminal.

    "stock" is the cane by stage and diameter class, today or at the end of --today.

    \b
    Examples:
      planner export reeds reeds.xlsx
      planner export stock --today 2026-06-30
    """
    from planner.commands.tables import plain_rows, table_cells
    from planner.history.write import csv_text, write_file
    from planner.report.words import counted

    cells = table_cells(state.settings(), table, today)
    if as_json:
        rows = plain_rows(cells)
        answer_json({"schema_version": SCHEMA_VERSION, "table": table, "rows": rows})
    elif file is None:
        # Bytes: a table stays UTF-8 whatever the terminal takes, and keeps its own line ends.
        click.echo(csv_text(cells, decimal_comma=decimal_comma).encode(), nl=False)
    else:
        write_file(cells, file, decimal_comma=decimal_comma, overwriting=overwrite)
        wrote = f"Wrote {counted(len(cells.rows), 'row')} of {table} to {file}."
        print_answer({}, seen_lines([wrote]), as_json=False)


@click.command("backup")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@json_option
@click.pass_obj
def backup_command(state: State, *, file: Path | None, as_json: bool) -> None:
    r"""Copy the record, while in use; without a file, dated among the backups.

    To go back to a copy, put it in the place of workshop.db.

    \b
    Examples:
      planner backup
      planner backup /media/stick/workshop.db
    """
    from planner.commands.backup import backup

    settings = state.settings()
    target = backup(settings, file, datetime.now(UTC))
    content = {"schema_version": SCHEMA_VERSION, "file": str(target)}
    print_answer(content, seen_lines([f"Copied the record to {target}."]), as_json=as_json)


@click.command("verify")
@json_option
@click.pass_obj
def verify_command(state: State, *, as_json: bool) -> None:
    r"""Check that the record is sound, without changing it; exit code 1 if it isn't.

    \b
    Example:
      planner verify
    """
    from dataclasses import asdict

    from planner.commands.backup import verify
    from planner.commands.workshop import RECORD_FILE
    from planner.history.soundness import Soundness
    from planner.report.record_words import soundness_lines

    settings = state.settings()
    found = verify(settings)
    lines = soundness_lines(found) if found else ["There is no record yet."]
    found = found or Soundness(settings.folder / RECORD_FILE, 0, (), (), 0, None)
    content = {"schema_version": SCHEMA_VERSION, "sound": found.sound, **asdict(found)}
    print_answer(content, seen_lines(lines), as_json=as_json)
    if not found.sound:
        raise SystemExit(1)
