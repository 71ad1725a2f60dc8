"""The gouger: where it stands, drifting or not, next check."""

from datetime import date
from typing import Any

from planner.commands.workshop import Workshop, opened
from planner.errors import WrongUse
from planner.history.cells import plain
from planner.plan import assemble
from planner.plan.yields import learn_yields
from planner.settings import Settings
from planner.watch.documents import SCHEMA_VERSION, GougeDocument
from planner.watch.gouger import Aim, gouger_states

FALSE_ALARM_CHECKS = 100  # what the limit of the chart is made for
DIGITS = 4  # of a mm: drifts are that small


def gouge(
    settings: Settings, *, today: date, gouger: str | None = None, within_pieces: int | None = None
) -> GougeDocument:
    """Return the state of each gouger as of *today*, or of the one named.

    ``within_pieces`` is how many pieces may be gouged before a change of 0.01 mm is called; left
    out, those of a week.

    Raises
    ------
    RecordError
        If the record can't be read.
    WrongUse
        If there are checks, but none of that gouger.
    """
    with opened(settings) as workshop:
        return gouge_document(workshop, today=today, gouger=gouger, within_pieces=within_pieces)


def gouge_document(
    workshop: Workshop,
    *,
    today: date,
    gouger: str | None = None,
    within_pieces: int | None = None,
) -> GougeDocument:
    """Return the state of the gougers of an opened workshop."""
    settings = workshop.settings
    checks = workshop.record.checks(until=today)
    aim = settings.gouge
    states = gouger_states(
        checks,
        Aim(aim.usual_mm, aim.min_mm, aim.max_mm, aim.check_limit_mm),
        today=today,
        pieces_per_week=_pieces_per_week(workshop, today),
        within_pieces=within_pieces,
    )
    shown = tuple(s for s in states if gouger is None or plain(s.gouger) == plain(gouger))
    if states and not shown:
        names = ", ".join(state.gouger or "one without a name" for state in states)
        raise WrongUse(f'No check names the gouger "{gouger}"; there are: {names}.')
    return GougeDocument(
        schema_version=SCHEMA_VERSION,
        today=today,
        target_mm=aim.usual_mm,
        low_mm=aim.min_mm,
        high_mm=aim.max_mm,
        tolerance_mm=aim.check_limit_mm,
        false_alarm_checks=FALSE_ALARM_CHECKS,
        gougers=shown,
    )


def _pieces_per_week(workshop: Workshop, today: date) -> float:
    """Pieces gouged a week: the reeds wanted, and how many pieces a reed takes."""
    output = workshop.settings.output
    yields = learn_yields(
        workshop.record.cane(until=today), pieces_per_good_reed=output.pieces_per_good_reed
    )
    return max(1.0, output.reeds_per_week / yields.from_stage("gouged"))


def to_json_dict(document: GougeDocument) -> dict[str, Any]:
    """Return the answer as a JSON object, lengths to a ten-thousandth of a mm."""
    return assemble.to_json_dict(document, lambda value, _: round(value, DIGITS))
