"""The review of a season in a terminal, and its words for the page. Only the standard library."""

from collections.abc import Iterator, Sequence

from planner.plan.documents import Spread
from planner.plan.review_documents import (
    Calibration,
    ErrorRow,
    Following,
    Group,
    MissCause,
    OutlookScore,
    ReviewDocument,
    ReviewWeek,
    Rival,
    RoomScore,
)
from planner.report.terminal import labelled, table
from planner.report.words import (
    bare_span,
    counted,
    day,
    in_100,
    listed,
    number,
    percent,
    short_day,
    signed,
    span,
)

RIVALS = {
    "made": "what you took",
    "usual": "one diameter all along",
    "calendar": "by the calendar",
    "last_year": "last year's plan",
}
CAUSES = {
    "diameter": "diameter other than advised",
    "gouge": "gouge other than advised",
    "lot": "the lot",
    "room": "room other than expected",
    "level": "all reeds moved (knife, habit)",
    "reed": "the reed itself",
}
ERRORS = {
    "plan": "the plan",
    "last_reeds": "the last reeds' mean",
    "last_year": "last year's mean",
}
LOTS_SHOWN = 8
DASH = "\N{EN DASH}"


def review_lines(document: ReviewDocument, order: str) -> Iterator[str]:
    """Yield the summary of a review."""
    yield title(document, order)
    yield ""
    yield from labelled("Seen", seen_sentence(document))
    yield from labelled("Verdict", document.verdict)
    if document.worth is not None:
        yield from labelled("Worth", worth_sentence(document.worth))
    if document.following is not None:
        yield from labelled("Followed", following_sentence(document.following))
    yield ""
    yield from week_table(document, order)
    yield from _tables(document)
    if document.calibration is not None:
        yield from labelled("Promises", calibration_sentence(document.calibration))
    for score in document.outlook:
        yield from labelled("Outlook", outlook_sentence(score))
    for room in document.room:
        yield from labelled("Room", room_sentence(room))
    yield ""
    for i, sentence in enumerate(document.next_season):
        yield from labelled("Next season" if i == 0 else "", sentence)
    for note in document.notes:
        yield from labelled("Note", note)


def title(document: ReviewDocument, order: str) -> str:
    """Return which season it is."""
    days = f"{day(document.season_from, order)} to {day(document.season_to, order)}"
    return (
        f"{document.workshop}, {document.season} ({days})"
        if document.season
        else (f"{document.workshop}, {days}")
    )


def seen_sentence(document: ReviewDocument) -> str:
    """Return how many reeds came out within the wanted range."""
    if document.seen_share is None:
        return "no reeds judged."
    wanted = span(document.wanted_low_mm, document.wanted_high_mm)
    closed = sum(week.closed for week in document.weeks)
    too_open = sum(week.open for week in document.weeks)
    return (
        f"{counted(document.reeds, 'reed')} judged, {in_100(document.seen_share)} good ({wanted} "
        f"or your verdict); {closed} too closed, {too_open} too open."
    )


def worth_sentence(rival: Rival) -> str:
    """Return what the plan's diameters were worth against another choice."""
    return (
        f"against {RIVALS[rival.name]}, the plan's diameters were worth "
        f"{worth(rival.worth)} good reeds in 100: {in_100(rival.plan_share)} instead of "
        f"{in_100(rival.share)} over {counted(rival.reeds, 'reed')}. Better with "
        f"{in_100(rival.probability)}."
    )


def worth(spread: Spread) -> str:
    """Return a difference of shares with its interval, in reeds of a hundred."""
    middle, low, high = (signed(100 * v, 0) for v in (spread.p50, spread.p10, spread.p90))
    return f"{middle} ({low} to {high})"


def following_sentence(found: Following) -> str:
    """Return how the reeds within the advised range came out, and the others."""
    parts = []
    if found.followed and found.followed_share is not None:
        parts.append(
            f"{counted(found.followed, 'reed')} within the advised range, "
            f"{in_100(found.followed_share)} good"
        )
    if found.other and found.other_share is not None and found.steps_off is not None:
        parts.append(
            f"{counted(found.other, 'reed')} outside it by {number(found.steps_off, 1)} classes, "
            f"{in_100(found.other_share)} good"
        )
    return f"{listed(tuple(parts), 'and')}. Of other weeks and lots, so this proves nothing."


def week_table(document: ReviewDocument, order: str) -> list[str]:
    """Return the weeks with reeds: predicted and seen, advised and taken."""
    rows = [week for week in document.weeks if week.reeds]
    if not rows:
        return []
    places = len({week.place for week in rows}) > 1
    headings = ("week of", "reeds", "expected", "seen", "advised mm", "taken", "room %", "came")
    lines = table(
        (*headings, "place") if places else headings,
        [(*_week(week, order), *((week.place,) if places else ())) for week in rows],
    )
    silent = sum(not week.reeds for week in document.weeks)
    if silent:
        lines.append(f"{counted(silent, 'week')} without judged reeds left out.")
    return [*lines, ""]


def _week(week: ReviewWeek, order: str) -> tuple[str, ...]:
    advised, room = week.diameter_mm, week.room_rh_pct
    return (
        short_day(week.week_start, order),
        str(week.reeds),
        share(week.predicted_share),
        share(week.seen_share),
        DASH if advised is None else bare_span(advised.low, advised.high),
        DASH if week.made_diameter_mm is None else number(week.made_diameter_mm),
        DASH if room is None else bare_span(room.p10, room.p90, 0),
        DASH if week.seen_room_rh_pct is None else number(week.seen_room_rh_pct, 0),
    )


def share(value: float | None) -> str:
    """Return a share for a table: ``72/100``."""
    return DASH if value is None else f"{100 * value:.0f}/100"


def _tables(document: ReviewDocument) -> Iterator[str]:
    if len(document.by_place) > 1:
        yield from group_table("place", document.by_place)
    yield from group_table("lot", document.by_lot[:LOTS_SHOWN])
    yield from group_table("diameter mm", document.by_diameter)
    if document.rivals:
        yield from rival_table(document.rivals)
    if document.errors:
        yield from error_table(document.errors)
    if document.misses:
        yield from miss_table(document.misses)


def group_table(heading: str, groups: Sequence[Group]) -> list[str]:
    """Return shares of groups, predicted and seen."""
    if not groups:
        return []
    rows = [
        (
            group.name,
            str(group.reeds),
            share(group.predicted_share),
            share(group.seen_share),
            f"{100 * group.seen_low:.0f}{DASH}{100 * group.seen_high:.0f}",
            DASH if group.error_mm is None else signed(group.error_mm, 3),
        )
        for group in groups
    ]
    return [*table((heading, "reeds", "expected", "seen", "80 in 100", "off mm"), rows), ""]


def rival_table(rivals: Sequence[Rival]) -> list[str]:
    """Return the plan against the other choices."""
    rows = [
        (
            RIVALS[rival.name],
            bare_span(rival.diameter_low_mm, rival.diameter_high_mm),
            share(rival.share),
            share(rival.plan_share),
            worth(rival.worth),
            share(rival.probability),
        )
        for rival in rivals
    ]
    headings = ("against", "mm", "good", "plan", "worth in 100", "better")
    return [*table(headings, rows), ""]


def error_table(errors: Sequence[ErrorRow]) -> list[str]:
    """Return how far off the expected openings were."""
    rows = [
        (
            ERRORS[row.name],
            str(row.reeds),
            signed(row.mean_mm, 3),
            number(row.absolute_mm, 3),
            DASH if row.crps_mm is None else number(row.crps_mm, 3),
        )
        for row in errors
    ]
    return [*table(("opening expected by", "reeds", "off mm", "without sign", "CRPS"), rows), ""]


def miss_table(misses: Sequence[MissCause]) -> list[str]:
    """Return what moved the missed reeds."""
    rows = [
        (
            CAUSES[cause.name] + (f" ({cause.what})" if cause.what else ""),
            signed(cause.mm, 3),
            signed(100 * cause.share, 0),
        )
        for cause in misses
    ]
    return [*table(("what moved the missed reeds", "mm", "of 100"), rows), ""]


def calibration_sentence(found: Calibration) -> str:
    """Return whether promised shares and openings were kept, with their scores."""
    text = (
        f"Brier {number(found.brier, 3)} (reliability {number(found.reliability, 3)}, resolution "
        f"{number(found.resolution, 3)}), {signed(100 * found.skill, 0)} in 100 against promising "
        "every reed the season's own share"
    )
    if found.inside_80 is None:
        return f"{text}."
    return (
        f"{text}; {in_100(found.inside_80)} openings within the interval that promised 80, of "
        f"{found.mm_reeds}."
    )


def outlook_sentence(score: OutlookScore) -> str:
    """Return how good the outlook of a place's room was."""
    return (
        f"{score.place}: weekly room humidity off by {percent(score.absolute_error_pct, 1)} "
        f"({signed(score.mean_error_pct, 1)} on average), {in_100(score.inside_80)} weeks within "
        f"the interval that promised 80; the season's mean, said for every week, would have been "
        f"off by {percent(score.usual_absolute_error_pct, 1)}. {counted(score.weeks, 'week')}."
    )


def room_sentence(score: RoomScore) -> str:
    """Return how good the room model of a place was."""
    return (
        f"{score.place}: the hygrometer read {signed(score.mean_error_pct, 1)} % against the room "
        f"model as of the season's beginning, off by {percent(score.absolute_error_pct, 1)} "
        f"without sign; {counted(score.weeks, 'week')} with readings."
    )
