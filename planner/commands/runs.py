"""The run of openings that is on, from what is known as of a day."""

from datetime import date

import numpy as np

from planner.commands.gouge import gouge_document
from planner.commands.learn import Learned
from planner.commands.workshop import Workshop
from planner.opening.draws import EffectDraws
from planner.watch.causes import Effects
from planner.watch.documents import RunNote
from planner.watch.judged import Judged
from planner.watch.openings import Bench, runs_of_openings
from planner.watch.surprise import surprises


def run_of_openings(
    workshop: Workshop, learned: Learned, draws: EffectDraws, diameter: float
) -> RunNote | None:
    """Return a note on the run of openings that is on, or None.

    *diameter* is the one advised at the bench now [mm]: the correction goes from there.
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
        gouger_off=_gouger_off(workshop, learned.today),
    )


def judged_of(learned: Learned, draws: EffectDraws) -> Judged:
    """Return what the watch over openings looks at."""
    places = tuple(dict.fromkeys(reed.place for reed in learned.reeds))
    number = {place: i for i, place in enumerate(places)}
    place = np.array([number[reed.place] for reed in learned.reeds], np.int64)
    return surprises(learned.observations, draws, place, places)


def _gouger_off(workshop: Workshop, today: date) -> float | None:
    """How far the gouger checked last stands from its target [mm]; None where that isn't known."""
    document = gouge_document(workshop, today=today)
    state = document.gougers[0] if document.gougers else None
    if state is None or state.now_mm is None or state.state == "few":
        return None
    return state.now_mm.p50 - document.target_mm
