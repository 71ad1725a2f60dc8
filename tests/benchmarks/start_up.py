"""How soon the planner answers, beside the time to import pandas and scikit-learn alone."""

import tempfile
from pathlib import Path

from harness import Figure, planner, ran, rival_import, taken_in_turn
from large import TODAY, workshop

REEDS = 2_000
BENCH_PATH = 1 / 6  # of the rival
ANEW = 1.5  # times the rival
RIVAL = "import"


def run(*, quick: bool = False) -> list[Figure]:
    """Time the bench path and a plan made anew."""
    times = 3 if quick else 9
    with tempfile.TemporaryDirectory() as name:
        folder = workshop(Path(name) / "w", reeds=REEDS)
        here = ("--workshop", folder)
        day = ("--today", TODAY.isoformat())
        reed = ("--diameter-mm", "10.4", "--gouge-mm", "0.59", "--opening-mm", "0.8")
        ran(planner(*here, "week", *day))
        soon = taken_in_turn(
            {
                "rival": rival_import(),
                "planner --help": planner("--help"),
                "planner week, nothing changed": planner(*here, "week", *day),
            },
            times,
        )
        adding = taken_in_turn(
            {
                "rival": rival_import(),
                "planner add reed": planner(*here, "add", "reed", *reed, *day),
            },
            times,
        )
        # A reed added between two plans is what makes a plan anew.
        anew: dict[str, list[float]] = {"rival": [], "plan": [], "week": []}
        for number in range(1 + max(2, times // 2)):
            taken = {"rival": ran(rival_import()).seconds}
            for what in ("plan", "week"):
                ran(planner(*here, "add", "reed", *reed, *day))
                taken[what] = ran(planner(*here, what, *day)).seconds
            for what, seconds in taken.items():
                anew[what] += [seconds] * bool(number)
    figures = [
        _figure(what, values, rival, BENCH_PATH)
        for measured in (soon, adding)
        for rival in (measured.pop("rival"),)
        for what, values in measured.items()
    ]
    return [
        *figures,
        _figure(f"planner plan anew, {REEDS} reeds, 10 years", anew["plan"], anew["rival"], ANEW),
        _figure("planner week anew, the same", anew["week"], anew["rival"], ANEW),
    ]


def _figure(what: str, values: list[float], rival: list[float], most: float) -> Figure:
    figure = Figure(what, values, "s", RIVAL, rival, f"ratio below {most:.2f}")
    assert figure.ratio is not None
    return Figure(what, values, "s", RIVAL, rival, figure.reach, figure.ratio < most)
