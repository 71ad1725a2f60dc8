"""The page of a season's review: one file, like the plan's."""

from planner.plan.review_documents import ReviewDocument
from planner.report import review_words
from planner.report.charts.season import season_picture
from planner.report.page import both, page
from planner.report.review_tables import (
    error_table,
    group_tables,
    miss_table,
    promise_tables,
    rival_table,
    week_table,
)
from planner.report.words import day


def render_review(
    document: ReviewDocument, *, version: str, made_at: str, dates: str = "dmy"
) -> str:
    """Return the review as one self-contained HTML page.

    ``made_at`` is the moment it was made, as it shall be shown; ``dates`` is the workshop's order
    (``dmy``, ``mdy`` or ``ymd``). Parts for which there is nothing are left out.
    """
    first = document.weeks[0] if document.weeks else None
    days = f"from {day(document.season_from, dates)} to {day(document.season_to, dates)}"
    return page(
        "review.html.jinja",
        dates=dates,
        document=document,
        words=review_words,
        capital=_capital,
        which=f"of the {document.season}" if document.season else days,
        weeks=week_table(document, dates, every=True),
        groups=tuple(group_tables(document)),
        rivals=rival_table(document.rivals),
        misses=miss_table(document.misses) if document.misses else None,
        errors=error_table(document.errors) if document.errors else None,
        promises=tuple(promise_tables(document.calibration)) if document.calibration else (),
        picture=both(season_picture, document, name="season", dates=dates),
        lead_days=(first.week_start - first.planned_on).days if first else 0,
        version=version,
        made_at=made_at,
    )


def _capital(text: str) -> str:
    """Return a sentence with a capital at its beginning, the rest as it is."""
    return text[:1].upper() + text[1:]
