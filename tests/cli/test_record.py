"""The verbs of the record as a maker calls them."""

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

from planner.history.meanings import MEANINGS
from planner.history.tables import TABLES
from tests.workshops import BENCH_TOWN, FAR_BAY, environment, founded, planner

TODAY = ("--today", "2026-11-25")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A workshop with two places and no record."""
    return founded(tmp_path, BENCH_TOWN + FAR_BAY)


def rows(shop: Path, table: str) -> list[dict[str, str]]:
    """The rows of a table as exported."""
    done = planner(shop, "export", table)
    assert done.exit_code == 0, done.stderr
    return list(csv.DictReader(done.stdout.splitlines()))


def test_one_reed_by_options_is_echoed_and_kept(shop: Path):
    """What was understood, on stdout."""
    done = planner(shop, "add", "reed", "--diameter-mm", "10,4", "--opening-mm", "0.82", *TODAY)
    assert done.exit_code == 0
    assert "Kept as reed 1: 2026-11-25, Bench Town, 10.4 mm, opening" in done.stdout
    assert [row["diameter_mm"] for row in rows(shop, "reeds")] == ["10.4"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--diameter-mm", "105", "--opening-mm", "0.8"), "Was 10.5 meant?"),
        (("--diameter-mm", "10.4"), "needs an opening, or a verdict"),
        (("--diameter-mm", "10.4", "--verdict", "tight"), "one of closed, good, open"),
        (("--diameter-mm", "10.4", "--verdict", "good", "--place", "Mars"), "Far Bay"),
        (("--diameter-mm", "10.4", "--verdict", "good", "--date", "2026-11-26"), "after today"),
        (("--diameter-mm", "10.4", "--verdict", "good", "--date", "3/4/2026"), "two ways"),
    ],
)
def test_a_slip_is_one_sentence_and_nothing_is_kept(shop: Path, words: tuple[str, ...], said: str):
    """Exit code 2, empty stdout."""
    done = planner(shop, "add", "reed", *words, *TODAY)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.startswith("Error: ")
    assert said in done.stderr
    assert rows(shop, "reeds") == []


def test_many_reeds_through_a_pipe_are_each_kept(shop: Path):
    """Place and lot stay until changed; undo takes the last line back; an empty line ends."""
    typed = '10.3 0.58 0.82\nlot=C place=far_bay\nlot=C place="far bay"\n10-10.5 good\nundo\n'
    typed += "10.6 - 0.9 # soft\n\n9.9 good\n"
    done = planner(shop, "add", "reed", *TODAY, typed=typed)
    assert done.exit_code == 1
    assert "Line 2: place:" in done.stderr
    assert "1 line could not be used; the others are kept." in done.stderr
    assert "An empty line ended the entry; what may follow it was not read." in done.stderr
    found = rows(shop, "reeds")
    assert [(row["diameter_mm"], row["place"], row["lot"]) for row in found] == [
        ("10.3", "Bench Town", ""),
        ("10.6", "Far Bay", "C"),
    ]
    assert found[1]["note"] == "soft"


@pytest.mark.parametrize(
    ("verb", "table", "typed", "count"),
    [
        ("check", "checks", "0.59\n0.59 0.58 0.58\nsharpened\n", 3),
        ("cane", "cane", "supplier tube 10-10.5 40\ntube split 10-10.25 10\n", 2),
        ("reading", "readings", "21.5 45\n45\n2026-11-25T08:15 20 50%\n", 3),
        ("order", "orders", '2026-11-30 12\n8 place="far bay"\n', 2),
    ],
)
def test_every_table_is_entered_by_lines(shop: Path, verb: str, table: str, typed: str, count: int):
    """All understood, all kept."""
    done = planner(shop, "add", verb, *TODAY, typed=typed)
    assert (done.exit_code, done.stderr) == (0, "")
    assert len(rows(shop, table)) == count


def test_cane_says_what_lies_there_now_and_never_goes_below_nothing(shop: Path):
    """The stock after the movement, and the refusal."""
    typed = "supplier tube 10-10.5 40\ntube split 10-10.5 10\ntube split 10-10.5 31\n"
    done = planner(shop, "add", "cane", *TODAY, typed=typed)
    assert done.exit_code == 1
    there = "30\u00a0tubes of 10.00–10.50 mm and 30\u00a0pieces split of 10.00–10.50 mm"
    assert f"Now there: {there}." in done.stdout
    assert "1 tube of 10 to 10.5 mm more would leave the stage tube than are there" in done.stderr
    stock = rows(shop, "stock")
    assert [(row["stage"], row["pieces"]) for row in stock] == [("tube", "30"), ("split", "30")]


@pytest.mark.parametrize("ending", ["csv", "xlsx", "ods"])
def test_export_edit_import(shop: Path, ending: str):
    """An unchanged export brings nothing; a dry run changes nothing."""
    planner(shop, "add", "reed", *TODAY, typed="10.3 0.58 0.82\n10.4 good # =1+1\n")
    file = shop / f"reeds.{ending}"
    assert planner(shop, "export", "reeds", str(file)).exit_code == 0
    again = planner(shop, "import", "reeds", str(file), *TODAY)
    assert "brings nothing new to reeds" in again.stdout
    assert planner(shop, "export", "reeds", str(file)).exit_code == 1


def test_an_edited_export_changes_what_was_edited(shop: Path):
    """Changed, new, and taken out only with --replace; first as words, then undone as one."""
    planner(shop, "add", "reed", *TODAY, typed="10.3 0.58 0.82\n10.4 good\n10.5 open\n")
    before = rows(shop, "reeds")
    file = shop / "reeds.csv"
    planner(shop, "export", "reeds", str(file))
    lines = file.read_text(encoding="utf-8-sig").splitlines()
    edited = [lines[0], lines[1].replace("0.82", "0.85"), lines[2]]
    edited.append(",2026-11-20,,,10.7,,,,0.9,,,,")
    file.write_text("\n".join(edited), encoding="utf-8")
    tried = planner(shop, "import", "reeds", str(file), "--replace", "--dry-run", *TODAY)
    assert (
        "1\u00a0row new, 1\u00a0row changed, 1\u00a0row taken out and 1\u00a0row alike"
        in tried.stdout
    )
    assert "row 1: opening_mm 0.82 to 0.85" in tried.stdout
    assert rows(shop, "reeds") == before
    assert planner(shop, "import", "reeds", str(file), *TODAY).exit_code == 0
    assert len(rows(shop, "reeds")) == 4
    assert planner(shop, "import", "reeds", str(file), "--replace", *TODAY).exit_code == 0
    assert sorted(row["diameter_mm"] for row in rows(shop, "reeds")) == ["10.3", "10.4", "10.7"]
    for _ in range(2):
        assert (
            "Taken back: the import of reeds.csv into reeds, made on"
            in planner(shop, "undo").stdout
        )
    assert rows(shop, "reeds") == before


def test_readings_are_told_by_the_clock_of_their_place(shop: Path):
    """Berlin is an hour ahead of UTC in winter, New York five behind; so is every change of one."""
    file = shop / "readings.csv"
    head = "id,time,place,temperature_c,rh_pct"
    lines = ["1,2026-01-12T08:00Z,Bench Town,20,41", "2,2026-01-12T20:00Z,Far Bay,20,35"]
    file.write_text("\n".join([head, *lines]), encoding="utf-8")
    here, there = "2026-01-12 09:00, Bench Town", "2026-01-12 15:00, Far Bay"
    tried = planner(shop, "import", "readings", str(file), "--dry-run", *TODAY).stdout
    assert here in tried
    assert there in tried
    assert planner(shop, "import", "readings", str(file), *TODAY).exit_code == 0
    moved = "\n".join([head, lines[0].replace("08:00", "10:00"), lines[1]])
    file.write_text(moved, encoding="utf-8")
    change = "time 2026-01-12T09:00:00+01:00 to 2026-01-12T11:00:00+01:00"
    assert change in planner(shop, "import", "readings", str(file), *TODAY).stdout
    back = "time 2026-01-12T11:00:00+01:00 to 2026-01-12T09:00:00+01:00"
    assert back in planner(shop, "undo").stdout
    last = planner(shop, "undo").stdout
    assert here in last
    assert there in last
    assert "UTC" not in tried + last


def test_a_table_with_nothing_but_a_heading_says_so(shop: Path):
    """No row of it is alike, as there is none."""
    file = shop / "reeds.csv"
    file.write_text("date,diameter_mm,opening_mm\n", encoding="utf-8")
    done = planner(shop, "import", "reeds", str(file), *TODAY)
    assert done.stdout == (
        "reeds.csv brings nothing new to reeds: it has no row under its heading.\n"
    )


def test_a_bad_file_changes_nothing(shop: Path):
    """Exit code 1, every bad cell, empty stdout."""
    file = shop / "bad.csv"
    file.write_text("date,diameter_mm,opening_mm\n2026-11-02,10.4,0.8\n2026-11-02,105,x\n")
    done = planner(shop, "import", "reeds", str(file), *TODAY)
    assert (done.exit_code, done.stdout) == (1, "")
    assert 'bad.csv, row 3, column "diameter_mm": "105"; must be from' in done.stderr
    assert rows(shop, "reeds") == []


DMY = '[workshop]\ndates = "dmy"\n'
AMBIGUOUS = "date,diameter_mm,verdict\n3/4/2026,10.4,good\n"


def test_the_days_of_the_settings_are_how_days_are_read(shop: Path):
    """At the prompt, by options and in files; what is said now goes before it."""
    file = shop / "reeds.csv"
    file.write_text(AMBIGUOUS, encoding="utf-8")
    one = ("add", "reed", "--diameter-mm", "10.4", "--verdict", "good", "--date", "3/4/2026")
    refused = planner(shop, "import", "reeds", str(file), *TODAY)
    assert "two ways; write 2026-04-03 or 2026-03-04, or say --dates dmy" in refused.stderr
    assert 'or set dates = "dmy" or "mdy" under [workshop]' in planner(shop, *one, *TODAY).stderr
    (shop / "workshop.toml").write_text(DMY + BENCH_TOWN + FAR_BAY, encoding="utf-8")
    assert planner(shop, *one, *TODAY).exit_code == 0
    assert planner(shop, "add", "reed", *TODAY, typed="10.4 good date=3/4/2026\n").exit_code == 0
    for words in ((), ("--dates", "mdy")):
        assert planner(shop, "import", "reeds", str(file), *words, *TODAY).exit_code == 0
    days = [row["date"] for row in rows(shop, "reeds")]
    assert days == ["2026-03-04", "2026-04-03", "2026-04-03"]
    assert planner(shop, "import", "reeds", str(file), "--dates", "ymd", *TODAY).exit_code == 1


def test_a_foreign_table_is_remembered(shop: Path):
    """Said once with --remember, kept in workshop.toml for the next time."""
    file = shop / "old.csv"
    file.write_text("Tag;Ø;result\n3.4.2026;10,4;flat\n", encoding="utf-8")
    words = ("--map", "Tag=date,Ø=diameter_mm,result=verdict", "--verdicts", "flat=closed")
    first = planner(
        shop, "import", "reeds", str(file), *words, "--dates", "dmy", "--remember", *TODAY
    )
    assert first.exit_code == 0, first.stderr
    file.write_text("Tag;Ø;result\n4.4.2026;10,5;flat\n", encoding="utf-8")
    assert planner(shop, "import", "reeds", str(file), *TODAY).exit_code == 0
    found = [(row["date"], row["verdict"]) for row in rows(shop, "reeds")]
    assert found == [("2026-04-03", "closed"), ("2026-04-04", "closed")]


def test_backup_and_verify(shop: Path):
    """A copy by hand, a sound record, and a damaged one with the way back."""
    assert "no record yet" in planner(shop, "verify").stdout
    assert planner(shop, "backup").exit_code == 1
    planner(shop, "add", "reed", *TODAY, typed="10.4 good\n")
    copy = shop / "stick.db"
    assert planner(shop, "backup", str(copy)).exit_code == 0
    assert planner(shop, "backup", str(shop / "workshop.toml")).exit_code == 2
    assert "is sound" in planner(shop, "verify").stdout
    for _ in range(3):  # within a second, maybe: none takes the place of another
        assert planner(shop, "backup").exit_code == 0
    assert len(list((shop / "backups").glob("*by-hand*.db"))) == 3
    (shop / "workshop.db").write_bytes(b"noise" * 2000)
    for words in (("verify",), ("export", "reeds"), ("add", "reed", "--verdict", "good")):
        done = planner(shop, *words)
        assert done.exit_code != 0
        assert "Traceback" not in done.output
    assert "newest sound one is" in planner(shop, "verify").stdout
    assert (shop / "workshop.db").read_bytes() == b"noise" * 2000


def test_answers_as_json(shop: Path):
    """One object each, with its schema."""
    calls = [
        ("add", "reed", "--diameter-mm", "10.4", "--verdict", "good", *TODAY),
        ("export", "reeds"),
        ("verify",),
        ("backup",),
        ("undo",),
        ("undo",),
    ]
    answers = [json.loads(planner(shop, *words, "--json").stdout) for words in calls]
    assert all(answer["schema_version"] == 1 for answer in answers)
    assert answers[0]["row"]["diameter_mm"] == 10.4
    assert answers[1]["rows"][0]["verdict"] == "good"
    assert answers[2]["sound"] is True
    assert answers[4]["undone"]["removed"][0]["id"] == 1
    assert answers[5]["undone"] is None


def test_lines_as_json_are_one_object_each(shop: Path):
    """A row, the words that stay, and a row taken back."""
    typed = "10.4 good\nlot=B\nundo\n"
    text = planner(shop, "add", "reed", "--json", *TODAY, typed=typed).stdout
    answers = []
    while text.strip():
        answer, end = json.JSONDecoder().raw_decode(text)
        answers.append(answer)
        text = text[end:].lstrip()
    assert [sorted(answer) for answer in answers] == [
        ["row", "schema_version", "table"],
        ["schema_version", "staying"],
        ["schema_version", "undone"],
    ]
    assert answers[1]["staying"] == {"lot": "B"}


def test_an_entry_at_the_bench_loads_nothing_heavy(shop: Path):
    """Neither numpy nor pandas nor httpx, by options and by lines."""
    program = (
        "import sys\nfrom planner.cli import main\n"
        "main(sys.argv[1:], standalone_mode=False)\n"
        "heavy = {'numpy', 'pandas', 'scipy', 'sklearn', 'httpx', 'jinja2', 'openpyxl'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    words = ("--workshop", str(shop), "add", "reed")
    for more in (("--diameter-mm", "10.4", "--verdict", "good"), ()):
        done = subprocess.run(
            [sys.executable, "-c", program, *words, *more],
            input="10.4 good\n",
            capture_output=True,
            text=True,
            check=True,
            env=environment(),
        )
        assert done.stdout.splitlines()[-1] == "[]"


def test_every_option_of_add_says_what_it_is(shop: Path):
    """Each column has its meaning, with its unit and what it may be."""
    for table in TABLES.values():
        assert {column.name for column in table.columns} <= set(MEANINGS)
    shown = " ".join(planner(shop, "add", "cane", "--help").stdout.split())
    assert "Class of diameters, from, in mm." in shown
    assert "What becomes of it: supplier, tube, split" in shown
    assert "How many; tubes as long as they are whole, pieces after." in shown


def test_a_reading_is_echoed_by_the_clock_of_its_place(shop: Path):
    """As it was typed; the record and JSON keep UTC."""
    typed = ("--time", "2026-07-01 08:15", "--rh-pct", "45", *TODAY)
    assert (
        "Kept as reading 1: 2026-07-01 08:15, Bench Town"
        in planner(shop, "add", "reading", *typed).stdout
    )


def test_a_workshop_without_a_record_is_sound_in_json_too(shop: Path):
    """The same keys as with one."""
    empty = json.loads(planner(shop, "verify", "--json").stdout)
    assert empty["sound"] is True
    planner(shop, "add", "reed", "--diameter-mm", "10.4", "--verdict", "good", *TODAY)
    assert set(json.loads(planner(shop, "verify", "--json").stdout)) == set(empty)


def test_taking_back_where_there_is_nothing(shop: Path):
    """Said, not refused."""
    done = planner(shop, "undo")
    assert (done.exit_code, done.stdout) == (0, "There is nothing to take back.\n")
    assert json.loads(planner(shop, "undo", "--json").stdout)["undone"] is None


def test_an_import_answers_in_json(shop: Path):
    """The rows by what became of them; a dry run says that it was one."""
    table = shop / "reeds.csv"
    table.write_text("date,diameter_mm,verdict\n2026-11-02,10.4,good\n")
    words = ("import", "reeds", table, *TODAY, "--json")
    answer = json.loads(planner(shop, *words, "--dry-run").stdout)
    assert (answer["schema_version"], answer["table"], answer["dry_run"]) == (1, "reeds", True)
    assert [row["diameter_mm"] for row in answer["added"]] == [10.4]
    assert json.loads(planner(shop, *words).stdout)["dry_run"] is False
    again = json.loads(planner(shop, *words).stdout)
    assert (again["added"], again["same"]) == ([], 1)


def test_a_pipe_of_which_nothing_could_be_used_says_so(shop: Path):
    """No word of others that are kept."""
    done = planner(shop, "add", "reed", *TODAY, typed="flat\nwide\n")
    assert done.exit_code == 1
    assert done.stderr.endswith("2 lines could not be used; nothing was kept.\n")
