"""Make a workshop: a folder with a ``workshop.toml`` that the maker can go on editing."""

import json
import os
from contextlib import suppress
from dataclasses import dataclass
from math import ceil, floor
from pathlib import Path

from planner.errors import RecordFull, WorkshopError
from planner.settings import FILE_NAME, Settings, read_settings
from planner.settings_schema import DIAMETERS_MM, GOUGES_MM
from planner.weather.places import Place

TEMPLATE = """\
# Settings of the workshop. Edit by hand; lines that start with # are off.
# Lengths in mm, humidity in %, temperatures in °C.

[workshop]
name = {name}
{contact}
# dates = "dmy"              # what 3/4/2026 is, typed or in a table: dmy or mdy; else it is refused

[opening]
# The range at the tip that you want. Left out, it is learned from your verdicts.
{opening}

[cane]
diameter_min_mm = {diameter_min:g}
diameter_max_mm = {diameter_max:g}
sorted_to_mm = {sorted_to:g}          # how finely you sort
{usual}

[gouge]
usual_mm = {gouge:g}
min_mm = {gouge_min:g}               # never thinner: too thin loses stability fast
max_mm = {gouge_max:g}

[lead]
sort_to_finish_days = 14    # from sorting the cane to the finished reed
in_use_days = 21            # how long a reed is played

[output]
reeds_per_week = 20

# The first place is the bench. Add a [[place]] for each town where your reeds are played.
[[place]]
name = {place}
latitude = {latitude:.4f}
longitude = {longitude:.4f}
timezone = {timezone}
{altitude}

[place.room]
# What you know of the room; what you leave out is taken from general experience.
# winter_c = 20              # heating set-point
# humidify_to_pct = 40       # a humidifier holds at least this
# air_conditioned = true     # cooled in summer
# heated = false             # no heating
# damp = true                # ground or walls give water, as in a cellar
# hygrometer_offset_pct = 3  # what your hygrometer shows too much, tried over damp salt (75 %)
"""

GOUGE_MARGIN = 0.03  # mm about the usual gouge, common practice, no source
DIAMETER_MARGIN = 1.0  # mm about the usual diameter, common practice, no source
# What may be answered: the margins about it must be possible too.
USUAL_DIAMETERS = (DIAMETERS_MM[0] + DIAMETER_MARGIN, DIAMETERS_MM[1] - DIAMETER_MARGIN)
USUAL_GOUGES = (GOUGES_MM[0] + GOUGE_MARGIN, GOUGES_MM[1] - GOUGE_MARGIN)


@dataclass(frozen=True)
class Answers:
    """What the maker answered; lengths in mm, None where the answer was "not yet"."""

    name: str
    place: Place
    contact: str = ""
    opening_low: float | None = None
    opening_high: float | None = None
    usual_diameter: float | None = None
    usual_gouge: float = 0.59
    diameter_min: float | None = None
    diameter_max: float | None = None
    sorted_to: float = 0.25


def start(folder: Path, answers: Answers) -> Settings:
    """Write the ``workshop.toml`` of a new workshop and read it back.

    Raises
    ------
    WorkshopError
        If there is a workshop already, or an answer can't be used (nothing is written then).
    RecordFull
        If the folder can't be written.
    """
    must_be_free(folder)
    path = folder / FILE_NAME
    draft = folder / f".{FILE_NAME}.{os.getpid()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        draft.write_text(settings_text(answers), encoding="utf-8", errors="replace")
        draft.replace(path)
    except OSError as error:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
        raise _unwritable(folder, error) from error
    try:
        return read_settings(folder)
    except WorkshopError:
        path.unlink()
        raise


def must_be_free(folder: Path, source: Path | None = None) -> None:
    """Refuse a folder that is a workshop already, before a maker has answered anything.

    With the very settings of *source* it isn't another workshop, but one whose start from there was
    cut short by a bad table, and may go on.

    Raises
    ------
    WorkshopError
        If there is a workshop.
    RecordFull
        If the folder can't be looked into.
    """
    path = folder / FILE_NAME
    try:
        if not path.exists():
            return
        theirs = None if source is None else source / FILE_NAME
        if theirs is not None and theirs.is_file() and theirs.read_bytes() == path.read_bytes():
            return
    except OSError as error:
        raise _unwritable(folder, error) from error
    raise WorkshopError(
        f"There is a workshop in {folder} already; edit {path}, or choose another folder. Tables "
        'are brought into it with "planner import TABLE FILE".'
    )


def _unwritable(folder: Path, error: OSError) -> RecordFull:
    return RecordFull(f"{folder} can't be written ({error.strerror}); choose another folder.")


def settings_text(answers: Answers) -> str:
    """Return the text of a ``workshop.toml``, commented for whoever edits it."""
    low, high = _diameters(answers)
    return TEMPLATE.format(
        name=_quoted(answers.name),
        contact=f"contact = {_quoted(answers.contact)}"
        if answers.contact
        else '# contact = "you@example.org"   # the weather services ask who is calling',
        opening=f"low_mm = {answers.opening_low:g}\nhigh_mm = {answers.opening_high:g}"
        if answers.opening_low is not None and answers.opening_high is not None
        else "# low_mm = 0.7\n# high_mm = 0.9",
        diameter_min=low,
        diameter_max=high,
        sorted_to=answers.sorted_to,
        usual=f"usual_mm = {answers.usual_diameter:g}"
        if answers.usual_diameter is not None
        else "# usual_mm = 10.5          # left out: the median of the last year's reeds",
        gouge=answers.usual_gouge,
        gouge_min=round(answers.usual_gouge - GOUGE_MARGIN, 3),
        gouge_max=round(answers.usual_gouge + GOUGE_MARGIN, 3),
        place=_quoted(answers.place.name),
        latitude=answers.place.latitude,
        longitude=answers.place.longitude,
        timezone=_quoted(answers.place.timezone),
        altitude=f"altitude = {answers.place.altitude:g}"
        if answers.place.altitude is not None
        else "# altitude = 120           # metres; helps the forecast in the hills",
    )


def _diameters(answers: Answers) -> tuple[float, float]:
    """From where to where cane is taken: in whole sorting steps, as classes are sold and sorted."""
    usual = 10.5 if answers.usual_diameter is None else answers.usual_diameter
    first = floor(round((usual - DIAMETER_MARGIN) / answers.sorted_to, 6)) * answers.sorted_to
    last = ceil(round((usual + DIAMETER_MARGIN) / answers.sorted_to, 6)) * answers.sorted_to
    low = first if answers.diameter_min is None else answers.diameter_min
    high = last if answers.diameter_max is None else answers.diameter_max
    return round(low, 3), round(high, 3)


def _quoted(text: str) -> str:
    """A TOML basic string; JSON's escapes are among TOML's."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
