"""How time and memory of a plan made anew grow with reeds, places and weeks."""

import tempfile
from pathlib import Path

from harness import Figure, Ran, planner, ran
from large import TODAY, workshop

MOST_SECONDS, MOST_MEBIBYTES = 20.0, 1024.0
LARGEST = (20_000, 50, 52)
# Reeds, places, weeks: each step doubles one of them or more.
STEPS = ((5_000, 1, 12), (10_000, 1, 12), (20_000, 1, 12), (2_000, 10, 12), (2_000, 20, 12))
LONGER = ((2_000, 10, 26), (2_000, 10, 52))
LINEAR = 2.2  # at most, for twice as much


def run(*, quick: bool = False) -> list[Figure]:
    """Plan workshops of growing size, the largest last."""
    with tempfile.TemporaryDirectory() as name:
        taken = {
            size: _planned(Path(name), size)
            for size in ((LARGEST,) if quick else (*STEPS, *LONGER, LARGEST))
        }
    figures = [] if quick else _growth(taken)
    largest = taken[LARGEST]
    what = _words(LARGEST)
    return [
        *figures,
        Figure(
            f"{what}: time",
            [largest.seconds],
            "s",
            reach=f"under {MOST_SECONDS:g}",
            reached=largest.seconds < MOST_SECONDS,
        ),
        Figure(
            f"{what}: memory",
            [largest.mebibytes],
            "MiB",
            reach=f"under {MOST_MEBIBYTES:g}",
            reached=largest.mebibytes < MOST_MEBIBYTES,
        ),
    ]


def _growth(taken: dict[tuple[int, int, int], Ran]) -> list[Figure]:
    """Twice as many reeds, places or weeks, beside half as many."""
    pairs = (
        (STEPS[1], STEPS[0]),
        (STEPS[2], STEPS[1]),
        (STEPS[4], STEPS[3]),
        (LONGER[1], LONGER[0]),
    )
    figures = []
    for more, fewer in pairs:
        ratio = taken[more].seconds / taken[fewer].seconds
        figures.append(
            Figure(
                _words(more),
                [taken[more].seconds],
                "s",
                _words(fewer),
                [taken[fewer].seconds],
                f"ratio below {LINEAR:g}",
                ratio < LINEAR,
            )
        )
    return figures


def _planned(folder: Path, size: tuple[int, int, int]) -> Ran:
    reeds, places, weeks = size
    made = workshop(folder / "-".join(map(str, size)), reeds=reeds, places=places)
    day = ("--today", TODAY.isoformat(), "--weeks", str(weeks))
    return ran(planner("--workshop", made, "plan", *day))


def _words(size: tuple[int, int, int]) -> str:
    reeds, places, weeks = size
    return f"{reeds} reeds, {places} place{'s' * (places > 1)}, {weeks} weeks"
