"""Entries at the bench: one by its options, or many by lines."""

import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from datetime import datetime
from typing import Any

import click

from planner.cli.shared import answer_json, notes
from planner.commands.add import Added, Entered, Session, add_row, copy_now_and_then
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
    if as_json:
        answer_json(_answer(Entered(added=added)))
        return
    for line in _added_lines(added, zones_of(settings)):
        click.echo(line)


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
                _echo(entered, zones_of(settings), as_json=as_json)
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


def _echo(entered: Entered, zones: Mapping[str, str], *, as_json: bool) -> None:
    if as_json:
        answer_json(_answer(entered))
    elif entered.added is not None:
        for line in _added_lines(entered.added, zones):
            click.echo(line)
    elif entered.undone is not None:
        for line in undone_lines(entered.undone):
            click.echo(line)
    else:
        click.echo(staying_line(entered.staying))
    sys.stdout.flush()


def _added_lines(added: Added, zones: Mapping[str, str]) -> Iterator[str]:
    yield kept_line(added.table, added.row, zones)
    if added.stock:
        yield stock_line(added.stock)


def _answer(entered: Entered) -> dict[str, Any]:
    answer: dict[str, Any] = {"schema_version": SCHEMA_VERSION}
    if entered.added is not None:
        answer |= {"table": entered.added.table, "row": row_dict(entered.added.row)}
    if entered.undone is not None:
        answer["undone"] = difference_dict(entered.undone.difference)
    if entered.added is None and entered.undone is None:
        answer["staying"] = dict(entered.staying)
    return answer
