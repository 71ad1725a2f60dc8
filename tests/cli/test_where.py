"""Which place a name means, where it may mean several."""

import io

import pytest

from planner.cli.where import place_of
from planner.errors import WrongUse
from tests.workshops import run


class Keyboard(io.StringIO):
    """Standard input at which somebody sits."""

    def isatty(self) -> bool:
        """Yes."""
        return True


def test_a_script_is_told_the_places_that_a_name_may_mean(tmp_path):
    """As they are to be written; nothing is made."""
    done = run("--workshop", tmp_path / "w", "start", "--place", "Springfield")
    assert (done.exit_code, done.stdout) == (2, "")
    assert '"Springfield" may mean several places; say which, as "Name, CC":' in done.stderr
    assert "  1  Springfield, MO, US (United States; 37.22, -93.30)" in done.stderr
    assert not (tmp_path / "w").exists()


def test_a_maker_chooses_by_number(monkeypatch: pytest.MonkeyPatch, capsys):
    """A number that isn't there is asked for again; what is asked goes to stderr."""
    monkeypatch.setattr("sys.stdin", Keyboard("9\n3\n"))
    found = place_of("Springfield", None, None)
    assert (found.latitude, found.timezone) == (pytest.approx(39.80, abs=0.01), "America/Chicago")
    shown = capsys.readouterr()
    assert "  3  Springfield, IL, US" in shown.err
    assert "9 is not in the range 1<=x<=5" in shown.err


def test_coordinates_go_together():
    """One alone is no place."""
    with pytest.raises(WrongUse, match="one of them is missing"):
        place_of("Bench", 51.0, None)
