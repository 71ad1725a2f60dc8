"""The tables of a season's review, alike in the terminal and on the page."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from planner.plan.review_documents import (
    Calibration,
    ErrorRow,
    Group,
    MissCause,
    ReviewDocument,
    ReviewWeek,
    Rival,
)
from planner.report.words import DASH, bare_span, number, short_day, signed
from planner.spread import Spread

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
FIFTHS = ("lowest fifth", "second", "middle", "fourth", "highest fifth")


@dataclass(frozen=True)
class Table:
    """What a table shows, every cell as it is written; the first column names the row."""

    caption: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def week_table(document: ReviewDocument, order: str, *, every: bool) -> Table:
    """Return predicted and seen, advised and taken by week; *every* one, or those with reeds."""
    weeks = [week for week in document.weeks if every or week.reeds]
    places = len({week.place for week in weeks}) > 1
    where = ("place",) if places else ()
    headings = ("reeds", "expected", "seen", "advised mm", "taken", "room %", "came %")
    return Table(
        "Week by week",
        ("week of", *where, *headings),
        tuple(
            (
                short_day(week.week_start, order),
                *((week.place,) if places else ()),
                *_week(week),
            )
            for week in weeks
        ),
    )


def _week(week: ReviewWeek) -> tuple[str, ...]:
    advised, room = week.diameter_mm, week.room_rh_pct
    return (
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


def group_tables(document: ReviewDocument) -> Iterator[Table]:
    """Yield predicted and seen by place where there are several, by lot and by diameter."""
    if len(document.by_place) > 1:
        yield _groups("By place", "place", document.by_place)
    if document.by_lot:
        yield _groups("By lot", "lot", document.by_lot)
    if document.by_diameter:
        classes = [replace(c, name=c.name.replace("-", DASH)) for c in document.by_diameter]
        yield _groups("By class of diameter", "diameter mm", classes)


def _groups(caption: str, heading: str, groups: Sequence[Group]) -> Table:
    rows = tuple(
        (
            group.name,
            str(group.reeds),
            share(group.predicted_share),
            share(group.seen_share),
            f"{100 * group.seen_low:.0f}{DASH}{100 * group.seen_high:.0f}",
            DASH if group.error_mm is None else signed(group.error_mm, 3),
        )
        for group in groups
    )
    return Table(caption, (heading, "reeds", "expected", "seen", "8 in 10", "off mm"), rows)


def rival_table(rivals: Sequence[Rival]) -> Table:
    """Return the plan against the other choices."""
    rows = tuple(
        (
            RIVALS[rival.name],
            bare_span(rival.diameter_low_mm, rival.diameter_high_mm),
            share(rival.share),
            share(rival.plan_share),
            worth(rival.worth),
            share(rival.probability),
        )
        for rival in rivals
    )
    headings = ("against", "mm", "good", "plan", "worth in 100", "better")
    return Table("The plan's diameters against other choices", headings, rows)


def worth(spread: Spread) -> str:
    """Return a difference of shares with its interval, in reeds of a hundred."""
    middle, low, high = (signed(100 * v, 0) for v in (spread.p50, spread.p10, spread.p90))
    return f"{middle} ({low} to {high})"


def error_table(errors: Sequence[ErrorRow]) -> Table:
    """Return how far off the expected openings were."""
    rows = tuple(
        (
            ERRORS[row.name],
            str(row.reeds),
            signed(row.mean_mm, 3),
            number(row.absolute_mm, 3),
            DASH if row.crps_mm is None else number(row.crps_mm, 3),
        )
        for row in errors
    )
    headings = ("opening expected by", "reeds", "off mm", "either way", "with doubt")
    return Table("How far off the expected openings were", headings, rows)


def miss_table(misses: Sequence[MissCause]) -> Table:
    """Return what moved the missed reeds."""
    rows = tuple(
        (
            CAUSES[cause.name] + (f" ({cause.what})" if cause.what else ""),
            signed(cause.mm, 3),
            signed(100 * cause.share, 0),
        )
        for cause in misses
    )
    headings = ("what moved the missed reeds", "mm", "of 100")
    return Table("What moved the missed reeds", headings, rows)


def promise_tables(found: Calibration) -> Iterator[Table]:
    """Yield promised and seen shares, and where the openings fell among the expected."""
    yield Table(
        "Reeds by what was promised of them",
        ("promised", "reeds", "expected", "seen"),
        tuple(
            (
                f"{100 * row.low:.0f}{DASH}{100 * row.high:.0f} in 100",
                str(row.reeds),
                share(row.predicted_share),
                share(row.seen_share),
            )
            for row in found.rows
        ),
    )
    total = sum(found.pit)
    if total:
        yield Table(
            "Where the openings fell among those expected",
            ("part of the expected openings", "reeds", "if right"),
            tuple(
                (name, str(count), number(total / len(FIFTHS), 0))
                for name, count in zip(FIFTHS, found.pit, strict=True)
            ),
        )
