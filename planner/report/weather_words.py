"""What ``weather`` says in the terminal."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from planner.report.layout import WIDTH, flowing
from planner.report.words import counted, day, moment
from planner.weather.documents import (
    ForecastLine,
    Gap,
    Holding,
    Imported,
    Moved,
    Shown,
    YearCurve,
)

if TYPE_CHECKING:
    from planner.weather.credits import Credit
    from planner.weather.rounds import Fetched, Report
    from planner.weather.search import Candidate

BLOCKS = "▁▂▃▄▅▆▇█"
DIGITS = "12345678"  # in place of blocks where the terminal has none
MONTHS = "J   F   M   A    M   J   J    A   S   O    N   D"
GAPS_SHOWN = 5
KINDS = {"observed": "observed", "typical": "typical year"}


def fetched_lines(report: "Report", order: str) -> Iterator[str]:
    """Yield what a fetch brought; *order* is that of dates."""
    for entry in report.fetched:
        what = "forecast" if entry.kind == "forecast" else "past"
        yield (
            f"{entry.place}: {counted(entry.days, 'day')} of {what} from {entry.source}, "
            f"{_from_to(entry, order)}"
        )
    for line in report.fresh:
        yield f"{line}: nothing new to ask for"
    yield f"{counted(report.requests, 'request')}, {report.bytes / 1000:.0f} kB"


def imported_lines(imported: Imported, order: str, *, dry_run: bool) -> Iterator[str]:
    """Yield what an import brought; *order* is that of dates."""
    kind = {"observed": "", "forecast": " of forecast", "typical": " of a typical year"}
    did = "would be stored" if dry_run else f"read, {imported.changed:,} new or changed"
    yield f"{imported.place}: {counted(imported.days, 'day')}{kind[imported.kind]} {did}"
    if imported.kind != "typical":
        yield f"  {_from_to(imported, order)}"
    if imported.thin:
        yield f"  {counted(imported.thin, 'day')} with under 18 hours: kept, but not counted"


def by_clock(shown: Shown, zone: str) -> Shown:
    """Return what is stored with its times as the clock of a time zone shows them."""
    there = ZoneInfo(zone)
    return replace(
        shown,
        holdings=tuple(
            replace(held, fetched_at=held.fetched_at.astimezone(there)) for held in shown.holdings
        ),
        last_fetch=shown.last_fetch and shown.last_fetch.astimezone(there),
    )


def shown_lines(
    shown: Shown, order: str, *, blocks: bool = True, width: int = WIDTH
) -> Iterator[str]:
    """Yield what is stored of a place's weather; *order* is that of dates."""
    yield from flowing(_held_lines(shown, order), width)
    if shown.curve:
        yield ""
        yield from curve_lines(shown.curve, blocks=blocks)
    if shown.sources:
        yield ""
    yield from flowing(_source_lines(shown), width)


def _held_lines(shown: Shown, order: str) -> Iterator[str]:
    yield f"Weather of {shown.place}, as of {day(shown.today, order)}"
    if not shown.holdings and shown.forecast is None:
        yield "Nothing is stored. Run: planner weather fetch, or planner weather import FILE"
        return
    for holding in shown.holdings:
        yield from _holding_lines(holding, order)
    yield from moved_sentences(shown.moves)
    if shown.forecast is None:
        yield "No forecast for the coming days: a plan rests on climate alone."
    else:
        yield _forecast_line(shown.forecast, order)
        yield f"  {worth_words(shown.forecast)}"
    if shown.last_fetch is not None:
        yield f"Last brought in: {moment(shown.last_fetch, order)}"


def _source_lines(shown: Shown) -> Iterator[str]:
    for source in shown.sources:
        said = f": {source.attribution}" if source.attribution != source.name else ""
        yield f"{source.name} ({source.licence}){said}"


def stored_sentences(shown: Shown, order: str) -> Iterator[str]:
    """Yield what is stored, a source a sentence, the last forecast after them.

    *order* is that of dates.
    """
    for holding in shown.holdings:
        missing = sum(gap.days for gap in holding.gaps)
        lacking = f", {counted(missing, 'day')} missing between them" if missing else ""
        yield next(_holding_lines(holding, order)) + lacking + "."
    if shown.forecast is None:
        yield "No forecast for the coming days: a plan rests on climate alone."
    else:
        yield _forecast_line(shown.forecast, order) + "."
        yield worth_words(shown.forecast)


def worth_words(ahead: ForecastLine) -> str:
    """Return how far its forecasts tell of what comes, and what that rests on."""
    told = ", ".join(f"{100 * worth:.0f} at {counted(days, 'day')}" for days, worth in ahead.worth)
    rests = (
        f"compared on {counted(ahead.compared_days, 'foreseen day')}"
        if ahead.compared_days
        else "as usual for forecasts; none could be compared here yet"
    )
    return f"How closely it follows what comes (100 fully, 0 not at all): {told}; {rests}."


def moved_sentences(moves: Sequence[Moved]) -> Iterator[str]:
    """Yield by how much each source is moved before it meets the others."""
    for move in moves:
        shared = f"{counted(move.shared_days, 'day')} in common" if move.shared_days else "height"
        yield (
            f"{move.source} is moved by {move.temperature_c:+.1f} °C and {move.vapour_pct:+.0f} % "
            f"of vapour onto the footing of the others ({shared})."
        )


def curve_lines(curve: Sequence[YearCurve], *, blocks: bool = True) -> Iterator[str]:
    """Yield one line a year, one sign a week: the higher, the damper; a gap is empty."""
    values = [value for year in curve for value in year.weeks if value is not None]
    low, high = min(values), max(values)
    signs = BLOCKS if blocks else DIGITS
    yield f"Mean dew point by week, from {low:.0f} °C ({signs[0]}) to {high:.0f} °C ({signs[-1]})"
    yield f"      {MONTHS}"
    for year in curve:
        line = "".join(" " if v is None else _sign(v, low, high, signs) for v in year.weeks)
        yield f"{year.year}  {line.rstrip()}"


def places_lines(name: str, found: "Sequence[Candidate]", credit: "Credit") -> Iterator[str]:
    """Yield the places that a name may mean, as they stand in workshop.toml."""
    if not found:
        yield f'No place named "{name}" was found; give the next larger town, or coordinates.'
        return
    for candidate in found:
        yield f"# {candidate}"
        yield "[[place]]"
        yield f"name = {json.dumps(candidate.name, ensure_ascii=False)}"
        yield f"latitude = {candidate.latitude:.4f}"
        yield f"longitude = {candidate.longitude:.4f}"
        yield f'timezone = "{candidate.timezone}"'
        if candidate.altitude is not None:
            yield f"altitude = {candidate.altitude:.0f}"
        yield ""
    yield f"# {credit.attribution}"


def _from_to(span: "Imported | Holding | Gap | Fetched", order: str) -> str:
    return f"{day(span.first, order)} to {day(span.last, order)}"


def _forecast_line(ahead: ForecastLine, order: str) -> str:
    return (
        f"Forecast: {ahead.source}, issued {day(ahead.issued, order)}, to {day(ahead.last, order)} "
        f"({counted(ahead.kept, 'forecast')} kept as issued)"
    )


def _holding_lines(holding: Holding, order: str) -> Iterator[str]:
    thin = f", {holding.thin} of them thin (under 18 hours)" if holding.thin else ""
    span = "" if holding.kind == "typical" else f", {_from_to(holding, order)}"
    yield (
        f"{holding.source}, {KINDS[holding.kind]}: {counted(holding.days, 'day')}{span}{thin}; "
        f"fetched {moment(holding.fetched_at, order)}"
    )
    if not holding.gaps:
        return
    missing = sum(gap.days for gap in holding.gaps)
    yield f"  {counted(len(holding.gaps), 'gap')}, {counted(missing, 'day')} missing:"
    for gap in sorted(holding.gaps, key=lambda gap: -gap.days)[:GAPS_SHOWN]:
        yield f"    {_from_to(gap, order)} ({counted(gap.days, 'day')})"
    if len(holding.gaps) > GAPS_SHOWN:
        yield f"    and {len(holding.gaps) - GAPS_SHOWN} shorter ones"


def _sign(value: float, low: float, high: float, signs: str) -> str:
    share = (value - low) / (high - low) if high > low else 0.5
    return signs[min(int(share * len(signs)), len(signs) - 1)]
