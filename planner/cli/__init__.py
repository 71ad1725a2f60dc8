"""The command line: the only place that knows of a terminal.

Commands are named here and loaded when called, so that help and the bench commands start at once.
"""

import importlib
import os
from pathlib import Path
from typing import Any

import click

from planner import __version__
from planner.cli.shared import State, report_trouble
from planner.cli.streams import ready_streams

# name: (module that holds the command under the same name, what it does)
COMMANDS = {
    "week": ("planner.cli.planning", "What to take this week, in a few lines."),
    "plan": ("planner.cli.planning", "The page for the coming weeks, and its summary."),
    "prepare": ("planner.cli.prepare", "Spells ahead: what to sort, gouge and order by when."),
    "add": ("planner.cli.record", "Add a reed, check, cane, reading or order."),
    "undo": ("planner.cli.record", "Take the last entry back."),
    "gouge": ("planner.cli.review", "The gouger: where it stands, drifting or not, next check."),
    "review": ("planner.cli.review", "How well last season fitted."),
    "room": ("planner.cli.room", "What is known of the room, from its readings."),
    "weather": ("planner.cli.weather", "Fetch, import or show the weather."),
    "import": ("planner.cli.record", "Take a whole table into the record."),
    "export": ("planner.cli.record", "Write a whole table to a file."),
    "for": ("planner.cli.prepare", "One answer for one town; nothing is written."),
    "start": ("planner.cli.first_use", "Make a workshop."),
    "demo": ("planner.cli.first_use", "Make an invented workshop and plan it, without a network."),
    "backup": ("planner.cli.record", "Copy the record, while in use."),
    "verify": ("planner.cli.record", "Check that the record is sound."),
}

EPILOG = """\b
Examples:
  planner demo                        see it work, without a network
  planner start                       make your own workshop
  planner add reed                    enter reeds, one line each
  planner week                        what to take this week
  planner plan --open                 the page for the coming weeks
"""


# The matrices are small: several threads gain nothing, and beside other programs they wait for each
# other ten times longer than one takes. Read once, when numpy is loaded.
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def keep_lines(command: click.Command) -> None:
    """Let the help keep the lines of examples: what a raw docstring marks with backslash and b."""
    command.help = command.help and command.help.replace("\\b\n", "\b\n")
    for inner in command.commands.values() if isinstance(command, click.Group) else ():
        keep_lines(inner)


class LazyGroup(click.Group):
    """A group whose commands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the help."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command called."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(COMMANDS[cmd_name][0])
        command = getattr(module, f"{cmd_name}_command")
        assert isinstance(command, click.Command)
        keep_lines(command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])

    def main(self, *args: Any, **extra: Any) -> Any:
        """Run the program; what fails outside a command is told as what fails in one."""
        ready_streams()
        with report_trouble():
            return super().main(*args, **extra)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; trouble becomes one clear sentence and an exit code."""
        with report_trouble():
            return super().invoke(ctx)


def _colour(ctx: click.Context) -> None:
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        ctx.color = False
    elif os.environ.get("FORCE_COLOR"):
        ctx.color = True


@click.group(
    cls=LazyGroup,
    epilog=EPILOG,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the workshop; default: the folder you stand in, else PLANNER_WORKSHOP.",
)
@click.version_option(__version__, message="planner %(version)s")
@click.pass_context
def main(ctx: click.Context, *, workshop: Path | None) -> None:
    """Plan cane and gouge for oboe reeds by the humidity of the coming weeks."""
    _colour(ctx)
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    ctx.obj = State(workshop)
    if ctx.invoked_subcommand is None:
        from planner.commands.next_step import next_step

        click.echo(next_step(workshop))


# Names only, so that a mistyped command is told the nearest one.
main.commands.update(dict.fromkeys(COMMANDS))  # type: ignore[arg-type]
