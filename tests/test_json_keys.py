"""The keys of the JSON answers are a promise: those that DEVELOPERS.md lists, and no others."""

import json
import re
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

from planner.weather.rounds import Report
from tests.workshops import planner

DEVELOPERS = (Path(__file__).parents[1] / "DEVELOPERS.md").read_text(encoding="utf-8")
TABLE = re.findall(r"^\| (.+?) \| (.+) \|$", DEVELOPERS, re.MULTILINE)
DAY = ("--today", "2026-11-23")
REED = ("--diameter-mm", "10.4", "--verdict", "good")
PLANS = ("plan", "week", "prepare", "for")
ASKED: dict[str, tuple[str, ...]] = {
    **{name: (name, *DAY, "--offline") for name in ("plan", "week", "prepare", "gouge", "room")},
    "for": ("for", "Frostmere", *DAY, "--offline"),
    "review": ("review", "--from", "2026-05-04", "--to", "2026-05-31", *DAY, "--offline"),
    "weather show": ("weather", "show", "--offline", *DAY),
    "weather places": ("weather", "places", "Riga", "--offline", *DAY),
    "weather import": ("weather", "import", "FILE", "--dry-run", *DAY),
    "add": ("add", "reed", *REED, *DAY),
    "import": ("import", "orders", "ORDERS", "--dry-run", *DAY),
    "export": ("export", "stock", *DAY),
    "backup": ("backup",),
    "verify": ("verify",),
    "undo": ("undo",),
}


def keys_of(name: str) -> set[str]:
    """What the table lists: names between backticks, those inside brackets left out."""
    listed = dict(TABLE)[name]
    while (outer := re.sub(r"\([^()]*\)|\{[^{}]*\}|\[[^][]*\]", "", listed)) != listed:
        listed = outer
    return set(re.findall(r"`(\w+)`", listed.partition("; with ")[0].partition("; of a line")[0]))


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Every answer of the sample's workshop."""
    shop = tmp_path_factory.mktemp("keys") / "demo"
    assert planner(shop, "demo", str(shop)).exit_code == 0
    weather, orders = shop / "weather.csv", shop / "orders.csv"
    weather.write_text("time,temperature_c,rh_pct\n2026-11-01,5,80\n", encoding="utf-8")
    orders.write_text("week_start,reeds\n2026-11-30,3\n", encoding="utf-8")
    files = {"FILE": str(weather), "ORDERS": str(orders)}
    found = {}
    for name, words in ASKED.items():
        done = planner(shop, *(files.get(word, word) for word in words), "--json")
        assert done.exit_code == 0, (name, done.stderr)
        found[name] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("name", ASKED)
def test_an_answer_has_the_keys_that_are_listed(answers: dict[str, Any], name: str):
    """None missing, and none that nobody was told of."""
    assert answers[name].pop("schema_version") == 1
    assert set(answers[name]) == keys_of(f"`{name}`")


@pytest.mark.parametrize("name", [name for name, _ in TABLE if name.startswith("a row of ")])
def test_a_row_has_the_keys_that_are_listed(answers: dict[str, Any], name: str):
    """Wherever the sample has such rows."""
    of = name.removeprefix("a row of ").strip("`")
    rows = [row for asked in (*PLANS, "gouge") for row in answers[asked].get(of, ())]
    assert rows
    assert all(set(row) == keys_of(name) for row in rows)


@pytest.mark.parametrize("name", ["workshop", "basis"])
def test_a_part_has_the_keys_that_are_listed(answers: dict[str, Any], name: str):
    """In every answer that has it."""
    parts = [answers[asked][name] for asked in PLANS if name in answers[asked]]
    assert parts
    assert all(set(part) == keys_of(f"`{name}`") for part in parts)


def test_what_a_fetch_answers_is_listed():
    """Without a network: the report's own fields."""
    assert {field.name for field in fields(Report)} == keys_of("`weather fetch`")


def test_every_answer_is_listed(answers: dict[str, Any]):
    """A new verb that answers JSON belongs into the table."""
    listed = {name.strip("`") for name, _ in TABLE[TABLE.index(("of", "keys")) + 1 :]}
    assert set(answers) | {"weather fetch"} <= listed
