"""A maker's own spreadsheet: its headings, words and units, and how they become ours."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from planner.errors import WrongUse
from planner.history.cells import UNITS, plain
from planner.history.tables import VERDICTS, Table
from planner.sheets.dates import ORDERS

IGNORED = ""  # a heading that the maker leaves out
KEYS = ("map", "verdicts", "units", "dates")


@dataclass(frozen=True)
class Foreign:
    """How a foreign table is to be understood.

    Attributes
    ----------
    headings : the file's heading (as :func:`plain` writes it) to our column, "" to leave it out
    verdicts : the file's word (as :func:`plain` writes it) to closed, good or open
    units : our column to the unit of its bare numbers, one of :data:`UNITS`
    dates : what 3/4/2026 is: ``dmy``, ``mdy``, ``ymd`` to refuse it, "" where nothing was said
    """

    headings: Mapping[str, str] = field(default_factory=dict)
    verdicts: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    dates: str = ""

    def over(self, other: "Foreign") -> "Foreign":
        """Return this put over another: what is said here wins."""
        return Foreign(
            {**other.headings, **self.headings},
            {**other.verdicts, **self.verdicts},
            {**other.units, **self.units},
            self.dates or other.dates,
        )

    def with_units(self, units: Mapping[str, str]) -> "Foreign":
        """Return this with units that headings say; what was told outright wins."""
        return replace(self, units={**units, **self.units})


def foreign_of(table: Table, said: Mapping[str, Any], where: str = "") -> Foreign:
    """Return what ``map``, ``verdicts``, ``units`` and ``dates`` say of a table of the record.

    See :func:`foreign_from`.
    """
    columns = [column.name for column in table.columns]
    numbers = [column.name for column in table.columns if column.kind == "number"]
    return foreign_from(said, where, columns=[*columns, "id"], numbers=numbers)


def foreign_from(
    said: Mapping[str, Any],
    where: str = "",
    *,
    columns: Sequence[str],
    numbers: Sequence[str] = (),
    keys: Sequence[str] = KEYS,
) -> Foreign:
    """Return what is *said* of any table with these *columns*, of which some are *numbers*.

    What may be said are the *keys*: each a table of words or one text of pairs such as
    ``Ø=diameter_mm,result=verdict``, ``dates`` one word. *where* is put before a complaint.

    Raises
    ------
    WrongUse
        If one can't be understood, or names a column, verdict or unit that there isn't.
    """
    for key in said:
        if key not in keys:
            raise WrongUse(f'{where}"{key}" is not one of {", ".join(keys)}.')
    dates = said.get("dates") or ""
    _one_of(dates, ["", *ORDERS], f"{where}dates")
    headings = _pairs(said.get("map"), f"{where}map")
    for target in headings.values():
        _one_of(target, [*columns, IGNORED], f"{where}map")
    verdicts = _pairs(said.get("verdicts"), f"{where}verdicts")
    for verdict in verdicts.values():
        _one_of(verdict, list(VERDICTS), f"{where}verdicts")
    units = _pairs(said.get("units"), f"{where}units")
    for column, unit in units.items():
        _one_of(column, numbers, f"{where}units")
        _one_of(unit, list(UNITS), f"{where}units")
    return Foreign(headings, verdicts, units, dates)


def _pairs(said: Any, where: str) -> dict[str, str]:
    """Pairs of a table or a text, the left side as :func:`plain` writes it."""
    if said is None:
        return {}
    if isinstance(said, str):
        parts = [part for part in said.split(",") if part.strip()]
        for part in parts:
            if "=" not in part:
                raise WrongUse(
                    f'{where}: "{part.strip()}" is no pair; write yours=ours,yours=ours.'
                )
        said = dict(part.rsplit("=", 1) for part in parts)
    if not isinstance(said, Mapping) or not all(isinstance(value, str) for value in said.values()):
        raise WrongUse(
            f'{where}: must be pairs such as "yours=ours,yours=ours" or a table of text.'
        )
    return {plain(key): value.strip() for key, value in said.items()}


def _one_of(word: Any, allowed: Sequence[str], where: str) -> None:
    if word not in allowed:
        known = ", ".join(entry for entry in allowed if entry)
        raise WrongUse(f'{where}: "{word}" is not one of {known}.')
