"""The gouger in words, on the page and in the terminal alike. Only the standard library."""

from collections.abc import Iterator
from datetime import date

from planner.report.layout import WIDTH, Columns, Item, Said, Sentence, laid
from planner.report.words import counted, day, days_from, mm, number, signed, span
from planner.spread import Spread
from planner.watch.documents import Frequency, GougeDocument, GougerState, Sides

DECIMALS = 3  # of a gouge; a dial gauge is read to 0.01 mm, averages and drifts are finer
OFTEN = {1: "once a week", 2: "twice a week", 7: "every day"}
NO_CHECKS = (
    'No check is in the record. Gouge a piece, gauge it and enter it with "planner add check".'
)


def gouge_lines(document: GougeDocument, order: str, width: int = WIDTH) -> Iterator[str]:
    """Yield the answer of ``gouge`` as lines of a terminal."""
    return laid(_gouge_said(document, order), width)


def _gouge_said(document: GougeDocument, order: str) -> Iterator[Item]:
    if not document.gougers:
        yield Sentence(NO_CHECKS)
        return
    for i, state in enumerate(document.gougers):
        if i:
            yield ""
        yield Sentence(title(document, state))
        for label, text in sentences(document, state, order):
            yield Said(label, text)
        yield ""
        yield Sentence(
            "Pieces gouged before a change is noticed, by how often you check (sudden: 0.01 mm "
            "at once; slow: 0.01 mm a week):"
        )
        yield catch_table(state.frequency)
    yield ""
    yield Said("Limits", limits_sentence(document))


def title(document: GougeDocument, state: GougerState) -> str:
    """Return what the gouger is and what it is aimed at."""
    name = f"Gouger {state.gouger}" if state.gouger else "Gouger without a name"
    low = max(document.low_mm, document.target_mm - document.tolerance_mm)
    high = min(document.high_mm, document.target_mm + document.tolerance_mm)
    return f"{name}: centre aimed at {mm(document.target_mm)}, {span(low, high)} allowed"


def sentences(document: GougeDocument, state: GougerState, order: str) -> Iterator[tuple[str, str]]:
    """Yield labels and sentences: where it stands, its drift, its sides, when to check."""
    yield "State", state_sentence(document, state, order)
    if state.now_mm is not None:
        yield "Now", now_sentence(state)
    if state.drift_mm_per_week is not None:
        yield "Drift", drift_sentence(document, state, order)
    thinnest = thin_sentence(document, state, order)
    if thinnest:
        yield "Too thin", thinnest
    yield "Sides", sides_sentence(state.sides)
    if state.wet_offset_mm is not None:
        yield "Wet or dry", wet_sentence(state.wet_offset_mm)
    yield "Next check", next_sentence(document, state, order)
    yield "How often", often_sentence(state.frequency)


def state_sentence(document: GougeDocument, state: GougerState, order: str) -> str:
    """Return where the gouger stands."""
    since = _since(state, order)
    if state.state == "none":
        restart = (
            f" since it was {state.restart_event} on {day(state.restart, order)}"
            if (state.restart)
            else ""
        )
        return f"nothing known: no check{restart}."
    checks = counted(state.checks_since_restart, "check")
    if state.state == "few":
        return (
            f"{checks}{since}: too few to tell a drift from chance. Nothing speaks against the "
            "setting so far."
        )
    if state.state == "steady":
        return f"steady: {checks}{since}, their running average {_average(state)}."
    if state.state == "unstable":
        return (
            f"near the thinnest allowed ({mm(document.low_mm)}): thinner cane makes reeds "
            "unstable. Stop, gauge a few pieces and set it before gouging on."
        )
    began = f" since about {day(state.since, order)}" if state.since else ""
    word = "thinner" if state.state == "thin" else "thicker"
    return (
        f"it gouges {word} than aimed{began}: the running average of the checks is "
        f"{_average(state)}. "
        "Gauge a few pieces to be sure, then set or sharpen."
    )


def _since(state: GougerState, order: str) -> str:
    if state.restart is None:
        return ""
    return f" since it was {state.restart_event} on {day(state.restart, order)}"


def _average(state: GougerState) -> str:
    assert state.average_mm is not None
    assert state.average_low_mm is not None
    assert state.average_high_mm is not None
    limits = span(state.average_low_mm, state.average_high_mm, DECIMALS)
    return f"{mm(state.average_mm, DECIMALS)}; that of a steady gouger stays within {limits}"


def now_sentence(state: GougerState) -> str:
    """Return where the centre now stands, and how well that is known."""
    now = state.now_mm
    assert now is not None
    known = "mostly a guess yet" if state.spread_from_checks < 0.5 else "learned from yours"
    return (
        f"about {mm(now.p50, DECIMALS)}, {_eighty(now)}; a check is uncertain by "
        f"{mm(state.spread_mm, DECIMALS)} ({known})."
    )


def _eighty(known: Spread) -> str:
    return f"8 in 10 within {span(known.p10, known.p90, DECIMALS)}"


def drift_sentence(document: GougeDocument, state: GougerState, order: str) -> str:
    """Return how fast it drifts and when it will leave the tolerance."""
    drift = state.drift_mm_per_week
    assert drift is not None
    low, middle, high = (signed(value, 4) for value in (drift.p10, drift.p50, drift.p90))
    rate = f"{middle} mm a week (8 in 10: {low} to {high})"
    if state.leaves_on is not None and state.leaves_on <= document.today:
        return f"{rate}; it is likely too {state.leaves} already."
    if state.leaves_on is not None:
        early = f", at the earliest {day(state.leaves_from, order)}" if state.leaves_from else ""
        return (
            f"{rate}: it will be too {state.leaves} about {day(state.leaves_on, order)}{early}, "
            "if it goes on so."
        )
    if drift.p10 <= 0 <= drift.p90:
        rate = f"none to be seen: {rate}"
    if state.leaves_from is not None:
        until = f"without another check it can't be relied on after {day(state.leaves_from, order)}"
        if state.leaves_from <= document.today:
            until = "without a new check it can't be relied on"
        return f"{rate}; {until}."
    return f"{rate}; it stays within what is allowed for a year and more."


def thin_sentence(document: GougeDocument, state: GougerState, order: str) -> str:
    """Return the warning before the gouge gets thin enough to make reeds unstable, or nothing."""
    drift = state.drift_mm_per_week
    if state.thinnest_from is None or state.leaves != "thin" or drift is None:
        return ""
    return (
        f"from {day(state.thinnest_from, order)} on the centre may be under "
        f"{mm(document.low_mm)}, the thinnest allowed: such reeds lose their stability."
    )


def sides_sentence(sides: Sides) -> str:
    """Return what centre against sides says."""
    if sides.finding == "unknown" or sides.tilt_mm is None or sides.fall_change_mm is None:
        return (
            f"{counted(sides.checks, 'check')} with both sides since the blade was last touched: "
            "gauge left and right too, three times at least, to see a tilted or worn blade."
        )
    tilt, change = sides.tilt_mm, sides.fall_change_mm
    if sides.finding == "tilted":
        thick = "left" if tilt.p50 > 0 else "right"
        return (
            f"the {thick} side comes out {mm(abs(tilt.p50), DECIMALS)} thicker: the blade sits "
            "tilted, or the cane lies off the middle of the bed."
        )
    if sides.finding == "worn":
        if change.p50 > 0:
            return (
                f"the centre has become {mm(change.p50, DECIMALS)} thicker against the sides: the "
                "blade is likely worn in the middle. Sharpen it."
            )
        return (
            f"the sides have become {mm(-change.p50, DECIMALS)} thicker against the centre: the "
            "blade is likely worn beside the middle, or not set square. Look at the edge."
        )
    return (
        f"even: left minus right {signed(tilt.p50, DECIMALS)} mm; centre against sides changed by "
        f"{signed(change.p50, DECIMALS)} mm since the blade was last touched."
    )


def wet_sentence(offset: Spread) -> str:
    """Return how wet and dry checks are told apart."""
    return (
        f"wet pieces gauge {signed(offset.p50, DECIMALS)} mm against dry ones "
        f"({signed(offset.p10, DECIMALS)} to {signed(offset.p90, DECIMALS)}); that is taken off "
        "those gauged in the less usual state."
    )


def next_sentence(document: GougeDocument, state: GougerState, order: str) -> str:
    """Return when to check again."""
    return f"{day(state.next_check, order)} ({days_from(document.today, state.next_check)})."


def often_sentence(often: Frequency) -> str:
    """Return how often to check, and what that reaches."""
    habit = (
        f"{OFTEN.get(often.checks_per_week, f'{often.checks_per_week} times a week')}, the mean of "
        f"{counted(often.pieces_a_check, 'piece')} each time"
    )
    within = counted(often.within_pieces, "piece")
    week = f"at {number(often.pieces_per_week, 0)} pieces gouged a week"
    if often.reached:
        return f"{habit}: a change of 0.01 mm is then noticed within about {within}, {week}."
    return (
        f"{habit} is the most that makes sense; even so a change of 0.01 mm is not noticed within "
        f"{within}, {week}."
    )


def catch_table(often: Frequency) -> Columns:
    """Return the table of habits: after how many pieces a change of 0.01 mm is noticed."""
    return Columns(
        ("checks a week", "pieces each", "sudden", "slow"),
        tuple(
            (
                str(row.checks_per_week),
                str(row.pieces_a_check),
                str(row.pieces),
                str(row.slow_pieces),
            )
            for row in often.rows
        ),
    )


def limits_sentence(document: GougeDocument) -> str:
    """Return what the limits of the chart promise, and where they don't hold."""
    return (
        f"made for a false alarm in {document.false_alarm_checks} checks of a steady gouger on "
        "average; with fewer than about 25 checks of your own, false alarms are commoner."
    )


def next_check_note(state: GougerState, today: date, order: str) -> str:
    """Return a note for the week where the gouger needs a look, else nothing."""
    if state.state in ("thin", "thick", "unstable"):
        name = f" {state.gouger}" if state.gouger else ""
        word = {"thin": "thinner than aimed", "thick": "thicker than aimed"}.get(
            state.state, "near the thinnest allowed"
        )
        return f"The gouger{name} gouges {word}: check it before gouging on (planner gouge)."
    if state.state != "none" and state.next_check < today:
        return f"A check of the gouger was due on {day(state.next_check, order)}."
    return ""
