"""A word to whoever waits at a terminal; nothing in a pipe."""

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

import click

PATIENCE = 2.0  # seconds: about as long as one waits without wondering


@contextmanager
def waiting(
    what: str, *, patience: float = PATIENCE, stream: TextIO | None = None
) -> Iterator[None]:
    """Say *what* is being done if it takes longer than that, on a terminal alone."""
    out = sys.stderr if stream is None else stream
    if not out.isatty():
        yield
        return
    timer = threading.Timer(patience, click.echo, [f"{what} ..."], {"file": out})
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
