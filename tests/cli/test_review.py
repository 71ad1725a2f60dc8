"""gouge and review in a terminal."""

import json
from dataclasses import fields
from pathlib import Path

import click
import pytest
from click.testing import Result

from planner.demo import TODAY
from planner.plan.review_documents import ReviewDocument
from planner.watch.documents import GougeDocument
from tests.workshops import own_copy, run

DAY = ("--today", TODAY.isoformat())
SEASON = ("--from", "2026-02-09", "--to", "2026-02-22")


@pytest.fixture(scope="module")
def workshop(bench: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The sample's bench."""
    return str(own_copy(bench, tmp_path_factory.mktemp("cli_review")).folder)


@pytest.fixture(scope="module")
def review(workshop: str) -> Result:
    """The review of two weeks."""
    return run("--workshop", workshop, "review", *SEASON, *DAY)


def test_the_review_is_a_summary_and_a_page(review: Result):
    """Eighty columns; seen, verdict, worth, weeks, tables, next season; progress on stderr."""
    assert review.exit_code == 0, review.stderr
    summary, _, page = review.stdout.partition("\nPage: ")
    assert Path(page.strip()).is_file()
    lines = summary.splitlines()
    assert max(map(len, lines)) <= 80
    first = [
        next(i for i, line in enumerate(lines) if line.startswith(label))
        for label in ("Seen", "Verdict", "Worth", "week of", "against", "Promises", "Next season")
    ]
    assert first == sorted(first)
    assert "Planning 2 weeks again" in review.stderr


def test_the_review_in_json_has_the_fields_of_its_document(
    workshop: str, monkeypatch: pytest.MonkeyPatch
):
    """Nothing but one JSON object on stdout; its page is opened where that is asked for."""
    opened: list[str] = []
    monkeypatch.setattr(click, "launch", opened.append)
    result = run("--workshop", workshop, "review", *SEASON, *DAY, "--json", "--open")
    answer = json.loads(result.stdout)
    assert answer.keys() == {field.name for field in fields(ReviewDocument)}
    assert answer["schema_version"] == 1
    assert answer["season_from"] == "2026-02-09"
    assert len(answer["next_season"]) == 3
    assert [Path(page).name for page in opened] == ["review-2026-02-09-2026-02-22.html"]


def test_the_gouger_is_told_in_eighty_columns(workshop: str):
    """State, drift, sides, next check, how often, and what the limits promise."""
    result = run("--workshop", workshop, "gouge", *DAY)
    assert result.exit_code == 0
    assert max(map(len, result.stdout.splitlines())) <= 80
    for label in ("Gouger beech", "State", "Now", "Drift", "Sides", "Next check", "Limits"):
        assert f"\n{label}" in f"\n{result.stdout}"


def test_the_gouger_in_json(workshop: str):
    """Its keys are the fields of its document."""
    result = run("--workshop", workshop, "gouge", *DAY, "--json", "--within-pieces", "40")
    answer = json.loads(result.stdout)
    assert answer.keys() == {field.name for field in fields(GougeDocument)}
    assert answer["gougers"][0]["frequency"]["within_pieces"] == 40


def test_an_unknown_gouger_is_said(workshop: str):
    """With those that there are, and not as if there were no check at all."""
    result = run("--workshop", workshop, "gouge", *DAY, "--gouger", "oak")
    assert (result.exit_code, result.stdout) == (2, "")
    assert 'No check names the gouger "oak"; there are: beech.' in result.stderr


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("review", "--from", "2026-03-01", "--to", "2026-02-01"), 2, "--from must not be after"),
        (("review", "--from", "1.2.2026"), 2, "write it as 2026-11-23"),
        (("gouge", "--within-pieces", "0"), 2, "0 is not in the range"),
    ],
)
def test_wrong_use_is_one_clear_line(workshop: str, arguments, code, said):
    """Nothing on stdout, no traceback, the right exit code."""
    result = run("--workshop", workshop, *arguments, *DAY)
    assert (result.exit_code, result.stdout) == (code, "")
    assert said in result.stderr
    assert "Traceback" not in result.stderr


@pytest.mark.parametrize("verb", ["review", "gouge"])
def test_every_option_has_help(verb: str):
    """With examples."""
    result = run(verb, "--help")
    assert result.exit_code == 0
    assert "Examples:" in result.stdout


@pytest.mark.parametrize("verb", ["review", "gouge"])
def test_an_empty_workshop_is_no_fault(tmp_path: Path, verb: str):
    """First use: no weather, no reed, no check."""
    run("--workshop", str(tmp_path / "w"), "start", "--place", "Ghent, BE")
    result = run("--workshop", str(tmp_path / "w"), verb, "--offline", *DAY)
    assert result.exit_code == 0, result.stderr
    assert result.stdout.strip()


def test_the_week_carries_what_the_watch_noticed(workshop: str):
    """The sample's gouger stands thicker than aimed: said beside what to take, and in JSON."""
    text = run("--workshop", workshop, "week", *DAY).stdout
    assert "\nGouger      The gouger beech gouges thicker than aimed" in text
    answer = json.loads(run("--workshop", workshop, "week", *DAY, "--json").stdout)
    (note,) = [note for note in answer["watch"] if note["about"] == "gouger"]
    assert note["run"] is None
    assert "planner gouge" in note["words"]
