"""Cells by column to one row of the record, every fault of the row at once."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from planner.history.cells import BadValue, Reader, in_zone
from planner.history.tables import Row, Table

HAS_CLASS = ("diameter_low_mm", "diameter_high_mm")


@dataclass(frozen=True)
class Fault:
    """What is wrong with a row: the column, what was found and what is allowed, in words."""

    column: str
    found: str
    allowed: str


def row_of(
    table: Table, cells: Mapping[str, Any], reader: Reader, number: int | None = None
) -> Row | list[Fault]:
    """Return the row that the cells make, its ``id`` *number*; or all its faults."""
    values: dict[str, Any] = {}
    faults: list[Fault] = []
    for column in table.columns:
        cell = cells.get(column.name)
        try:
            values[column.name] = reader.value(column, cell)
        except BadValue as error:
            faults.append(Fault(column.name, shown(cell), str(error)))
    broken = {fault.column for fault in faults}
    _fill(table, values, reader, broken)
    faults += _missing(table, values, broken)
    # What a broken cell was to say isn't known, so rules over several cells wait for it.
    faults += [] if faults else _rules(table, values)
    if not faults and table.name == "readings":
        try:
            values["time"] = in_zone(values["time"], reader.zone(values["place"]), reader.today)
        except BadValue as error:
            faults.append(Fault("time", shown(cells["time"]), str(error)))
    return faults or table.row(**values, id=number)


def shown(cell: Any) -> str:
    """Return a cell as a maker would recognise it."""
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.isoformat(" ").removesuffix(" 00:00:00")
    if isinstance(cell, float):
        return f"{cell:.12g}"
    text = "".join(sign if sign.isprintable() else " " for sign in str(cell)).strip()
    return text if len(text) <= 60 else f"{text[:57]}..."


def _fill(table: Table, values: dict[str, Any], reader: Reader, broken: set[str]) -> None:
    """Put in what a cell left empty stands for: the bench, the default of a choice."""
    for column in table.columns:
        if values.get(column.name) is None and column.name not in broken:
            bench = next(iter(reader.places)) if column.kind == "place" else None
            values[column.name] = bench or column.default


def _missing(table: Table, values: Mapping[str, Any], broken: set[str]) -> Iterator[Fault]:
    for column in table.columns:
        if column.required and column.name not in broken and values.get(column.name) is None:
            allowed = f"one of {', '.join(column.choices)}" if column.choices else "a value"
            yield Fault(column.name, "", f"needs {allowed}")


def _rules(table: Table, values: Mapping[str, Any]) -> Iterator[Fault]:
    if HAS_CLASS[0] in values or HAS_CLASS[1] in values:
        yield from _class_rules(values)
    if table.name == "reeds":
        yield from _reed_rules(values)
    if table.name == "checks" and values.get("centre_mm") is None and not values.get("event"):
        yield Fault("centre_mm", "", "needs the centre thickness, or an event")
    if table.name == "cane" and values.get("from_stage") == values.get("to_stage") is not None:
        stage = values["to_stage"]
        yield Fault("to_stage", stage, "must be another stage than from_stage")


def _class_rules(values: Mapping[str, Any]) -> Iterator[Fault]:
    low, high = (values.get(name) for name in HAS_CLASS)
    for name, other in (HAS_CLASS, HAS_CLASS[::-1]):
        if values.get(name) is None and values.get(other) is not None:
            yield Fault(name, "", f"needs a value, as {other} has one")
    if low is not None and high is not None and low > high:
        yield Fault("diameter_low_mm", f"{low:g}", f"must not exceed diameter_high_mm, {high:g}")


def _reed_rules(values: Mapping[str, Any]) -> Iterator[Fault]:
    bounds = any(values.get(name) is not None for name in HAS_CLASS)
    measured = values.get("diameter_mm")
    if measured is None and not bounds:
        yield Fault("diameter_mm", "", "needs a diameter, or diameter_low_mm and diameter_high_mm")
    if measured is not None and bounds:
        allowed = "either this or diameter_low_mm and diameter_high_mm, not both"
        yield Fault("diameter_mm", f"{measured:g}", allowed)
    if values.get("opening_mm") is None and values.get("verdict") is None:
        yield Fault("opening_mm", "", "needs an opening, or a verdict: closed, good or open")
