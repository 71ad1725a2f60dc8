"""How large a page gets and how long it takes to draw: the usual, and the largest.

Run: python tests/benchmarks/page_size.py
Invented plans. The rival is a bare table of the same figures, drawn in the same run by the same
templates' engine: what the pictures, the words and the style add.
"""

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from pathlib import Path

from harness import Figure
from jinja2 import Environment

from planner.plan.documents import PlanDocument
from planner.report.page import MOST_BYTES

sys.path.insert(0, str(Path(__file__).parents[1] / "report"))
import invented  # the same invented plans as in the tests

CASES = ((12, 3), (52, 1), (12, 50), (52, 50))
BARE = "<table>{% for row in rows %}<tr>{% for cell in row %}<td>{{ cell }}{% endfor %}{% endfor %}"


def bare(document: PlanDocument) -> str:
    """The plan's figures in a table, nothing else."""
    rows = [list(_figures(week)) for week in document.weeks]
    return Environment(autoescape=True).from_string(BARE).render(rows=rows)


def _figures(value: object) -> list[object]:
    if is_dataclass(value):
        return [figure for f in fields(value) for figure in _figures(getattr(value, f.name))]
    return [value]


def seconds(draw: Callable[[PlanDocument], str], document: PlanDocument, times: int) -> list[float]:
    """Wall times of drawing, the first one, which fills the caches, left out."""
    taken = []
    for _ in range(times + 1):
        begun = time.perf_counter()
        draw(document)
        taken.append(time.perf_counter() - begun)
    return taken[1:]


def run(*, quick: bool) -> Sequence[Figure]:
    """Size and time of a page for a few numbers of weeks and places."""
    figures = []
    for weeks, places in CASES:
        names = (invented.BENCH, *(f"Town {number}" for number in range(1, places)))
        document = invented.plan_document(weeks, names)
        size = len(invented.everything(document).encode()) / 1000
        what = f"page of {weeks} weeks, {places} place{'s' if places > 1 else ''}"
        figures += [
            Figure(
                f"{what}, size",
                [size],
                "kB",
                "bare table",
                [len(bare(document).encode()) / 1000],
                f"under {MOST_BYTES // 1000} kB",
                size * 1000 < MOST_BYTES,
            ),
            Figure(
                f"{what}, drawn in",
                [1000 * s for s in seconds(invented.everything, document, 3 if quick else 9)],
                "ms",
                "bare table",
                [1000 * s for s in seconds(bare, document, 3 if quick else 9)],
            ),
        ]
    return figures


if __name__ == "__main__":
    for figure in run(quick="--quick" in sys.argv):
        print(f"{figure.what}: {figure.median:.4g} {figure.unit}, {figure.ratio:.1f} bare tables")
