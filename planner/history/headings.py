"""Which column a heading means: our names, names with a unit of their own, the maker's own."""

import difflib
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.errors import SHOWN_AT_MOST, BadCell, TableError
from planner.history.cells import plain
from planner.history.foreign import IGNORED, Foreign
from planner.history.rows import shown
from planner.history.tables import Table

ID = "id"
NEAR = 0.8
# Other words for a whole name, and for its first word.
WHOLE = {"week": "week_start"}
BEGUN = {"center": "centre", "temp": "temperature", "humidity": "rh"}
_ENDS = ("_mm", "_pct", "_c")
_UNITS = {
    r"mm|millimet(?:re|er)s?": "mm",
    r"cm": "cm",
    r'in|inch|inches|"|″': "inch",
    r"hundredths?(?: of an? mm| mm)?|1/100(?: ?mm)?|0[.,]01 ?mm": "hundredths",
    r"thousandths?(?: of an inch)?|thou|mils?|1/1000(?: ?in(?:ch)?)?": "thousandths",
    r"°? ?c|celsius": "celsius",
    r"°? ?f|fahrenheit": "fahrenheit",
    r"%|pct|percent|% ?rh": "",
}
# Either of each group must be there, besides the required columns.
NEEDED: dict[str, tuple[tuple[str, ...], ...]] = {
    "reeds": (("diameter_mm", "diameter_low_mm"), ("opening_mm", "verdict")),
    "checks": (("centre_mm", "event"),),
}


@dataclass(frozen=True)
class Headings:
    """Column to its place in a row, units that the headings say, and notes."""

    places: dict[str, int]
    units: dict[str, str]
    notes: tuple[str, ...]


def headings_of(
    table: Table, heading: Sequence[str], foreign: Foreign, name: str, row: int
) -> Headings:
    """Find the columns of a table in a heading.

    Raises
    ------
    TableError
        If a column is there twice or is missing, or a heading is nearly one of ours.
    """
    places: dict[str, int] = {}
    units: dict[str, str] = {}
    faults: list[BadCell] = []
    left_out: list[str] = []
    for number, words in enumerate(heading):
        if not words.strip() or foreign.headings.get(plain(words)) == IGNORED:
            continue
        column, unit = meaning(table, words, foreign)
        if column is None:
            faults += [BadCell(name, row, words, words, near) for near in _near(table, words)]
            left_out.append(shown(words))
        elif column in places:
            faults.append(BadCell(name, row, column, words.strip(), "each column once"))
        else:
            places[column] = number
            units |= {column: unit} if unit else {}
    if faults:
        raise TableError(f"{name} has headings that can't be used; nothing was stored.", (*faults,))
    _complete(table, places, heading, name, row)
    return Headings(places, units, tuple(_left_out(name, left_out)))


def _left_out(name: str, columns: Sequence[str]) -> Iterator[str]:
    if columns:
        more = f" and {len(columns) - SHOWN_AT_MOST} more" if len(columns) > SHOWN_AT_MOST else ""
        yield f"{name}: left out the columns {', '.join(columns[:SHOWN_AT_MOST])}{more}."


def meaning(table: Table, words: str, foreign: Foreign) -> tuple[str | None, str]:
    """Return the column that a heading means and the unit it says; None for none of ours."""
    own = foreign.headings.get(plain(words))
    if own is not None:
        return own, _unit_at_end(words)[1]
    for base, unit in ((words, ""), _unit_at_end(words)):
        column = _named(table, base)
        if column is not None:
            return column, unit
    return None, ""


def _named(table: Table, words: str) -> str | None:
    word = re.sub(r"[\W_]+", "_", plain(words)).strip("_")
    first, joint, rest = word.partition("_")
    word = WHOLE.get(word, f"{BEGUN.get(first, first)}{joint}{rest}")
    if word == ID:
        return ID
    for column in table.columns:
        stem = next((column.name.removesuffix(e) for e in _ENDS if column.name.endswith(e)), "")
        if word in (column.name, stem):
            return column.name
    return None


def _unit_at_end(words: str) -> tuple[str, str]:
    """A heading without the unit at its end, and that unit."""
    text = plain(words).replace("_", " ")
    fits = []
    for pattern, unit in _UNITS.items():
        found = re.fullmatch(rf"(.*?)[\s,/]*[(\[]\s*(?:in )?(?:{pattern})\s*[)\]]", text)
        found = found or re.fullmatch(rf"(.*?)[\s,/]+(?:in )?(?:{pattern})", text)
        fits += [] if found is None else [(found[1], unit)]
    # The longest unit: of "1/100 mm" the "mm" alone fits too.
    return min(fits, key=lambda fit: len(fit[0]), default=(words, ""))


def _near(table: Table, words: str) -> Iterator[str]:
    word = re.sub(r"[\W_]+", "_", plain(words)).strip("_")
    names = [column.name for column in table.columns]
    for near in difflib.get_close_matches(word, names, n=1, cutoff=NEAR):
        yield f'did you mean {near}? Rename it, or say --map "{words.strip()}={near}"'


def _complete(
    table: Table, places: dict[str, int], heading: Sequence[str], name: str, row: int
) -> None:
    groups: list[tuple[str, ...]] = [(column.name,) for column in table.columns if column.required]
    groups += NEEDED.get(table.name, ())
    missing = [" or ".join(group) for group in groups if not any(c in places for c in group)]
    if missing:
        found = ", ".join(words.strip() for words in heading if words.strip())
        raise TableError(
            f"{name}, row {row}: no column {', no column '.join(missing)}; the headings are "
            f"{found[:300]}. Rename them, or say which is which: --map "
            f'"yours={missing[0].split(" or ")[0]}". Nothing was stored.'
        )
