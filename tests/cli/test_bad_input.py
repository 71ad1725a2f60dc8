"""What can be wrong with the input: each is one clear sentence, exit code 1 or 2, no change."""

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.workshops import BENCH_TOWN, FAR_BAY, founded, planner

TODAY = "2026-11-25"
REEDS = "date,diameter_mm,gouge_mm,opening_mm\n2026-11-02,10.4,0.58,0.82\n"
NOISE = b"no database at all " * 500

Spoil = Callable[[Path], object]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop of two places with a few reeds, some cane, and weather of the bench alone."""
    shop = founded(tmp_path_factory.mktemp("made"), BENCH_TOWN + FAR_BAY)
    (shop / "good.csv").write_text(REEDS, encoding="utf-8")
    days = [date(2025, 11, 1) + timedelta(days=i) for i in range(389)]
    rows = [f"{day},{8 + day.month},{4 + day.month}" for day in days]
    (shop / "air.csv").write_text("\n".join(["time,temperature_c,dew_point_c", *rows]))
    for words in (
        ("import", "reeds", str(shop / "good.csv"), "--today", TODAY),
        ("weather", "import", str(shop / "air.csv"), "--today", TODAY),
        ("add", "cane", "--from-stage", "supplier", "--to-stage", "tube", "--pieces", "9"),
    ):
        done = planner(shop, *words)
        assert done.exit_code == 0, done.output
    return shop


@pytest.fixture
def shop(made: Path, tmp_path: Path) -> Path:
    """A copy of that workshop to do wrong by."""
    return shutil.copytree(made, tmp_path / "shop")


def contents(shop: Path) -> dict[str, object]:
    """Every file of a workshop; a database by what it holds, where it can be read."""
    found: dict[str, object] = {}
    for path in sorted(shop.rglob("*")):
        if path.is_file():
            found[str(path.relative_to(shop))] = _dump(path) or path.read_bytes()
    return found


def _dump(path: Path) -> list[str] | None:
    if path.suffix != ".db":
        return None
    with closing(sqlite3.connect(path)) as database:
        try:
            return list(database.iterdump())
        except sqlite3.DatabaseError:
            return None


def write(name: str, text: str) -> Spoil:
    """Put a file into the workshop."""
    return lambda shop: (shop / name).write_text(text, encoding="utf-8")


def spoil(name: str) -> Spoil:
    """Write noise over a file of the workshop."""
    return lambda shop: (shop / name).write_bytes(NOISE)


def take_away(name: str) -> Spoil:
    """Take a file of the workshop away."""
    return lambda shop: (shop / name).unlink()


def nothing(_: Path) -> None:
    """All is well but the call."""


def reeds(row: str, heading: str = "date,place,diameter_mm,gouge_mm,opening_mm") -> Spoil:
    """Put a table of one reed into the workshop."""
    return write("bad.csv", f"{heading}\n{row}\n")


IMPORT = ("import", "reeds", "{shop}/bad.csv")
ADD = ("add", "reed", "--opening-mm", "0.8", "--diameter-mm")
CASES: dict[str, tuple[Spoil, tuple[str, ...], int, str]] = {
    "missing file": (nothing, IMPORT, 1, "There is no file {shop}/bad.csv."),
    "missing weather file": (
        nothing,
        ("weather", "import", "{shop}/bad.csv"),
        2,
        "bad.csv' does not exist.",
    ),
    "missing workshop": (take_away("workshop.toml"), ("week",), 1, "There is no workshop in"),
    "empty file": (write("bad.csv", ""), IMPORT, 1, "bad.csv is empty; it needs a heading"),
    "empty weather file": (write("bad.csv", ""), ("weather", "import", "{shop}/bad.csv"), 1, "bad"),
    "wrong columns": (
        write("bad.csv", "colour,size\nred,9\n"),
        IMPORT,
        1,
        "no column date, no column diameter_mm or diameter_low_mm",
    ),
    "wrong weather columns": (
        write("bad.csv", "colour,size\nred,9\n"),
        ("weather", "import", "{shop}/bad.csv"),
        1,
        '--map "yours=temperature_c". Nothing was stored.',
    ),
    "date in the future": (
        reeds("2026-11-26,,10.4,,0.8"),
        IMPORT,
        1,
        'row 2, column "date": "2026-11-26"; must not lie after today, 2026-11-25',
    ),
    "date in the future, typed": (
        nothing,
        (*ADD, "10.4", "--date", "2026-11-26"),
        2,
        'date: "2026-11-26" must not lie after today',
    ),
    "diameter of 105": (
        reeds("2026-11-02,,105,,0.8"),
        IMPORT,
        1,
        'row 2, column "diameter_mm": "105"; must be from 7.6 to 13.8 mm. Was 10.5 meant?',
    ),
    "diameter of 105, typed": (nothing, (*ADD, "105"), 2, "Was 10.5 meant?"),
    "text in a number column": (
        reeds("2026-11-02,,tight,,0.8"),
        IMPORT,
        1,
        'row 2, column "diameter_mm": "tight"; must be a number from 7.6 to 13.8 mm',
    ),
    "text for a number, typed": (nothing, (*ADD, "tight"), 2, 'diameter_mm: "tight" must be a'),
    "text in a weather column": (
        write("bad.csv", "time,temperature_c,rh_pct\n2026-11-01,warm,50\n"),
        ("weather", "import", "{shop}/bad.csv"),
        1,
        '"warm"',
    ),
    "unknown place in a table": (
        reeds("2026-11-02,Mars,10.4,,0.8"),
        IMPORT,
        1,
        'column "place": "Mars"; must be a place of workshop.toml: Bench Town, Far Bay',
    ),
    "unknown place, typed": (nothing, (*ADD, "10.4", "--place", "Mars"), 2, "Bench Town, Far Bay"),
    "unknown place of the weather": (
        nothing,
        ("weather", "import", "{shop}/air.csv", "--place", "Mars"),
        1,
        'has no place "Mars"; it has Bench Town, Far Bay',
    ),
    "unknown place of the room": (nothing, ("room", "--place", "Mars"), 1, 'no place "Mars"'),
    "unknown town": (nothing, ("for", "Nowhereville", "--offline"), 2, "No place of the list"),
    "no weather stored, week": (take_away("weather.db"), ("week", "--offline"), 1, "No weather is"),
    "no weather stored, plan": (take_away("weather.db"), ("plan", "--offline"), 1, "No weather is"),
    "place without history": (
        nothing,
        ("room", "--place", "Far Bay", "--offline"),
        1,
        "There is no weather of Far Bay yet",
    ),
    "town without weather": (nothing, ("for", "Riga", "--offline"), 1, "no weather for Riga"),
    **{
        f"corrupt record, {words[0]}": (
            spoil("workshop.db"),
            words,
            1,
            "workshop.db isn't a sound database",
        )
        for words in (
            ("week", "--offline"),
            ("plan", "--offline"),
            ("prepare", "--offline"),
            ("gouge",),
            ("review", "--offline"),
            ("room", "--offline"),
            ("add", "reed", "--diameter-mm", "10.4", "--verdict", "good"),
            ("undo",),
            ("import", "reeds", "{shop}/good.csv"),
            ("export", "reeds"),
            ("backup",),
        )
    },
    **{
        f"corrupt weather, {words[0]}": (
            spoil("weather.db"),
            words,
            1,
            "weather.db isn't a sound database",
        )
        for words in (
            ("week", "--offline"),
            ("plan", "--offline"),
            ("room", "--offline"),
            ("weather", "show"),
            ("weather", "import", "{shop}/air.csv"),
        )
    },
    "corrupt settings": (
        write("workshop.toml", "[workshop\nname = "),
        ("week",),
        1,
        "workshop.toml isn't sound TOML",
    ),
    "settings of other bytes": (spoil("workshop.toml"), ("week",), 1, "isn't sound TOML"),
}
WITHOUT_DAY = ("undo", "backup")


@pytest.mark.parametrize(("wrong", "words", "code", "said"), CASES.values(), ids=CASES)
def test_bad_input_is_told_in_one_sentence_and_changes_nothing(
    shop: Path, wrong: Spoil, words: tuple[str, ...], code: int, said: str
):
    """Empty stdout, the sentence on stderr, every file and every row as before."""
    wrong(shop)
    before = contents(shop)
    day = () if words[0] in WITHOUT_DAY else ("--today", TODAY)
    done = planner(shop, *(word.format(shop=shop) for word in words), *day)
    assert done.exit_code == code, done.output
    assert done.stdout == ""
    assert done.stderr.count("Error: ") == 1
    assert said.format(shop=shop) in done.stderr
    assert "wasn't made for" not in done.stderr
    after = contents(shop)
    if "weather.db" not in before:  # comes by itself when first needed: no weather is in it
        made = after.pop("weather.db", [])
        assert {line.split()[2] for line in made if line.startswith("INSERT")} <= {
            '"kept"',
            '"revision"',
        }
    assert after == before
