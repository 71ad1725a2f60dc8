"""Entries at the bench: one by its options, or many by lines."""

import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from datetime import datetime
from typing import Any

import click

from planner.cli.shared import notes, print_answer, seen_lines
from planner.commands.add import Entered, Session, add_row, copy_now_and_then
from planner.commands.record import open_record, zones_of
from planner.errors import RecordBusy, RecordError, StockShort, WrongUse
from planner.history.quick import EXAMPLES
from planner.history.tables import Table
from planner.plan.documents import SCHEMA_VERSION
from planner.report.record_words import (
    difference_dict,
    kept_line,
    row_dict,
    staying_line,
    stock_line,
    undone_lines,
)
from planner.settings import Settings

HELP = "?"


def add_one(
    settings: Settings, table: Table, cells: Mapping[str, str], *, now: datetime, as_json: bool
) -> None:
    """Keep one record and say what was understood."""
    with open_record(settings) as record:
        added = add_row(record, settings, table.name, cells, now)
        note = copy_now_and_then(record.path, now)
    notes(*([note] if note else []))
    entered = Entered(added=added)
    print_answer(_content(entered), _lines(entered, settings), as_json=as_json)


def enter_many(
    settings: Settings,
    table: Table,
    staying: Mapping[str, str],
    *,
    now: Callable[[], datetime],
    as_json: bool,
) -> None:
    """Take lines until an empty one or the end; each is kept before it is echoed.

    Exits with 1 when a line of a pipe couldn't be used: nobody was there to mend it.
    """
    asking = sys.stdin.isatty()
    unusable = number = 0
    with open_record(settings) as record:
        session = Session(record, settings, table.name, now, staying)
        lines = _asked(table) if asking else _piped()
        for number, line in enumerate(lines, start=1):
            try:
                entered = session.enter(line)
            except (WrongUse, StockShort, RecordBusy) as error:
                unusable += 1
                notes(f"{'' if asking else f'Line {number}: '}{error}")
            except RecordError:
                if not asking:
                    notes(f"Line {number} and what follows it were not taken.")
                raise
            else:
                said = _lines(entered, settings)
                print_answer(_content(entered), said, as_json=as_json)
                sys.stdout.flush()
        note = copy_now_and_then(record.path, now())
        notes(*([note] if note else []))
    if not number and not asking:
        notes(f"No line came; type them, pipe them in, or see planner add {table.one} --help.")
    if unusable and not asking:
        others = "the others are kept" if number > unusable else "nothing was kept"
        lines_of = "1 line" if unusable == 1 else f"{unusable} lines"
        notes(f"{lines_of} could not be used; {others}.")
        raise SystemExit(1)


def _asked(table: Table) -> Iterator[str]:
    """Lines from the keyboard, with the help first and at every "?"."""
    line = HELP
    while line:
        if line == HELP:
            one = "movement of cane" if table.one == "cane" else table.one
            notes(f"One {one} a line: {EXAMPLES[table.name]}")
            notes('"undo" takes the last line back, "?" shows this again, an empty line ends.')
        else:
            yield line
        line = _typed(f"{table.one}> ")


def _typed(prompt: str) -> str:
    """One line of the keyboard, "" at its end; where Python can, it is edited with the arrows."""
    if sys.stdout.isatty():
        with suppress(ImportError):
            import readline  # noqa: F401
        try:
            return _readable(input(prompt))
        except EOFError:
            click.echo()
            return ""
    # The answers go to a file: there the prompt has no place.
    click.echo(prompt, nl=False, err=True)
    line = sys.stdin.readline()
    if not line:
        click.echo(err=True)
    return _readable(line)


def _piped() -> Iterator[str]:
    """Lines of a pipe; whoever keeps it open ends it by an empty one."""
    while raw := sys.stdin.readline():
        line = _readable(raw)
        if not line:
            notes("An empty line ended the entry; what may follow it was not read.")
            return
        yield line


def _readable(line: str) -> str:
    """A line whose bytes that are no text show as question marks."""
    return line.encode("utf-8", "replace").decode().strip()


def _lines(entered: Entered, settings: Settings) -> Iterable[str]:
    """What an entry did, in words."""
    return seen_lines(_said(entered, zones_of(settings), settings.dates))


def _said(entered: Entered, zones: Mapping[str, str], order: str) -> Iterator[str]:
    if entered.added is not None:
        yield kept_line(entered.added.table, entered.added.row, zones)
        if entered.added.stock:
            yield stock_line(entered.added.stock)
    elif entered.undone is not None:
        yield from undone_lines(entered.undone, zones, order)
    else:
        yield staying_line(entered.staying)


def _content(entered: Entered) -> dict[str, Any]:
    """What an entry did, as a JSON object."""
    content: dict[str, Any] = {"schema_version": SCHEMA_VERSION}
    if entered.added is not None:
        content |= {"table": entered.added.table, "row": row_dict(entered.added.row)}
    elif entered.undone is not None:
        content["undone"] = difference_dict(entered.undone.difference)
    else:
        content["staying"] = dict(entered.staying)
    return content
