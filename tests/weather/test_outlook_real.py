"""The outlook on decades of real weather, beside past years as they were.

Loaded by path from installed packages: dlnm (Chicago 1987-2000, daily, of the National Morbidity,
Mortality and Air Pollution Study) and pcse (Wageningen 1976-1999, daily). The study itself, with
more places and rivals, is tests/benchmarks/outlook_decades.py.
"""

import pytest
from outlook_decades import OUTLOOK, PLAIN, examine, later
from outlook_packaged import packaged

RECORDS = ("Chicago, 14 years (dlnm)", "Wageningen, 23 years (pcse)")


@pytest.mark.slow
@pytest.mark.parametrize(("kept", "low", "high"), [(100.0, 0.75, 0.86), (4.0, 0.75, 0.88)])
@pytest.mark.parametrize("name", RECORDS)
def test_real_decades_are_foreseen_no_worse_than_by_past_years(name, kept, low, high):
    """Weeks 3 to 12: CRPS of moisture no worse; the 80 % range holds what it says.

    The limits are the 77 to 83 % that are asked of many records, and what a single one with some
    dozens of origins may be off by chance.
    """
    table = dict(packaged()).get(name)
    if table is None:
        pytest.skip(f"needs the package that carries {name}; see .ci/run")
    found = later(examine(table, least_years=10.0, every=42, members=200, kept=kept))
    assert found[OUTLOOK][0] <= found[PLAIN][0]
    assert low <= found[OUTLOOK][1] <= high


def test_the_study_of_the_outlook_runs_on_any_table():
    """Two origins of the shortest record that a package carries, if any is installed."""
    tables = [table for _, table in packaged() if len(table) > 900]
    if not tables:
        pytest.skip("needs one of the packages diyepw, dlnm or pcse; see .ci/run")
    rows = examine(min(tables, key=len), least_years=2.0, every=180, members=50)
    assert set(rows["week"]) == set(range(1, 13))
    assert (rows["crps"] >= 0.0).all()
