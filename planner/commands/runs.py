"""What the watch has to say this week: the run of openings that is on, and the gougers."""

from collections.abc import Iterator, Sequence

import numpy as np

from planner.air.weeks import same_week
from planner.commands.gouge import gouge_document
from planner.commands.learn import Learned
from planner.commands.workshop import Workshop
from planner.opening.draws import EffectDraws
from planner.plan.documents import WatchNote, WeekAdvice
from planner.report.gouge_words import next_check_note
from planner.report.run_words import run_words
from planner.watch.causes import Effects
from planner.watch.documents import GougeDocument, RunNote
from planner.watch.judged import Judged
from planner.watch.openings import Bench, runs_of_openings
from planner.watch.surprise import surprises


def watch_notes(
    workshop: Workshop, learned: Learned, draws: EffectDraws, weeks: Sequence[WeekAdvice]
) -> Iterator[WatchNote]:
    """Yield what there is to say: of the openings first, then of each gouger."""
    order, gougers = workshop.settings.dates, gouge_document(workshop, today=learned.today)
    diameter = _diameter_now(workshop, learned, weeks)
    run = run_of_openings(workshop, learned, draws, diameter, gougers)
    if run is not None:
        yield WatchNote("openings", run_words(run, order), run)
    for state in gougers.gougers:
        words = next_check_note(state, learned.today, order)
        if words:
            yield WatchNote("gouger", words, None)


def _diameter_now(workshop: Workshop, learned: Learned, weeks: Sequence[WeekAdvice]) -> float:
    """The best diameter of the cane taken now at the bench, else of the bench's first week. [mm]"""
    bench = workshop.settings.bench.place.name
    rows = [row for row in weeks if row.place == bench]
    due = [row for row in rows if same_week(row.sort_by, learned.today)]
    return (due or rows)[0].diameter_mm.best


def run_of_openings(
    workshop: Workshop,
    learned: Learned,
    draws: EffectDraws,
    diameter: float,
    gougers: GougeDocument,
) -> RunNote | None:
    """Return a note on the run of openings that is on, or None.

    *diameter* is the one advised at the bench now [mm]: the correction goes from there. *gougers*
    tells how far the gouge may be the cause.
    """
    if not len(learned.observations):
        return None
    cane = workshop.settings.cane
    return runs_of_openings(
        judged_of(learned, draws),
        Effects(
            diameter=float(draws.diameter.mean()),
            diameter_sd=float(draws.diameter.std()),
            gouge=float(draws.gouge.mean()),
            moisture=float(draws.moisture.mean()),
        ),
        Bench(diameter, cane.diameter_min_mm, cane.diameter_max_mm, cane.sorted_to_mm),
        gouger_off=_gouger_off(gougers),
    )


def judged_of(learned: Learned, draws: EffectDraws) -> Judged:
    """Return what the watch over openings looks at."""
    places = tuple(dict.fromkeys(reed.place for reed in learned.reeds))
    number = {place: i for i, place in enumerate(places)}
    place = np.array([number[reed.place] for reed in learned.reeds], np.int64)
    return surprises(learned.observations, draws, place, places)


def _gouger_off(document: GougeDocument) -> float | None:
    """How far the gouger checked last stands from its target [mm]; None where that isn't known."""
    state = document.gougers[0] if document.gougers else None
    if state is None or state.now_mm is None or state.state == "few":
        return None
    return state.now_mm.p50 - document.target_mm
