"""The house: who may import whom, what is loaded when, and that no module outgrows a sitting."""

import ast
import json
import statistics
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "planner"

# Lower rows first; a module imports from its own box and from rows below, never sideways.
ROWS = (
    ("errors",),
    ("air", "spread", "sheets"),
    ("weather", "room", "cane", "history"),
    ("opening",),
    ("watch",),
    ("plan",),
    ("report", "store", "settings"),
    ("invented",),
    ("demo",),
    ("commands",),
    ("cli",),
    ("__main__",),
)
# Two files that make one box of the row.
SAME_BOX = {"settings_schema": "settings"}
ROW = {box: number for number, row in enumerate(ROWS) for box in row}
OUTSIDE = {"click": "cli", "httpx": "weather", "jinja2": "report", "sqlite3": "store"}
HEAVY = ("pandas", "sklearn", "scipy", "jinja2", "httpx")
LONGEST_MODULE, MEDIAN_MODULE = 300, 120
LONGEST_BODY, MEDIAN_BODY = 40, 7


def modules() -> list[Path]:
    """All modules of the package."""
    return sorted(PACKAGE.rglob("*.py"))


def box_of(name: str) -> str:
    """The box of a dotted module name of the package."""
    parts = name.split(".")
    box = parts[1] if len(parts) > 1 else "planner"
    return SAME_BOX.get(box, box)


def name_of(path: Path) -> str:
    """The dotted name of a module."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def imports_of(path: Path) -> Iterator[str]:
    """Yield the dotted names that a module imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield str(node.module)
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def test_a_module_imports_from_its_own_box_and_from_lower_rows():
    """Never sideways, never upwards."""
    wrong = []
    for path in modules():
        own = box_of(name_of(path))
        for name in imports_of(path):
            box = box_of(name)
            if own in ROW and name.startswith("planner.") and box in ROW and box != own:
                wrong += [f"{name_of(path)} imports {name}"] * (ROW[box] >= ROW[own])
    assert wrong == []


def test_every_box_has_its_row():
    """A new box is put into the house on purpose."""
    boxes = {box_of(name_of(path)) for path in modules()} - {"__init__"}
    assert boxes == set(ROW)


@pytest.mark.parametrize(("library", "box"), OUTSIDE.items())
def test_a_library_lives_in_one_box_only(library, box):
    """The terminal, the network, the templates and the database each have one home."""
    users = {
        box_of(name_of(path))
        for path in modules()
        for name in imports_of(path)
        if name.split(".")[0] == library
    }
    assert users == {box}


def test_scikit_learn_is_met_in_the_estimator_alone():
    """Everything else is handed draws."""
    users = {
        name_of(path)
        for path in modules()
        for name in imports_of(path)
        if name.split(".")[0] == "sklearn"
    }
    assert len(users) <= 1, users


def test_a_module_says_what_it_is_for():
    """Every module opens with a docstring; the __init__ of a box holds nothing else."""
    for path in modules():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        assert ast.get_docstring(tree), f"{name_of(path)} has no docstring"
        if path.name == "__init__.py" and path.parent not in (PACKAGE, PACKAGE / "cli"):
            assert len(tree.body) == 1, f"{name_of(path)} holds more than its docstring"


def test_a_module_can_be_read_in_one_sitting():
    """At most 300 lines a module, and a median of 120 or fewer."""
    lines = {name_of(path): path.read_text(encoding="utf-8").count("\n") for path in modules()}
    assert {name: count for name, count in lines.items() if count > LONGEST_MODULE} == {}
    assert statistics.median(lines.values()) <= MEDIAN_MODULE


def test_a_function_can_be_taken_in_at_a_glance():
    """At most 40 lines a body, the docstring not counted, and a median of 7 or fewer."""
    lines = {}
    for path in modules():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                count = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
                lines[f"{name_of(path)}:{node.lineno} {node.name}"] = count
    assert {name: count for name, count in lines.items() if count > LONGEST_BODY} == {}
    assert statistics.median(lines.values()) <= MEDIAN_BODY


def test_public_functions_and_classes_say_what_they_do():
    """What another module may call has a docstring."""
    mute = [
        f"{name_of(path)}.{node.name}"
        for path in modules()
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        and not node.name.startswith("_")
        and not ast.get_docstring(node)
    ]
    assert mute == []


def loaded(code: str, cwd: Path) -> set[str]:
    """The top-level names of the modules that Python has loaded after running some code."""
    report = (
        "\nimport sys, json"
        "\nprint('\\n' + json.dumps(sorted({name.split('.')[0] for name in sys.modules})))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code + report],
        cwd=cwd,
        env={"PYTHONPATH": str(ROOT), "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return set(json.loads(run.stdout.splitlines()[-1]))


def calling(*arguments: str) -> str:
    """Code that calls the command line as the console script does."""
    return f"from planner.cli import main; main({list(arguments)!r}, standalone_mode=False)"


@pytest.mark.parametrize("arguments", [("--help",), ("add", "--help"), ("week", "--help"), ()])
def test_help_loads_nothing_heavy(arguments, tmp_path):
    """Asking what there is must not wait for the statistics."""
    assert not loaded(calling(*arguments), tmp_path) & {*HEAVY, "numpy"}


SETTINGS = """
[[place]]
name = "Bench"
latitude = 50.0
longitude = 10.0
timezone = "Europe/Berlin"
"""


def test_adding_a_reed_loads_nothing_heavy(tmp_path):
    """An entry at the bench takes a moment."""
    (tmp_path / "workshop.toml").write_text(SETTINGS)
    reed = ("--date", "2024-02-01", "--diameter-mm", "10.4", "--opening-mm", "0.8")
    assert not loaded(calling("add", "reed", *reed), tmp_path) & {*HEAVY, "numpy"}
    assert (tmp_path / "workshop.db").is_file()


def test_a_plan_made_anew_does_without_the_tables_of_pandas(tmp_path):
    """And without scikit-learn: both only serve to take weather in, and to compare with rivals."""
    (tmp_path / "workshop.toml").write_text(SETTINGS)
    modules = loaded("import planner.commands.chain, planner.commands.page", tmp_path)
    assert "numpy" in modules
    assert not modules & {"pandas", "sklearn", "httpx"}
