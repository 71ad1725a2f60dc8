"""The benchmark on logs of rooms runs on any folder, and tells the model from its rivals."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import room_houses
from room_logs import tables_in
from room_truth import CLIMATES, LEAD_IN, logged, room

from planner.air.humidity import relative_humidity


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The log of one room of known truth over a year, and a table that is none."""
    folder = tmp_path_factory.mktemp("logs")
    truth = room(CLIMATES["temperate"], 2)
    readings = logged(truth, slice(0, None), 2)
    outdoor = truth.outdoor
    days = slice(LEAD_IN, LEAD_IN + len(readings) // 24)
    humidity = relative_humidity(outdoor.vapour_pressure, outdoor.temperature)
    pd.DataFrame(
        {
            "time": readings.time,
            "t_out": np.repeat(outdoor.temperature[days], 24),
            "rh_out": np.repeat(humidity[days], 24),
            "t_in": readings.temperature,
            "rh_in": readings.relative_humidity,
        }
    ).to_csv(folder / "known.csv", index=False)
    (folder / "other.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    return folder


def test_a_folder_is_examined_and_reported(folder):
    """The fitted model beats no reading, the outdoor air and the regression; nothing is hidden."""
    told: list[str] = []
    results = list(room_houses.examined(tables_in(folder), 0.3, told.append))
    assert any("other.csv: left out" in line for line in told)
    ((log, scores),) = results
    assert log.name == "known"
    weekly = {name: score["week"] for name, score in scores.items()}
    fitted = weekly.pop(room_houses.FITTED)
    assert fitted < min(weekly.values())
    assert 0.3 < scores[room_houses.FITTED]["weeks in"] <= 1.0
    room_houses.report(results, told.append)
    assert f"aim by the week: 3 fitted (here {fitted:.1f})" in told[-1]


def test_the_runner_takes_the_folder_from_the_environment(folder, monkeypatch):
    """Figures with rivals, and what must be reached."""
    monkeypatch.setenv(room_houses.FOLDER, str(folder))
    figures = room_houses.run(quick=True)
    assert {figure.rival for figure in figures} >= set(room_houses.RIVALS)
    assert any(figure.reach == "mean 3" for figure in figures)


def test_the_command_line_says_what_is_wrong(folder, tmp_path, monkeypatch, capsys):
    """No such folder, nothing in it, nothing usable: a sentence and a code, no traceback."""
    for path, words in ((tmp_path / "none", "there is no"), (tmp_path, "no table in")):
        monkeypatch.setattr("sys.argv", ["room_houses.py", str(path)])
        with pytest.raises(SystemExit) as stopped:
            room_houses.main()
        assert stopped.value.code == 2
        assert words in capsys.readouterr().err
    monkeypatch.setattr("sys.argv", ["room_houses.py", str(folder / "other.csv")])
    assert room_houses.main() == 1
    assert "No log could be used" in capsys.readouterr().err
