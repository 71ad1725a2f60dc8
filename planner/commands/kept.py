"""What took long to work out is kept in the weather store, and used again while its inputs hold."""

from collections.abc import Callable, Iterable
from typing import TypeVar

from planner import __version__
from planner.commands.workshop import Workshop
from planner.store.frozen import from_text, mark_of, to_text

Kept = TypeVar("Kept")


def kept_or_made(
    workshop: Workshop,
    key: str,
    inputs: Iterable[object],
    kind: type[Kept],
    make: Callable[[], Kept],
    *,
    keep: bool,
) -> Kept:
    """Return what is kept under *key* if it was made of the same inputs, else make it.

    Parameters
    ----------
    workshop : whose weather store holds it: that file can be made again, unlike the record
    inputs : all that it is made of: dataclasses, arrays, numbers, texts
    kind : the dataclass that it is
    keep : whether one made now is kept in place of the last
    """
    mark = mark_of((__version__, kind.__name__, *inputs))
    found = workshop.weather.kept(key)
    if found is not None and found[0] == mark:
        try:
            return from_text(kind, found[1])
        except ValueError:
            pass  # damaged: made anew below
    made = make()
    if keep:
        workshop.weather.keep(key, mark, to_text(made))
    return made
