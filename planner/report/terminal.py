"""The plan in a terminal: aligned, short, plain text.

Works on the plan's JSON object, so that a kept plan is shown without loading anything heavy.
"""

from collections.abc import Iterator
from datetime import date
from typing import Any

from planner.air.weeks import same_week
from planner.report.layout import WIDTH, Columns, Item, Name, Said, Sentence, laid
from planner.report.words import (
    bare_span,
    counted,
    day,
    in_100,
    listed,
    mm,
    short_day,
    span,
    weather_word,
    week_of,
)

TABLES_SHOWN = 3  # places with a table of their own in the summary; the page has them all
SPARE = ("weather", "room %", "best", "usual")

Answer = dict[str, Any]


def week_lines(
    answer: Answer, now: dict[str, Any], order: str, width: int = WIDTH
) -> Iterator[str]:
    """Yield what to take this week; *now* as :func:`planner.commands.plan.rows_now` gives it."""
    return laid(_week_said(answer, now, order), width)


def _week_said(answer: Answer, now: dict[str, Any], order: str) -> Iterator[Item]:
    bench = answer["workshop"]["bench"]
    yield Name(f"{bench}, {day(date.fromisoformat(answer['today']), order)}")
    yield ""
    for row in now["take"]:
        yield from _take(row, bench, order)
    if ahead := [*_together(answer), *_finishing(now)]:
        yield ""
        yield from ahead
    yield ""
    yield from _watch(answer)
    yield Said("Rests on", _basis(answer["basis"]))


def _finishing(now: dict[str, Any]) -> Iterator[Item]:
    """The week's own reeds, where their cane isn't that which is taken now."""
    finishing = now["finishing"]
    if now["take"] and finishing["week_start"] != now["take"][0]["week_start"]:
        yield Said(
            "Finishing",
            f"this week's from {_diameters(finishing)}: expect "
            f"{in_100(finishing['in_band_share'])} in range.",
        )


def _watch(answer: Answer) -> Iterator[Item]:
    """What the watch over openings and gougers has to say."""
    for note in answer["watch"]:
        yield Said({"openings": "Run", "gouger": "Gouger"}[note["about"]], note["words"])


def _take(row: Answer, bench: str, order: str) -> Iterator[Item]:
    gouge = row["gouge_mm"]
    yield Said(
        "Take" if row["place"] == bench else f"{row['place']}",
        f"{_diameters(row)}, best {mm(row['diameter_mm']['best'])}, gouge {mm(gouge['target'])}",
    )
    if row["place"] == bench:
        yield Said(
            "", f"for reeds judged in the {_week(row, order)}, from {weather_word(row['weather'])}"
        )
    yield Said("", _share(row))
    if row.get("bench_opening_mm"):
        left = row["bench_opening_mm"]
        around = bare_span(left["p10"], left["p90"])
        yield Said("", f"leave it {mm(left['p50'])} open at the bench ({around})")
    yield Said("", row["why"])


def _together(answer: Answer) -> Iterator[Item]:
    """The cane that several places share, where there are several."""
    if len(answer["workshop"]["places"]) > 1 and answer["same_cane"]:
        for index, group in enumerate(answer["same_cane"]):
            yield Said("" if index else "Together", group["words"])


def plan_lines(answer: Answer, order: str, width: int = WIDTH) -> Iterator[str]:
    """Yield the summary of the plan."""
    return laid(_plan_said(answer, order), width)


def _plan_said(answer: Answer, order: str) -> Iterator[Item]:
    bench = answer["workshop"]["bench"]
    places = [bench, *(name for name in answer["workshop"]["places"] if name != bench)]
    planned = [name for name in places if any(row["place"] == name for row in answer["weeks"])]
    yield Sentence(_weeks_are(answer, order))
    yield ""
    for name in planned[:TABLES_SHOWN]:
        yield Name(name)
        yield Columns(
            ("week of", "take mm", "best", "gouge mm", "in range", "usual", "room %", "weather"),
            tuple(_row(row, order) for row in answer["weeks"] if row["place"] == name),
            spare=SPARE,
        )
        yield ""
    if len(planned) > TABLES_SHOWN:
        yield f"and {len(planned) - TABLES_SHOWN} more places, on the page."
        yield ""
    for spell in answer["spells"]:
        yield Said("Spell", spell["words"])
    for item in answer["prepare"]:
        yield Said(f"by {short_day(date.fromisoformat(item['by']), order)}", item["words"])
    yield from _watch(answer)
    if answer["spells"] or answer["prepare"] or answer["watch"]:
        yield ""
    yield Said("Season", answer["basis"]["season_worth"])
    yield Said("Rests on", _basis(answer["basis"]))


def _weeks_are(answer: Answer, order: str) -> str:
    """What the weeks of the tables are, and which of them the cane of this week is for."""
    first = answer["weeks"][0]
    lead = date.fromisoformat(first["week_start"]) - date.fromisoformat(first["sort_by"])
    if not lead.days:
        return "Weeks in which the reeds are judged; their cane is sorted in the same week."
    today = date.fromisoformat(answer["today"])
    now = [
        short_day(date.fromisoformat(row["week_start"]), order)
        for row in answer["weeks"]
        if row["place"] == first["place"] and same_week(date.fromisoformat(row["sort_by"]), today)
    ]
    take = f": take cane for {listed(tuple(now))} now" if now else ""
    return (
        f"Weeks in which the reeds are judged; their cane is sorted {lead.days} days before{take}."
    )


def _row(row: Answer, order: str) -> tuple[str, ...]:
    take, room = row["diameter_mm"], row["room_rh_pct"]
    return (
        short_day(date.fromisoformat(row["week_start"]), order),
        bare_span(take["low"], take["high"]),
        f"{take['best']:.2f}",
        f"{row['gouge_mm']['target']:.2f}",
        f"{100 * row['in_band_share']:.0f}/100",
        f"{100 * row['in_band_share_usual']:.0f}/100",
        bare_span(room["p10"], room["p90"], 0),
        {"climate": "past years", "mixed": "part forecast"}.get(row["weather"], "forecast"),
    )


def _diameters(row: Answer) -> str:
    return span(row["diameter_mm"]["low"], row["diameter_mm"]["high"])


def _week(row: Answer, order: str) -> str:
    return week_of(date.fromisoformat(row["week_start"]), order)


def _share(row: Answer) -> str:
    return (
        f"{in_100(row['in_band_share'])} in range, "
        f"{100 * row['in_band_share_usual']:.0f} with your usual"
    )


def _basis(basis: Answer) -> str:
    if not basis["reeds"]:
        return "no reeds of your own yet: general experience only. Add yours with planner add reed."
    kinds = (
        f"{basis['with_mm']:,} measured in mm",
        f"{basis['with_verdict']:,} with a verdict",
    )
    return (
        f"{counted(basis['reeds'], 'reed')}, {listed(kinds)}. The history is {basis['grade']}: "
        f"{basis['grade_why']}"
    )
