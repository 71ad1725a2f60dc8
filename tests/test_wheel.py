"""The package as others install it: a wheel, in an empty environment, without the clone."""

import json
import os
import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

pytestmark = pytest.mark.wheel


def run(*command: str | Path, cwd: Path) -> str:
    """Run a program in a folder without the clone in sight, and return what it prints."""
    clean = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    done = subprocess.run(
        [str(part) for part in command],
        cwd=cwd,
        env=clean,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of programs of an empty environment with nothing but the wheel installed."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", folder, ROOT, cwd=folder)
    wheels = list(folder.glob("*.whl"))
    assert len(wheels) == 1
    venv.create(folder / "env", with_pip=True)
    programs = folder / "env" / "bin"
    run(programs / "python", "-m", "pip", "install", "-q", wheels[0], cwd=folder)
    return programs


def test_the_main_job_runs_from_the_wheel_in_an_empty_folder(installed, tmp_path):
    """``planner demo`` needs neither the clone nor a network, and writes its page."""
    answer = json.loads(run(installed / "planner", "demo", "--json", cwd=tmp_path))
    assert len({week["week_start"] for week in answer["weeks"]}) >= 12
    pages = list((tmp_path / "demo-workshop" / "reports").glob("plan-*.html"))
    assert len(pages) == 1
    assert "Quillhaven" in pages[0].read_text(encoding="utf-8")


def test_the_help_of_the_wheel_names_every_command(installed, tmp_path):
    """The console script is there and needs no workshop."""
    text = run(installed / "planner", "--help", cwd=tmp_path)
    for name in ("week", "plan", "prepare", "review", "gouge", "add", "import", "weather", "demo"):
        assert name in text


def test_the_wheel_holds_the_package_and_the_sample_only(installed, tmp_path):
    """No test, page or working file of the clone goes along."""
    listing = "'\\n'.join(map(str, metadata.files('seasonal-humidity-planner')))"
    code = f"from importlib import metadata; print({listing})"
    files = run(installed / "python", "-c", code, cwd=tmp_path).split()
    tops = {name.split("/")[0] for name in files}
    assert {top for top in tops if not top.endswith(".dist-info")} <= {
        "planner",
        "..",
        "__pycache__",
    }
    assert "planner/sample_history/reeds.csv" in files
    assert not [name for name in files if name.endswith((".db", ".log"))]
