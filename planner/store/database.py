"""What the record and the weather store share: an open file, questions to it, writing to it."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any, Self

from planner.store.sqlite import ERRORS, explain, transaction


class Database:
    """An open database of the workshop; use as a context manager or close it."""

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
