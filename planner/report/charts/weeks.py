"""The weeks ahead: room humidity above, diameter to take below on the maker's classes."""

from collections.abc import Iterator
from datetime import timedelta

from markupsafe import Markup

from planner.plan.documents import Spell, WeekAdvice
from planner.report import svg
from planner.report.charts.weeks_frame import (
    FOOT,
    SPELL_HEIGHT,
    TODAY_HEIGHT,
    Frame,
    WeeksShown,
    diameters_said,
    foreseen,
    frame_of,
    stacked,
)
from planner.report.charts.weeks_room import forecast_end, room_panel
from planner.report.words import day, in_100, mm, percent, short_day


def weeks_picture(shown: WeeksShown, name: str, *, wide: bool = True) -> Markup:
    """Return the picture of one place's weeks; ``name`` is unique in the page.

    The wide one is drawn for a sheet or a screen, the other for a phone.
    """
    frame = frame_of(shown, name, wide=wide)
    return svg.picture(
        name,
        f"Room humidity and diameter, {shown.weeks[0].place}",
        described(shown),
        (frame.right + (54 if wide else 8), frame.bottom + FOOT),
        *_spells(frame),
        *_today(frame),
        *room_panel(frame),
        *forecast_end(frame),
        *_cane(frame),
        *_foot(frame),
        class_="wide" if wide else "narrow",
    )


def described(shown: WeeksShown) -> str:
    """Return in words what is to be seen in the picture."""
    first, last = shown.weeks[0], shown.weeks[-1]
    dry = min(shown.weeks, key=lambda week: week.room_rh_pct.p50)
    damp = max(shown.weeks, key=lambda week: week.room_rh_pct.p50)
    order = shown.dates
    parts = [
        f"{len(shown.weeks)} weeks from {day(first.week_start, order)} to the week of "
        f"{day(last.week_start, order)}.",
        f"The room is driest in the week of {day(dry.week_start, order)}, at about "
        f"{percent(dry.room_rh_pct.p50)}, and dampest in the week of "
        f"{day(damp.week_start, order)}, at about {percent(damp.room_rh_pct.p50)}.",
        f"Diameters go from {diameters_said(first)} in the first week to "
        f"{diameters_said(last)} in the last.",
        *(_spell_said(spell, order) for spell in shown.spells),
    ]
    return " ".join(parts)


def _spell_said(spell: Spell, order: str) -> str:
    return (
        f"A {spell.kind} spell from the week of {day(spell.first_week, order)} to that of "
        f"{day(spell.last_week, order)}, {in_100(spell.probability)}."
    )


def _spells(frame: Frame) -> list[Markup]:
    marks = []
    for row, spells in enumerate(stacked(frame.shown.spells)):
        y = frame.room.end - 8 - SPELL_HEIGHT * row
        for spell in spells:
            marks.append(_spell(frame, spell, y))
    return marks


def _spell(frame: Frame, spell: Spell, y: float) -> Markup:
    """A bracket over the spell's weeks, a tint below it, and its name where it fits."""
    start, end = frame.at(spell.first_week), frame.at(spell.last_week + timedelta(days=7))
    bracket = [(start + 1, y + 5), (start + 1, y), (end - 1, y), (end - 1, y + 5)]
    said = f"{spell.kind} spell, {in_100(spell.probability)}"
    at_end = start + 6 * len(said) > frame.right
    return svg.group(
        svg.tag("title", _spell_said(spell, frame.shown.dates)),
        svg.rectangle((start, y), (end - start, frame.bottom - y), f"tint {spell.kind}"),
        svg.tag("path", d=svg.way(bracket), class_=f"bracket {spell.kind}"),
        svg.text(
            (end if at_end else start, y - 6), said, f"t {spell.kind}", "end" if at_end else None
        ),
    )


def _cane(frame: Frame) -> list[Markup]:
    lanes, usual = frame.lanes, frame.shown.workshop.usual_diameter_mm
    y = lanes.y(usual)
    marks = [
        svg.text_over((0, lanes.top - 15), "diameter, mm", "t head cane"),
        *lanes.drawn(frame.left, frame.right),
        svg.group(
            svg.tag("title", f"usual diameter, {mm(usual)}"),
            svg.line((frame.left, y), (frame.right, y), "usual"),
            svg.text((frame.right + 6, y + 4), "usual", "t soft")
            if frame.wide
            else svg.text_over((frame.right, y - 5), "usual", "t soft", "end"),
        ),
    ]
    marks.extend(_ways(frame, y) if frame.wide else ())
    marks.extend(_diameter(frame, index, week) for index, week in enumerate(frame.shown.weeks))
    return marks


def _ways(frame: Frame, usual: float) -> Iterator[Markup]:
    """Which way rounder and flatter cane lie, beside the lanes where "usual" leaves room."""
    lanes = frame.lanes
    for words, y in (("flatter", lanes.top + 4), ("rounder", lanes.bottom)):
        if abs(y - usual - 4) >= 13:
            yield svg.text((frame.right + 6, y), words, "t soft")


def _diameter(frame: Frame, index: int, week: WeekAdvice) -> Markup:
    """One week's range as a bar, its best diameter as a stroke across."""
    advice, lanes = week.diameter_mm, frame.lanes
    width = frame.column * 0.72
    x = frame.centre(index) - width / 2
    top, bottom = lanes.y(advice.high), lanes.y(advice.low)
    said = (
        f"{day(week.week_start, frame.shown.dates)}: {diameters_said(week)}, "
        f"best {mm(advice.best)}, {in_100(week.in_band_share)} in range"
    )
    place, size, y = (x, top), (width, max(bottom - top, 3)), lanes.y(advice.best)
    hatched = svg.hatch(
        [(x, top), (x + width, top)], [(x, bottom), (x + width, bottom)], "hatch cane"
    )
    return svg.group(
        svg.tag("title", said) if frame.wide else "",
        svg.rectangle(place, size, "cane-bar"),
        "" if foreseen(week) else hatched,
        svg.line((x, y), (x + width, y), "cane-best"),
    )


def _foot(frame: Frame) -> list[Markup]:
    """Weeks by their Mondays, thinned to what fits, and the week to take cane for now."""
    every = max(1, round(44 / frame.column + 0.49))
    marks = []
    for index, week in enumerate(frame.shown.weeks):
        if index % every == 0:
            words = short_day(week.week_start, frame.shown.dates)
            marks.append(svg.text((frame.centre(index), frame.bottom + 17), words, "t", "middle"))
        if week.week_start == frame.shown.taking:
            marks.append(_taking(frame, index))
    return marks


def _taking(frame: Frame, index: int) -> Markup:
    """A frame about the week whose cane is sorted now, and a pointer that says so."""
    x, y = frame.centre(index), frame.bottom + 24
    at_end = x > frame.right - 150
    return svg.group(
        svg.rectangle(
            (frame.edge(index), frame.lanes.top), (frame.column, frame.lanes.extent), "taking"
        ),
        svg.shape([(x, y), (x - 5, y + 8), (x + 5, y + 8)], "pointer"),
        svg.text(
            (x - 10 if at_end else x + 10, y + 9),
            "take cane for this week now",
            "t strong",
            "end" if at_end else None,
        ),
    )


def _today(frame: Frame) -> list[Markup]:
    x, top = frame.at(frame.shown.today), TODAY_HEIGHT - 5
    return [
        svg.line((x, top), (x, frame.bottom), "today"),
        svg.text((x + 5, 11), "today", "t strong"),
    ]
