"""Lines of a terminal: what is said first, how wide it is laid out last. Plain text."""

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

WIDTH, NARROWEST = 80, 40  # columns: no line is made wider, none cut narrower
LABEL = 12
ROOM_BESIDE = 32  # columns that a text needs beside its label; with less it stands below it
SHORTEST_NAME = 10


@dataclass(frozen=True)
class Said:
    """A paragraph beside its label."""

    label: str
    text: str


@dataclass(frozen=True)
class Sentence:
    """A paragraph, its first line so far in, the others a little further."""

    text: str
    indent: str = ""


@dataclass(frozen=True)
class Name:
    """A line of its own, cut short where it is too wide."""

    text: str


@dataclass(frozen=True)
class Columns:
    """A table.

    ``spare`` are headings of columns that a narrow terminal goes without, the least needed first;
    ``names`` those of columns that a maker's names fill, which may be cut short.
    """

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    spare: tuple[str, ...] = ()
    names: tuple[str, ...] = ()


Item = str | Said | Sentence | Name | Columns


def laid(items: Iterable[Item], width: int = WIDTH) -> Iterator[str]:
    """Yield the items as lines of at most so many columns; a plain one stays as it is."""
    for item in items:
        match item:
            case Said():
                yield from labelled(item.label, item.text, width)
            case Sentence():
                yield from wrapped(item.text, item.indent, width)
            case Name():
                yield fitted(item.text, width)
            case Columns():
                yield from _fitting(item, width)
            case _:
                yield item


def flowing(lines: Iterable[str], width: int = WIDTH) -> Iterator[str]:
    """Yield lines of text, those too wide wrapped a little further in than they began."""
    for line in lines:
        text = line.lstrip(" ")
        yield from wrapped(text, " " * (len(line) - len(text)), width) or [""]


def table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Return aligned lines of a table: the first column to the left, the others to the right."""
    columns = list(zip(headings, *rows, strict=True))
    widths = [max(len(cell) for cell in column) for column in columns]
    return [
        "  ".join(
            cell.ljust(width) if i == 0 else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in (headings, *rows)
    ]


def labelled(label: str, text: str, width: int = WIDTH) -> list[str]:
    """Return a labelled paragraph, wrapped beside its label; a long label has a line of its own."""
    beside = len(label) < LABEL and width - LABEL >= ROOM_BESIDE
    indent = " " * (LABEL if width - LABEL >= ROOM_BESIDE else 2)
    lines = _filled(text, width, label.ljust(LABEL) if beside else indent, indent)
    if not lines:
        return [fitted(label, width)]
    return lines if beside or not label else [fitted(label, width), *lines]


def wrapped(text: str, indent: str = "", width: int = WIDTH) -> list[str]:
    """Return a sentence as lines, each after the first a little further in."""
    return _filled(text, width, indent, f"{indent}  ")


def _filled(text: str, width: int, first: str, others: str) -> list[str]:
    return textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=others,
        break_long_words=False,
        break_on_hyphens=False,
    )


def fitted(name: str, room: int = WIDTH) -> str:
    """Return a name, cut short where it is wider than the terminal, or than the *room* given."""
    return name if len(name) <= room else f"{name[: max(room, 2) - 1]}…"


def _fitting(shown: Columns, width: int) -> list[str]:
    """The lines of a table, without what can be spared and with names cut where it is too wide."""
    kept = list(range(len(shown.headings)))
    spare = [heading for heading in shown.spare if heading in shown.headings]
    while (over := _over(shown, kept, width)) > _yielding(shown, kept) and spare:
        kept.remove(shown.headings.index(spare.pop(0)))
    cut = _names(shown, kept)[-1:] if over > 0 else []
    headings, *rows = [
        [fitted(line[i], max(_widest(shown, i) - over, 2)) if i in cut else line[i] for i in kept]
        for line in (shown.headings, *shown.rows)
    ]
    return table(headings, rows)


def _over(shown: Columns, kept: Sequence[int], width: int) -> int:
    return sum(_widest(shown, i) + 2 for i in kept) - 2 - width


def _yielding(shown: Columns, kept: Sequence[int]) -> int:
    """How many columns the name that is cut can give up and still be known."""
    return max(
        (max(_widest(shown, i) - SHORTEST_NAME, 0) for i in _names(shown, kept)[-1:]), default=0
    )


def _names(shown: Columns, kept: Sequence[int]) -> list[int]:
    return [i for i in kept if shown.headings[i] in shown.names]


def _widest(shown: Columns, column: int) -> int:
    return max(len(line[column]) for line in (shown.headings, *shown.rows))
