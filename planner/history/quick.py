"""A line typed at the bench to cells by column: ``10.3 0.58 0.82``, ``10-10.5 good lot=B``.

Numbers go by their place, words of the trade by their meaning, and ``name=value`` says a column
outright; what follows a ``#`` is the note.
"""

import re
from collections.abc import Callable, Iterable, Sequence

from planner.history.cells import EMPTY, NUMBER, plain
from planner.history.foreign import Foreign
from planner.history.headings import ID, meaning
from planner.history.tables import Table

STAYING = {
    "reeds": ("date", "place", "lot", "measured"),
    "readings": ("place",),
    "checks": ("date", "gouger"),
    "cane": ("date", "lot", "from_stage", "to_stage"),
    "orders": ("week_start", "place"),
}
EXAMPLES = {
    "reeds": "10.3 0.58 0.82   or   10-10.5 good   or   10.3 - 0.82 lot=B # new knife",
    "readings": "21.5 45   or   45   or   08:15 20.5 48",
    "checks": "0.59   or   0.59 0.58 0.58   or   sharpened",
    "cane": "supplier tube 10-10.5 40 lot=B   then   25 10.5-11",
    "orders": "2026-11-30 12   then   8 place=Leipzig",
}
_TOKEN = re.compile(r'[^\s="]+="[^"]*"|\S+')
_RANGE = re.compile(r"(\d+(?:[.,]\d+)?)(?:-|\N{EN DASH}|\.\.)(\d+(?:[.,]\d+)?)(?:mm)?")
_DAY = re.compile(r"\d{4}-\d{1,2}-\d{1,2}|today|yesterday", re.IGNORECASE)
_TIME = re.compile(r"\d{4}-\d{1,2}-\d{1,2}T\S+")
_CLOCK = re.compile(r"\d{1,2}:\d{2}")

Cells = dict[str, str]


class BadLine(ValueError):
    """A line that can't be understood; its text says what would be."""


def cells_of_line(table: Table, line: str, places: Iterable[str] = ()) -> Cells:
    """Return the cells that a line says; rules of the row are left to whoever makes one.

    Raises
    ------
    BadLine
        If a part of it can't be understood.
    """
    body, note = _noted(line)
    cells: Cells = {"note": note} if note else {}
    if note and "note" not in {column.name for column in table.columns}:
        raise BadLine(
            f"{table.name.capitalize()} keep no note; leave out the # and what follows it."
        )
    bare: list[str] = []
    known = {plain(name): name for name in places}
    for token in _TOKEN.findall(body):
        name, equals, value = token.partition("=")
        if equals:
            _put(cells, _column(table, name), value.strip('"'))
        elif not _word(table, token, known, cells):
            bare.append(token)
    _BY_PLACE[table.name](cells, bare)
    return cells


def _noted(line: str) -> tuple[str, str]:
    """A line without its note, and the note."""
    found = re.search(r"(?:^|\s)#", line)
    return (line, "") if found is None else (line[: found.start()], line[found.end() :].strip())


def _put(cells: Cells, column: str, value: str) -> None:
    if column in cells:
        raise BadLine(f"{column} is said twice.")
    cells[column] = value


def _column(table: Table, name: str) -> str:
    column, _ = meaning(table, name, Foreign())
    if column is None or column == ID:
        known = ", ".join(entry.name for entry in table.columns)
        raise BadLine(f'"{name}" is no column; the columns are {known}.')
    return column


def _word(table: Table, token: str, places: dict[str, str], cells: Cells) -> bool:
    """Take a token that its form or its meaning gives away."""
    names = [column.name for column in table.columns]
    when = names[0]
    clock = when == "time" and _CLOCK.fullmatch(token)
    if clock or _TIME.fullmatch(token) or _DAY.fullmatch(token):
        _put(cells, when, token)
    elif (found := _RANGE.fullmatch(token)) and "diameter_low_mm" in names:
        _put(cells, "diameter_low_mm", found[1])
        _put(cells, "diameter_high_mm", found[2])
    elif "place" in names and plain(token) in places:
        _put(cells, "place", places[plain(token)])
    else:
        return _choice(table, token, cells)
    return True


def _choice(table: Table, token: str, cells: Cells) -> bool:
    """Take a word of a choice, or the beginning of just one."""
    word = plain(token)
    columns = [column for column in table.columns if column.choices]
    for column in columns:
        fits = [choice for choice in column.choices if choice.startswith(word)]
        if word not in column.choices and len(fits) != 1:
            continue
        if column.name not in cells:
            cells[column.name] = word if word in column.choices else fits[0]
            return True
    return False


def _numbers(bare: Sequence[str], most: int, what: str) -> list[str]:
    for token in bare:
        if token not in EMPTY and NUMBER.fullmatch(token) is None:
            raise BadLine(f'"{token}" is not understood; write {what}.')
    if len(bare) > most:
        raise BadLine(f"{len(bare)} numbers are too many; write {what}.")
    return list(bare)


def _reed(cells: Cells, bare: list[str]) -> None:
    example = "a diameter or a class, the gouge, the opening or a verdict: 10.3 0.58 0.82"
    numbers = _numbers(bare, 3, example)
    if numbers and "diameter_low_mm" not in cells and "diameter_mm" not in cells:
        cells["diameter_mm"] = numbers.pop(0)
    if len(numbers) == 1 and "verdict" not in cells and "gouge_mm" not in cells:
        raise BadLine(
            f'Is {numbers[0]} the gouge or the opening? Write both, "- {numbers[0]}" without a '
            f'gouge, or "{numbers[0]} good" with a verdict.'
        )
    for column in ("gouge_mm", "opening_mm"):
        if numbers and column not in cells:
            cells[column] = numbers.pop(0)
    if numbers:
        raise BadLine(f"{numbers[0]} is one number too many; write {example}.")


def _reading(cells: Cells, bare: list[str]) -> None:
    for token in [token for token in bare if token.endswith("%")]:
        _put(cells, "rh_pct", token)
        bare.remove(token)
    numbers = _numbers(bare, 2, "temperature and humidity: 21.5 45")
    if len(numbers) == 2 or (numbers and "rh_pct" in cells):
        _put(cells, "temperature_c", numbers.pop(0))
    for number in numbers:
        _put(cells, "rh_pct", number)


def _check(cells: Cells, bare: list[str]) -> None:
    numbers = _numbers(bare, 3, "the centre, then left and right: 0.59 0.58 0.58")
    for column, number in zip(("centre_mm", "left_mm", "right_mm"), numbers, strict=False):
        _put(cells, column, number)


def _cane(cells: Cells, bare: list[str]) -> None:
    for number in _numbers(bare, 1, "from, to, a class and the pieces: tube split 10-10.5 40"):
        _put(cells, "pieces", number)


def _order(cells: Cells, bare: list[str]) -> None:
    for number in _numbers(bare, 1, "the Monday of the week and the reeds: 2026-11-30 12"):
        _put(cells, "reeds", number)


_BY_PLACE: dict[str, Callable[[Cells, list[str]], None]] = {
    "reeds": _reed,
    "readings": _reading,
    "checks": _check,
    "cane": _cane,
    "orders": _order,
}
