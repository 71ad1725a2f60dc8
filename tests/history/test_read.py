"""Files of rows: every bad cell with its row and column, foreign headings, encodings."""

from datetime import date
from pathlib import Path

import pytest

from planner.errors import BadCell, TableError, WrongUse
from planner.history.foreign import foreign_of
from planner.history.read import TableFile, read_table
from planner.history.tables import TABLES, TableLimits

PLACES = {"Bench Town": "Europe/Berlin", "Far Bay": "America/New_York"}
HEADING = "date,place,diameter_mm,gouge_mm,opening_mm,verdict"


@pytest.fixture
def read(tmp_path: Path):
    """Read a file of the given content as reeds (or another table) as of 25 November 2026."""

    def reading(
        content: str | bytes, table: str = "reeds", said: dict[str, object] | None = None
    ) -> TableFile:
        path = tmp_path / "old.csv"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return read_table(
            path,
            table,
            TableLimits(),
            PLACES,
            today=date(2026, 11, 25),
            foreign=foreign_of(TABLES[table], said or {}),
        )

    return reading


def test_every_bad_cell_is_named_with_its_row_and_column(read):
    """All at once, rows numbered as a spreadsheet shows them, an empty row counted."""
    with pytest.raises(TableError) as refused:
        read(
            f"{HEADING}\n2026-11-02,,10.4,0.58,0.82,\n\n03/04/2026,x,105,0.58,,tight\n"
            "2026-11-03,,,0.58,0.8,\n2026-11-03,,10.4,,,\n2030-01-01,,10.4,,0.8,\n"
        )
    assert str(refused.value).startswith("old.csv has 4 rows that can't be used; nothing was")
    assert [(cell.row, cell.column) for cell in refused.value.cells] == [
        (4, "date"),
        (4, "place"),
        (4, "diameter_mm"),
        (4, "verdict"),
        (5, "diameter_mm"),
        (6, "opening_mm"),
        (7, "date"),
    ]
    assert refused.value.cells[2] == BadCell(
        "old.csv", 4, "diameter_mm", "105", "must be from 7.6 to 13.8 mm. Was 10.5 meant?"
    )


def test_twenty_faults_are_shown_and_the_rest_counted(read):
    """A wholly wrong file doesn't flood the terminal."""
    with pytest.raises(TableError, match=r"and 30 more\.") as refused:
        read(f"{HEADING}\n" + "2026-11-02,,tight,,0.8,\n" * 50)
    assert str(refused.value).count("old.csv, row") == 20


@pytest.mark.parametrize("sign", [";", "\t"])
def test_semicolons_and_tabs_and_decimal_commas(read, sign: str):
    """As a spreadsheet in many countries writes it."""
    content = f"{HEADING}\n2026-11-02;;10,4;0,58;0,82;\n".replace(",date", ";date")
    content = content.split("\n", 1)[0].replace(",", ";") + "\n" + content.split("\n", 1)[1]
    row = read(content.replace(";", sign)).rows[0]
    assert (row.diameter_mm, row.gouge_mm, row.opening_mm) == (10.4, 0.58, 0.82)


@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-8", ()),
        ("utf-8-sig", ()),
        ("utf-16", ("old.csv was read as UTF-16 text.",)),
        ("cp1252", ("old.csv was read as Windows-1252 text.",)),
    ],
)
def test_the_encoding_is_found_and_said(read, encoding: str, said: tuple[str, ...]):
    """UTF-8 with or without its mark, UTF-16, Windows-1252."""
    found = read(f"{HEADING},note\n2026-11-02,,10.4,,0.8,,größer\n".encode(encoding))
    assert found.rows[0].note == "größer"
    assert found.notes == said


def test_the_separator_line_of_spreadsheets_is_understood(read):
    """``sep=;`` first; the rows still count as shown."""
    content = "sep=;\n" + HEADING.replace(",", ";") + "\n2026-11-02;;tight;;0.8;\n"
    with pytest.raises(TableError, match=r"row 3, column \"diameter_mm\""):
        read(content)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "old.csv is empty"),
        (b"\n\n  \n", "old.csv is empty"),
        (b"\x00\x01\x02", "isn't a text file"),
        (b"a,b\n1,2\n", "no column date, no column diameter_mm or diameter_low_mm"),
        (b"PK\x03\x04 no zip", "can't be read as a spreadsheet"),
        (f"{HEADING},date\n".encode(), "each column once"),
        (b"date,diametr_mm,opening_mm\n", "did you mean diameter_mm?"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_one_sentence(read, content: bytes, words: str):
    """Empty, noise, other columns, a heading mistyped."""
    with pytest.raises(TableError) as refused:
        read(content)
    assert words in str(refused.value)


def test_a_missing_file_is_named(tmp_path: Path):
    """And a folder is none."""
    for path, words in ((tmp_path / "no.csv", "There is no file"), (tmp_path, "can't be read")):
        with pytest.raises(TableError, match=words):
            read_table(path, "reeds", TableLimits(), PLACES, today=date(2026, 11, 25))


def test_a_heading_alone_is_a_table_without_rows(read):
    """An export of an empty table reads back."""
    assert read(HEADING).rows == ()


@pytest.mark.parametrize(
    ("heading", "cell", "value"),
    [
        ("Diameter (mm)", "10.4", 10.4),
        ("DIAMETER", "10.4", 10.4),
        ("diameter [in]", "0.41", 10.414),
        ("Diameter, inch", "0.41", 10.414),
        ("diameter (hundredths)", "1040", 10.4),
        ("diameter 1/100 mm", "1040", 10.4),
        ("diameter (thou)", "410", 10.414),
    ],
)
def test_a_heading_may_say_its_unit(read, heading: str, cell: str, value: float):
    """Spacing, case and brackets forgiven; the number is brought to mm."""
    found = read(f'date,opening_mm,"{heading}"\n2026-11-02,0.8,{cell}\n')
    assert found.rows[0].diameter_mm == value


def test_other_columns_are_left_out_and_named(read):
    """Silence would hide a column that was meant."""
    found = read("date,diameter_mm,opening_mm,Customer,\n2026-11-02,10.4,0.8,x,\n")
    assert found.notes == ("old.csv: left out the columns Customer.",)


def test_of_ten_thousand_other_columns_twenty_are_named(read):
    """Each short; a wall of names hides the answer."""
    names = ["x" * 500, *(f"c{number}" for number in range(9_999))]
    row = ",".join(["2026-11-02,10.4,0.8", *"1" * 10_000])
    (note,) = read(f"date,diameter_mm,opening_mm,{','.join(names)}\n{row}\n").notes
    assert note.endswith("c17, c18 and 9980 more.")
    assert len(note) < 300


def test_a_makers_own_spreadsheet_is_understood(read):
    """Own headings, own words, own units, own dates."""
    found = read(
        "Tag;Ø;gouge 1/100;result;Kunde\n3.4.2026;0,41;58;FLAT;x\n",
        said={
            "map": "Tag=date, Ø=diameter_mm, gouge 1/100=gouge_mm, result=verdict, Kunde=",
            "verdicts": {"flat": "closed"},
            "units": "diameter_mm=inch,gouge_mm=hundredths",
            "dates": "dmy",
        },
    )
    row = found.rows[0]
    assert (row.date, row.diameter_mm, row.gouge_mm, row.verdict) == (
        date(2026, 4, 3),
        10.414,
        0.58,
        "closed",
    )
    assert found.notes == ()


def test_a_heading_with_an_equals_sign_in_it_is_mapped(read):
    """The last sign parts theirs from ours."""
    found = read(
        "Tag=Datum,diameter_mm,opening_mm\n2026-11-02,10.4,0.8\n", said={"map": "Tag=Datum=date"}
    )
    assert [row.date for row in found.rows] == [date(2026, 11, 2)]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"map": "Ø"}, 'map: "Ø" is no pair'),
        ({"map": "Ø=width_mm"}, 'map: "width_mm" is not one of date, place'),
        ({"verdicts": "flat=shut"}, '"shut" is not one of closed, good, open'),
        ({"units": "gouge_mm=furlong"}, '"furlong" is not one of mm, cm'),
        ({"units": "verdict=inch"}, '"verdict" is not one of'),
        ({"dates": "dym"}, '"dym" is not one of ymd, dmy, mdy'),
        ({"maps": "a=b"}, '"maps" is not one of map, verdicts, units, dates'),
        ({"map": ["Ø"]}, "must be pairs"),
    ],
)
def test_a_mapping_that_makes_no_sense_is_refused(read, said: dict[str, object], words: str):
    """With what may stand there."""
    with pytest.raises(WrongUse) as refused:
        read(HEADING, said=said)
    assert words in str(refused.value)


def test_what_is_said_now_wins_over_what_is_kept():
    """Options over workshop.toml, key by key."""
    table = TABLES["reeds"]
    kept = foreign_of(table, {"map": {"a": "date", "b": "lot"}, "dates": "dmy"})
    both = foreign_of(table, {"map": "a=note"}).over(kept)
    assert both.headings == {"a": "note", "b": "lot"}
    assert both.dates == "dmy"
    assert foreign_of(table, {"dates": "mdy"}).over(kept).dates == "mdy"


@pytest.mark.parametrize("identity", ["x", "0", "-1", "1.5", "9" * 30])
def test_an_id_is_one_given_at_export(read, identity: str):
    """Or left empty."""
    with pytest.raises(TableError, match="must be a number given at export"):
        read(f"id,date,diameter_mm,opening_mm\n{identity},2026-11-02,10.4,0.8\n")


def test_an_id_may_be_any_that_a_record_has_given(read):
    """A maker of twenty years has many reeds, and a record its gaps."""
    found = read(
        "id,date,diameter_mm,opening_mm\n5000,2026-11-02,10.4,0.8\n123456789,2026-11-02,10.4,0.8\n"
    )
    assert [row.id for row in found.rows] == [5000, 123456789]


def test_a_row_may_end_before_its_last_empty_cells(read):
    """As editors and some programs write it."""
    found = read("date,diameter_mm,opening_mm,lot,note\n2026-11-02,10.4,0.8\n")
    assert [(row.opening_mm, row.lot, row.note) for row in found.rows] == [(0.8, None, None)]


def test_an_id_stands_once_in_a_file(read):
    """A row copied in a spreadsheet keeps its id: ask, don't guess."""
    row = "4,2026-11-02,10.4,0.8\n"
    with pytest.raises(TableError, match="each id once; it is in row 2 too"):
        read(f"id,date,diameter_mm,opening_mm\n{row}{row}")


def test_a_heading_may_leave_its_unit_out(read):
    """Of lengths, humidity and temperature alike."""
    found = read("time,temperature,rh\n2026-07-01 08:00,21.5,45\n", "readings")
    assert [(row.temperature_c, row.rh_pct) for row in found.rows] == [(21.5, 45.0)]
    found = read("date,diameter,opening,room rh\n2026-11-02,10.4,0.8,45\n")
    row = found.rows[0]
    assert (row.diameter_mm, row.opening_mm, row.room_rh_pct) == (10.4, 0.8, 45.0)


def test_readings_take_the_clock_of_their_place(read):
    """08:00 in Far Bay in July is noon UTC."""
    found = read(
        "time,place,rh_pct\n2026-07-01 08:00,far bay,45\n2026-07-01 08:00,,45\n", "readings"
    )
    assert [row.time.hour for row in found.rows] == [12, 6]


@pytest.mark.parametrize(
    ("table", "content", "column"),
    [
        ("checks", "date,centre_mm,event\n2026-11-02,,\n", "centre_mm"),
        ("cane", "date,from_stage,to_stage,pieces\n2026-11-02,tube,tube,5\n", "to_stage"),
        (
            "cane",
            "date,from_stage,to_stage,pieces,diameter_low_mm,diameter_high_mm\n"
            "2026-11-02,supplier,tube,5,11,10\n",
            "diameter_low_mm",
        ),
        (
            "cane",
            "date,from_stage,to_stage,pieces,diameter_low_mm,diameter_high_mm\n"
            "2026-11-02,supplier,tube,5,10,\n",
            "diameter_high_mm",
        ),
        (
            "reeds",
            "date,diameter_mm,diameter_low_mm,diameter_high_mm,verdict\n"
            "2026-11-02,10.2,10,10.5,good\n",
            "diameter_mm",
        ),
        ("readings", "time,rh_pct\n2026-11-02T08:00,\n", "rh_pct"),
        ("orders", "week_start,reeds\n2026-11-30,\n", "reeds"),
    ],
)
def test_a_row_that_says_too_little_or_contradicts_itself(
    read, table: str, content: str, column: str
):
    """The rules of each table, in row and column."""
    with pytest.raises(TableError) as refused:
        read(content, table)
    assert [(cell.row, cell.column) for cell in refused.value.cells] == [(2, column)]


def test_a_reading_of_the_future_is_named_with_its_cell(read):
    """Its time is judged by the clock of its place, once the place is known."""
    with pytest.raises(TableError) as refused:
        read("time,place,temperature_c,rh_pct\n2026-11-26T08:00,Far Bay,20,40\n", "readings")
    (cell,) = refused.value.cells
    assert (cell.row, cell.column, cell.found) == (2, "time", "2026-11-26T08:00")
    assert "must not lie after today" in cell.allowed
