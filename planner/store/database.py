"""What the record and the weather store share: an open file, questions to it, writing to it."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from functools import wraps
from pathlib import Path
from typing import Any, Concatenate, ParamSpec, Self, TypeVar

from planner.errors import RecordDamaged
from planner.store.sqlite import ERRORS, explain, transaction

P = ParamSpec("P")
D = TypeVar("D", bound="Database")
Found = TypeVar("Found")


def reading(method: Callable[Concatenate[D, P], Found]) -> Callable[Concatenate[D, P], Found]:
    """Let a method tell what it can't make sense of, such as a day that is none, as damage.

    A fault of the disk within a value is none that SQLite would see.
    """

    @wraps(method)
    def read(self: D, /, *args: P.args, **more: P.kwargs) -> Found:
        try:
            return method(self, *args, **more)
        except (ValueError, TypeError, IndexError) as error:
            raise RecordDamaged(
                f"{self.path} holds something that the planner never writes ({error}). {self.cure}"
            ) from error

    return read


class Database:
    """An open database of the workshop; use as a context manager or close it.

    ``cure`` says what to do about a value that makes no sense.
    """

    cure = 'Run "planner verify".'

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self.path = path

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc_info: object) -> None:
        self.close()

    def _ask(self, statement: str, *values: object) -> list[Any]:
        """Return the rows of an answer; an error tells a maker what to do."""
        try:
            with closing(self._connection.execute(statement, values)) as cursor:
                return cursor.fetchall()
        except ERRORS as error:
            raise explain(error, self.path) from error

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """Write within one transaction: all of it, or nothing."""
        try:
            with transaction(self._connection):
                yield self._connection
        except ERRORS as error:
            raise explain(error, self.path) from error
