"""What to prepare, and the answer for one place, in a terminal; on JSON objects, nothing heavy."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from planner.report.layout import WIDTH, Columns, Item, Name, Said, laid
from planner.report.words import (
    bare_span,
    day,
    in_100,
    listed,
    mm,
    percent,
    short_day,
    span,
    weather_word,
    week_of,
)

SPELLS_SHOWN = 8
SURE = 0.2  # a yield whose middle 80 in 100 span less than this is stated without a range

Answer = dict[str, Any]


def prepare_lines(answer: Answer, order: str, width: int = WIDTH) -> Iterator[str]:
    """Yield the spells, the list of what to do by when, the stock and the yields."""
    return laid(_prepare_said(answer, order), width)


def _prepare_said(answer: Answer, order: str) -> Iterator[Item]:
    bench = answer["workshop"]["bench"]
    yield Name(f"{bench}, {day(date.fromisoformat(answer['today']), order)}")
    yield ""
    yield from _spells(answer["spells"])
    yield ""
    yield from _todo(answer["prepare"], order)
    if answer["same_cane"]:
        yield ""
        for group in answer["same_cane"]:
            yield Said("This week", group["words"])
    if answer["stock"]:
        yield ""
        for line in answer["stock"]:
            yield Said("Stock", line["words"])
    if answer["yields"]:
        yield ""
        yield Said("Yields", _yields(answer["yields"]))
    for note in answer["prepare_notes"]:
        yield Said("Note", note)


def _spells(spells: list[Answer]) -> Iterator[Item]:
    if not spells:
        yield Said("Spells", "none ahead: no week's air asks for other cane than usual.")
    for spell in spells[:SPELLS_SHOWN]:
        yield Said("Spell", spell["words"])
    if len(spells) > SPELLS_SHOWN:
        yield Said("", f"and {len(spells) - SPELLS_SHOWN} more; --json has them all.")


def _todo(items: list[Answer], order: str) -> Iterator[Item]:
    if not items:
        yield Said("To do", "nothing to sort, gouge or order in the coming weeks.")
    for item in items:
        by = short_day(date.fromisoformat(item["by"]), order)
        yield Said(f"by {by}", item["words"])


def _yields(steps: list[Answer]) -> str:
    """Return the yields as one sentence; how far each rests on the maker's own pieces."""
    seen = max(step["pieces_seen"] for step in steps)
    rests = f"from {seen:,} pieces of your own" if seen else "general experience, none of your own"
    said = [f"{step['to_stage']} {_share(step)}" for step in steps]
    return f"of 100 pieces at each step: {listed(tuple(said))} ({rests})."


def _share(step: Answer) -> str:
    if step["high_share"] - step["low_share"] < SURE:
        return f"{100 * step['share']:.0f}"
    return bare_span(100 * step["low_share"], 100 * step["high_share"], 0)


def for_lines(answer: Answer, order: str, width: int = WIDTH) -> Iterator[str]:
    """Yield what to take for one place, and its coming weeks."""
    return laid(_for_said(answer, order), width)


def _for_said(answer: Answer, order: str) -> Iterator[Item]:
    place = answer["place"]
    yield Name(
        f"{place['name']} ({place['latitude']:.2f}, {place['longitude']:.2f}), "
        f"{day(date.fromisoformat(answer['today']), order)}"
    )
    yield ""
    row = answer["take"]
    if row is None:
        yield Said("Take", "the plan doesn't reach the reeds sorted now; ask for more --weeks.")
    else:
        yield from _take(row, order)
    yield ""
    yield Columns(
        ("sort by", "week of", "take mm", "gouge mm", "bench mm", "in range", "room %"),
        tuple(_row(week, order) for week in answer["weeks"]),
        spare=("room %", "gouge mm", "week of"),
    )


def _take(row: Answer, order: str) -> Iterator[Item]:
    take, gouge = row["diameter_mm"], row["gouge_mm"]["target"]
    yield Said(
        "Take",
        f"{span(take['low'], take['high'])}, best {mm(take['best'])}, gouge {mm(gouge)}, "
        f"for reeds judged in the {week_of(date.fromisoformat(row['week_start']), order)}",
    )
    bench = row["bench_opening_mm"]
    if bench is not None:
        yield Said(
            "Finish", f"at {mm(bench['p50'])} on your bench ({span(bench['p10'], bench['p90'])})"
        )
    room = row["room_rh_pct"]
    yield Said(
        "Expect",
        f"{in_100(row['in_band_share'])} in range there, {in_100(row['in_band_share_usual'])} "
        f"with your usual; room {percent(room['p50'])} "
        f"({span(room['p10'], room['p90'], 0, '%')}), from {weather_word(row['weather'])}",
    )
    yield Said("Why", row["why"])


def _row(row: Answer, order: str) -> tuple[str, ...]:
    take, room, bench = row["diameter_mm"], row["room_rh_pct"], row["bench_opening_mm"]
    return (
        short_day(date.fromisoformat(row["sort_by"]), order),
        short_day(date.fromisoformat(row["week_start"]), order),
        bare_span(take["low"], take["high"]),
        f"{row['gouge_mm']['target']:.2f}",
        "" if bench is None else f"{bench['p50']:.2f}",
        f"{100 * row['in_band_share']:.0f}/100",
        bare_span(room["p10"], room["p90"], 0),
    )
