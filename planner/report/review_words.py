"""The review of a season in a terminal, and its words for the page. Only the standard library."""

from collections.abc import Iterator
from dataclasses import replace

from planner.plan.review_documents import (
    Calibration,
    Following,
    OutlookScore,
    ReviewDocument,
    Rival,
    RoomScore,
)
from planner.report.layout import WIDTH, Columns, Item, Said, Sentence, laid
from planner.report.review_tables import (
    RIVALS,
    Table,
    error_table,
    group_tables,
    miss_table,
    rival_table,
    week_table,
    worth,
)
from planner.report.words import (
    bare_span,
    counted,
    day,
    in_100,
    number,
    percent,
    signed,
    span,
)

LOTS_SHOWN = 8
SPARE = (
    *("came %", "room %", "taken", "off mm", "8 in 10"),
    *("better", "plan", "mm", "with doubt", "either way", "of 100"),
    *("advised mm", "reeds"),
)
NAMES = (
    "place",
    "lot",
    "against",
    "what moved the missed reeds",
)  # columns that a maker's names fill
FEW_WEEKS = 4  # below which the mean of the season is hardly more than the weeks themselves


def review_lines(document: ReviewDocument, order: str, width: int = WIDTH) -> Iterator[str]:
    """Yield the summary of a review."""
    return laid(_review_said(document, order), width)


def _review_said(document: ReviewDocument, order: str) -> Iterator[Item]:
    yield Sentence(title(document, order))
    yield ""
    if document.reeds:
        yield Said("Seen", seen_sentence(document))
    yield Said("Verdict", document.verdict)
    if document.worth is not None:
        yield Said("Worth", worth_sentence(document.worth))
    if document.following is not None:
        yield Said("Followed", following_sentence(document.following))
    yield ""
    yield from _weeks(document, order)
    yield from _tables(document)
    if document.calibration is not None:
        yield Said("Promises", calibration_sentence(document.calibration))
    for score in document.outlook:
        yield Said("Outlook", outlook_sentence(score))
    for room in document.room:
        yield Said("Room", room_sentence(room))
    if document.calibration is not None or document.outlook or document.room:
        yield ""
    for i, sentence in enumerate(document.next_season):
        yield Said("Next season" if i == 0 else "", sentence)
    for note in document.notes:
        yield Said("Note", note)


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
        f"{in_100(rival.share)} over {counted(rival.reeds, 'reed')}, reckoned with hindsight. That "
        f"they were the better choice: {in_100(rival.probability)}."
    )


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
            f"{counted(found.other, 'reed')} outside it by {number(found.steps_off, 1)} classes on "
            f"average, {in_100(found.other_share)} good"
        )
    return f"{'; '.join(parts)}. They were of other weeks and lots, so this proves nothing."


def _weeks(document: ReviewDocument, order: str) -> Iterator[Item]:
    """The weeks with reeds."""
    shown = week_table(document, order, every=False)
    if not shown.rows:
        return
    yield _columns(shown)
    silent = sum(not week.reeds for week in document.weeks)
    if silent:
        yield Sentence(f"{counted(silent, 'week')} without judged reeds left out.")
    yield ""


def _tables(document: ReviewDocument) -> Iterator[Item]:
    fewer_lots = replace(document, by_lot=document.by_lot[:LOTS_SHOWN])
    shown: list[Table] = list(group_tables(fewer_lots))
    shown += [rival_table(document.rivals)] if document.rivals else []
    shown += [error_table(document.errors)] if document.errors else []
    shown += [miss_table(document.misses)] if document.misses else []
    for one in shown:
        yield _columns(one)
        yield ""


def _columns(shown: Table) -> Columns:
    return Columns(shown.headings, shown.rows, spare=SPARE, names=NAMES)


def calibration_sentence(found: Calibration) -> str:
    """Return whether promised shares and openings were kept, with their scores."""
    skill = round(100 * found.skill)
    scored = "no better than" if not skill else "better than" if skill > 0 else "worse than"
    text = (
        f"as forecasts the promised shares were {f'{abs(skill)} in 100 ' if skill else ''}{scored} "
        f"promising every reed the season's own share (promise against outcome, squared and "
        f"averaged: {number(found.brier, 3)}, and 0 is the best; the Brier score)."
    )
    if found.inside_80 is None:
        return text
    return (
        f"of {counted(found.mm_reeds, 'measured opening')}, {in_100(found.inside_80)} lay within "
        f"the range that promised 80{_could_be(found)}; {text}"
    )


def _could_be(found: Calibration) -> str:
    """Where the share within the interval may truly lie."""
    low, high = found.inside_80_low, found.inside_80_high
    if low is None or high is None:
        return ""
    return f" (with so few it may be {bare_span(100 * low, 100 * high, 0)})"


def outlook_sentence(score: OutlookScore) -> str:
    """Return how good the outlook of a place's room was; against its mean where weeks allow."""
    text = (
        f"{score.place}: weekly room humidity off by {percent(score.absolute_error_pct, 1)} "
        f"({signed(score.mean_error_pct, 1)} on average), {round(score.inside_80 * score.weeks)} "
        f"of {counted(score.weeks, 'week')} within the range that promised 8 in 10"
    )
    if score.weeks < FEW_WEEKS:
        return f"{text}."
    usual = percent(score.usual_absolute_error_pct, 1)
    return f"{text}; the season's mean, said for every week, would have been off by {usual}."


def room_sentence(score: RoomScore) -> str:
    """Return how good the room model of a place was."""
    return (
        f"{score.place}: the hygrometer read {signed(score.mean_error_pct, 1)} % against the room "
        f"model as of the season's beginning, off by {percent(score.absolute_error_pct, 1)} "
        f"either way; {counted(score.weeks, 'week')} with readings."
    )
