"""The plan's page, with what it shows beside the plan: the gouger and the openings so far."""

from datetime import date
from pathlib import Path

import numpy as np

from planner import __version__
from planner.commands.learn import Learned
from planner.commands.workshop import Workshop
from planner.opening.observations import CLOSED, GOOD, OPEN
from planner.plan.documents import PlanDocument, Spread
from planner.report.figures import GougeCheck, GougeEvent, GougerShown, HistoryShown, JudgedReed
from planner.report.page import render_index, render_plan, write_page
from planner.report.words import day
from planner.watch.documents import GougerState
from planner.watch.gouger import Aim, gouger_states

SHOWN_REEDS = 400  # the latest; more points than that are a smudge, and a heavy page
TENTH = 1.2815515655446004  # standard normal 90th percentile
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
        gouger=gouger_shown(workshop, learned.today),
        history=history_shown(learned, document),
        version=__version__,
        made_at=day(learned.today, settings.dates),
        dates=settings.dates,
        fahrenheit=settings.fahrenheit,
    )
    write_page(html, path)
    write_page(render_index(path.parent), path.parent / "index.html")


def gouger_shown(workshop: Workshop, today: date) -> GougerShown | None:
    """Return the chart of the gouger checked last; None where nothing was checked."""
    gouge = workshop.settings.gouge
    states = gouger_states(
        workshop.record.checks(until=today),
        Aim(gouge.usual_mm, gouge.min_mm, gouge.max_mm, gouge.check_limit_mm),
        today=today,
    )
    return _shown(states[0], gouge.usual_mm) if states and states[0].points else None


def _shown(state: GougerState, target: float) -> GougerShown:
    last = state.points[-1]
    return GougerShown(
        name=state.gouger,
        target_mm=target,
        low_mm=last.low_mm,
        high_mm=last.high_mm,
        checks=tuple(
            GougeCheck(point.date, point.centre_mm, point.average_mm) for point in state.points
        ),
        events=tuple(GougeEvent(point.date, point.event) for point in state.points if point.event),
        next_check=state.next_check,
    )


def history_shown(learned: Learned, document: PlanDocument) -> HistoryShown | None:
    """Return the latest openings beside what the model expected of them; None without reeds."""
    seen, residuals = learned.observations, learned.fit.residuals
    if not len(seen):
        return None
    low = residuals.expected - TENTH * residuals.spread
    high = residuals.expected + TENTH * residuals.spread
    return HistoryShown(
        tuple(
            JudgedReed(
                seen.day[i].item(),
                float(seen.opening[i]) if np.isfinite(seen.opening[i]) else None,
                VERDICTS.get(int(seen.verdict[i]), ""),
                Spread(float(low[i]), float(residuals.expected[i]), float(high[i])),
            )
            for i in range(max(0, len(seen) - SHOWN_REEDS), len(seen))
        ),
        document.basis.wanted_low_mm,
        document.basis.wanted_high_mm,
    )
