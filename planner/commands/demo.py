"""The invented workshop: made, planned and shown without a network."""

from dataclasses import dataclass
from importlib.resources import as_file, files
from importlib.resources.abc import Traversable
from pathlib import Path

import planner
from planner.commands.load import load_folder
from planner.commands.plan import Planned, plan
from planner.demo import TODAY
from planner.errors import WorkshopError
from planner.settings import FILE_NAME, Settings

SAMPLE = "sample_history"


@dataclass(frozen=True)
class Demo:
    """The invented workshop's settings, its plan, and notes made on the way."""

    settings: Settings
    planned: Planned
    notes: tuple[str, ...]


def demo(folder: Path) -> Demo:
    """Make the invented workshop in *folder* and plan it as of the sample's day.

    Raises
    ------
    WorkshopError
        If there is a workshop in the folder already, or it can't be looked into.
    """
    try:
        taken = (folder / FILE_NAME).exists()
    except OSError as error:
        raise WorkshopError(f"{folder} can't be looked into: {error.strerror}.") from error
    if taken:
        raise WorkshopError(
            f"There is a workshop in {folder} already; name another folder for the demo: "
            '"planner demo FOLDER".'
        )
    with as_file(_sample()) as source:
        loaded = load_folder(source, folder, today=TODAY)
    planned = plan(loaded.settings, today=TODAY, with_page=True)
    return Demo(
        loaded.settings,
        planned,
        ("Everything in this workshop is invented.", *loaded.lines),
    )


def _sample() -> Traversable:
    """The sample's folder: inside the installed package, else beside it in a clone."""
    inside = files(planner) / SAMPLE
    return inside if inside.is_dir() else Path(planner.__file__).parent.parent / SAMPLE
