"""A word to whoever waits at a terminal."""

import io
import time

import pytest

from planner.cli.waiting import waiting


class Screen(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Claim it."""
        return True


def shown(stream: io.StringIO, *, work: float, patience: float) -> str:
    """What is shown while something takes so long."""
    with waiting("Planning", patience=patience, stream=stream):
        time.sleep(work)
    time.sleep(0.05)
    return stream.getvalue()


def test_long_work_is_named_on_a_terminal():
    """Once."""
    assert shown(Screen(), work=0.2, patience=0.01) == "Planning ...\n"


def test_short_work_says_nothing():
    """Not after it is done either."""
    assert shown(Screen(), work=0.0, patience=0.02) == ""


def test_a_pipe_is_told_nothing():
    """Stderr of a script stays for what matters."""
    assert shown(io.StringIO(), work=0.05, patience=0.0) == ""


def test_trouble_comes_through_and_ends_the_waiting():
    """No word after the error."""
    screen = Screen()
    with (
        pytest.raises(ValueError, match="trouble"),
        waiting("Planning", patience=0.02, stream=screen),
    ):
        raise ValueError("trouble")
    time.sleep(0.05)
    assert screen.getvalue() == ""
