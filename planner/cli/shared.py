"""What the commands share: options, the answer on stdout, notes and trouble on stderr."""

import errno
import json
import os
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, NoReturn
from zoneinfo import ZoneInfo

import click

from planner.cli.streams import takes_all_signs
from planner.errors import PlannerError
from planner.report.layout import NARROWEST, WIDTH, flowing
from planner.settings import Settings, find_workshop, read_settings

DEBUG_VARIABLE = "PLANNER_DEBUG"
STOPPED = 130
# Failures of standard output, as when it goes to a file on a full disk.
NO_OUTPUT = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO, errno.EBADF)
# No record and no calendar arithmetic reaches further.
FIRST_DAY, LAST_DAY = date(1900, 1, 1), date(2199, 12, 31)


@dataclass
class State:
    """What the group hands to its commands."""

    workshop: Path | None

    def settings(self) -> Settings:
        """Read the settings of the workshop."""
        return read_settings(find_workshop(self.workshop))


@contextmanager
def report_trouble() -> Iterator[None]:
    """Turn errors into one clear sentence on stderr and an exit code."""
    try:
        yield
    except PlannerError as error:
        click.secho(_seen(f"Error: {error}"), err=True, fg="red" if sys.stderr.isatty() else None)
        raise SystemExit(error.exit_code) from error
    except (KeyboardInterrupt, click.Abort) as error:
        click.echo("Stopped; what was acknowledged is kept.", err=True)
        raise SystemExit(STOPPED) from error
    except (click.exceptions.Exit, click.ClickException, BrokenPipeError):
        raise
    except OSError as error:
        if error.errno not in NO_OUTPUT or error.filename is not None:
            _unforeseen(error)
        reason = os.strerror(error.errno or 0)
        click.echo(
            f"Error: the answer could not be written ({reason}); what the command did stands.",
            err=True,
        )
        raise SystemExit(1) from error
    except Exception as error:
        _unforeseen(error)


def _unforeseen(error: Exception) -> NoReturn:
    """The one broad net: a maker never sees a traceback, whoever mends it asks for one."""
    if os.environ.get(DEBUG_VARIABLE):
        raise error
    click.echo(
        f"Error: the planner met something it wasn't made for ({type(error).__name__}: {error}). "
        "What was acknowledged is kept, nothing else was written to the record. Run again with "
        f"{DEBUG_VARIABLE}=1 set and report what it prints.",
        err=True,
    )
    raise SystemExit(1) from error


class Day(click.ParamType[date]):
    """A date written YYYY-MM-DD."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Read the date, or refuse it."""
        if isinstance(value, date):
            return value
        try:
            day = date.fromisoformat(value)
        except ValueError:
            self.fail(f'"{value}" is not a date; write it as 2026-11-23', param, ctx)
        if not FIRST_DAY <= day <= LAST_DAY:
            self.fail(f'"{value}" must lie from {FIRST_DAY} to {LAST_DAY}', param, ctx)
        return day


json_option = click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
today_option = click.option(
    "--today", type=Day(), help="Answer as of that day (YYYY-MM-DD): nothing later is used."
)
offline_option = click.option(
    "--offline", is_flag=True, help="Ask no weather service; use what is stored."
)

weeks_option = click.option(
    "--weeks", type=click.IntRange(1, 52), help="How many weeks; default 12."
)
sort_to_finish_option = click.option(
    "--sort-to-finish-days",
    type=click.IntRange(0, 365),
    help="What if finishing took so many days; default: as in workshop.toml.",
)


def answering(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of every command that answers: --json, --today, --offline."""
    return json_option(today_option(offline_option(command)))


def day_or_today(settings: Settings, today: date | None) -> date:
    """Return the day asked for, else the bench's local date."""
    if today is not None:
        return today
    return datetime.now(ZoneInfo(settings.bench.place.timezone)).date()


def columns() -> int:
    """Return how wide to write: as the terminal is, within reason; in a pipe as wide as any."""
    return min(max(shutil.get_terminal_size((WIDTH, 0)).columns, NARROWEST), WIDTH)


def answer_json(answer: dict[str, Any]) -> None:
    """Print one JSON object on stdout, whole in any encoding."""
    ascii_only = not takes_all_signs()
    click.echo(json.dumps(answer, ensure_ascii=ascii_only, indent=2, default=str))


def print_answer(content: dict[str, Any], lines: Iterable[str], *, as_json: bool) -> None:
    """Print the answer on stdout: its content as JSON, or its lines."""
    if as_json:
        answer_json(content)
    else:
        for line in lines:
            click.echo(line)


def notes(*lines: str) -> None:
    """Print notes and warnings on stderr."""
    for line in lines:
        click.echo(_seen(line), err=True)


def seen_lines(lines: Iterable[str]) -> Iterable[str]:
    """Wrap the lines of an answer where somebody looks at it; in a pipe a line stays whole."""
    return flowing(lines, columns()) if sys.stdout.isatty() else lines


def _seen(text: str) -> str:
    """Wrap what goes to stderr where somebody looks at it; in a pipe a line stays whole."""
    if not sys.stderr.isatty():
        return text
    return "\n".join(flowing(text.splitlines(), columns()))
