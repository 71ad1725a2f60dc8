"""The plan's page, with what it shows beside the plan: the gouger and the openings so far."""

from datetime import timedelta
from pathlib import Path

import numpy as np

from planner import __version__
from planner.commands.gouge import gouge_document
from planner.commands.learn import Learned
from planner.commands.workshop import Workshop
from planner.opening.observations import CLOSED, GOOD, OPEN, UNJUDGED
from planner.plan.documents import PlanDocument
from planner.report.figures import HistoryShown, JudgedReed, QuarterSeen, RoomBasis
from planner.report.index import write_listed
from planner.report.page import render_plan
from planner.report.words import day
from planner.room.findings import findings
from planner.room.model import RoomFit
from planner.spread import Spread

SHOWN_REEDS = 400  # the latest; more points than that are a smudge, and a heavy page
DAY = timedelta(days=1)
QUARTERS, QUARTER = 4, timedelta(days=91)
VERDICTS = {CLOSED: "closed", GOOD: "good", OPEN: "open"}


def write_plan_page(
    workshop: Workshop, learned: Learned, document: PlanDocument, path: Path
) -> None:
    """Write the page of a plan and the index of the pages beside it.

    Raises
    ------
    RecordFull
        If the folder of the pages can't be written.
    """
    settings = workshop.settings
    html = render_plan(
        document,
        gouger=gouge_document(workshop, today=learned.today),
        history=history_shown(learned, document),
        rooms=rooms_shown(learned),
        quarters=quarters_seen(learned, document),
        version=__version__,
        made_at=day(learned.today, settings.dates),
        dates=settings.dates,
        fahrenheit=settings.fahrenheit,
    )
    write_listed(html, path, dates=settings.dates)


def history_shown(learned: Learned, document: PlanDocument) -> HistoryShown | None:
    """Return the latest openings beside what the model expected of them; None without reeds."""
    seen, residuals = learned.observations, learned.fit.residuals
    usable = np.flatnonzero(np.isfinite(residuals.expected))[-SHOWN_REEDS:]
    if not len(usable):
        return None
    return HistoryShown(
        tuple(
            JudgedReed(
                seen.day[i].item(),
                float(seen.opening[i]) if np.isfinite(seen.opening[i]) else None,
                VERDICTS.get(int(seen.verdict[i]), ""),
                Spread.normal(float(residuals.expected[i]), float(residuals.spread[i])),
            )
            for i in usable.tolist()
        ),
        document.basis.wanted_low_mm,
        document.basis.wanted_high_mm,
    )


def quarters_seen(learned: Learned, document: PlanDocument) -> tuple[QuarterSeen, ...]:
    """Return how the reeds of the last four quarters of a year came out, those with reeds.

    A reed counts by its verdict; without one by its opening against the wanted range, where it was
    measured soaked, or where all were measured dry and the range is of dry reeds.
    """
    seen, basis = learned.observations, document.basis
    measured = np.isfinite(seen.opening)
    readable = measured & (~seen.dry | seen.dry[measured].all())
    by_opening = np.where(
        seen.opening < basis.wanted_low_mm,
        CLOSED,
        np.where(seen.opening > basis.wanted_high_mm, OPEN, GOOD),
    )
    judged = np.where(
        seen.verdict != UNJUDGED, seen.verdict, np.where(readable, by_opening, UNJUDGED)
    )
    found = []
    for back in range(QUARTERS, 0, -1):
        first = learned.today - (back * QUARTER) + DAY
        last = learned.today - (back - 1) * QUARTER
        within = judged[(seen.day >= np.datetime64(first)) & (seen.day <= np.datetime64(last))]
        counts = [int((within == verdict).sum()) for verdict in (CLOSED, GOOD, OPEN)]
        found.append(QuarterSeen(first, last, *counts))
    return tuple(quarter for quarter in found if quarter.reeds)


def rooms_shown(learned: Learned) -> tuple[RoomBasis, ...]:
    """Return what the plan takes the rooms to be, the bench first."""
    return tuple(_room(name, fit) for name, fit in learned.rooms.items())


def _room(name: str, fit: RoomFit) -> RoomBasis:
    found, known = findings(fit), fit.knowledge
    return RoomBasis(
        name,
        found.set_point if known.heated else None,
        found.days_read,
        found.floor,
        found.ceiling,
        known.air_conditioned,
    )
