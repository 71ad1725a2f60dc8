"""The history of openings against what the model expected, and the verdicts below."""

from datetime import date, timedelta
from statistics import median

from markupsafe import Markup

from planner.air.weeks import monday_of
from planner.report import svg
from planner.report.charts.timeline import (
    NARROW,
    WIDE,
    Panel,
    panel_over,
    specks,
    stretches,
    strokes,
)
from planner.report.figures import HistoryShown
from planner.report.words import counted, day, span
from planner.spread import Spread

TOP, BOTTOM = 26.0, 210.0
ROW, GAP, FOOT = 17.0, 44.0, 8.0
VERDICTS = ("open", "good", "closed")
MIDWEEK = timedelta(days=3)
LEVELS = ("p10", "p50", "p90")


def openings_picture(
    shown: HistoryShown, name: str, *, dates: str = "dmy", wide: bool = True
) -> Markup:
    """Return the picture of a history; nothing where there are no judged reeds.

    ``name`` is unique in the page.
    """
    if not shown.reeds:
        return Markup("")
    layout = WIDE if wide else NARROW
    panel = _panel(shown, dates, wide=wide)
    verdicts = any(reed.verdict for reed in shown.reeds)
    height = BOTTOM + GAP + FOOT + (ROW * len(VERDICTS) + FOOT if verdicts else 0)
    return svg.picture(
        name,
        "Openings as they came out, and as the model has them",
        _described(shown, dates),
        (layout.width, height),
        svg.text((0, TOP - 12), "opening, mm", "t head"),
        panel.key("wanted range", "wanted"),
        *panel.grid(),
        *_expected(panel, shown),
        panel.level(shown.wanted_low_mm, "wanted"),
        panel.level(shown.wanted_high_mm, "wanted"),
        specks(
            (panel.at(r.day, r.opening_mm) for r in shown.reeds if r.opening_mm is not None),
            "specks",
        ),
        *panel.foot(layout.months),
        *(_verdicts(panel, shown) if verdicts else ()),
        class_="wide" if wide else "narrow",
    )


def _panel(shown: HistoryShown, dates: str, *, wide: bool) -> Panel:
    openings = [reed.opening_mm for reed in shown.reeds if reed.opening_mm is not None]
    openings += [shown.wanted_low_mm, shown.wanted_high_mm]
    openings += [v for r in shown.reeds for v in (r.expected_mm.p10, r.expected_mm.p90)]
    days = [reed.day for reed in shown.reeds]
    return panel_over(
        (min(days), max(days)),
        (min(openings), max(openings)),
        (WIDE if wide else NARROW, TOP, BOTTOM),
        least=0.2,
        dates=dates,
    )


def _expected(panel: Panel, shown: HistoryShown) -> list[Markup]:
    """The model's band and middle, broken where no reeds were judged for weeks."""
    weeks = expected_by_week(shown)
    days = [monday + MIDWEEK for monday in weeks]
    marks = []
    for run in stretches(days, longest_gap=35):
        spreads = list(weeks.values())[run]
        marks.append(
            panel.band(days[run], [s.p10 for s in spreads], [s.p90 for s in spreads], "cane-band")
        )
        marks.append(panel.line(days[run], [s.p50 for s in spreads], "cane-line"))
    return marks


def expected_by_week(shown: HistoryShown) -> dict[date, Spread]:
    """Return the middle of what was expected of each week's reeds, by the week's Monday."""
    weeks: dict[date, list[Spread]] = {}
    for reed in shown.reeds:
        monday = monday_of(reed.day)
        weeks.setdefault(monday, []).append(reed.expected_mm)
    return {
        monday: Spread(*(median(getattr(s, level) for s in spreads) for level in LEVELS))
        for monday, spreads in weeks.items()
    }


def _verdicts(panel: Panel, shown: HistoryShown) -> list[Markup]:
    """A row for each verdict, a stroke for each reed."""
    top = panel.bottom + GAP + FOOT
    marks = [svg.text((0, top - 4), "verdicts", "t head")]
    for row, verdict in enumerate(VERDICTS):
        y = top + 6 + ROW * row
        judged = [reed.day for reed in shown.reeds if reed.verdict == verdict]
        marks.append(svg.text((panel.days.start - 8, y + 11), verdict, "t soft", "end"))
        marks.append(svg.line((panel.days.start, y + ROW), (panel.days.end, y + ROW), "hair"))
        marks.append(strokes(((panel.days(when), y + 3) for when in judged), 12, "verdict"))
    return marks


def _described(shown: HistoryShown, dates: str) -> str:
    days = [reed.day for reed in shown.reeds]
    measured = sum(reed.opening_mm is not None for reed in shown.reeds)
    by_verdict = ", ".join(
        f"{sum(reed.verdict == verdict for reed in shown.reeds)} {verdict}" for verdict in VERDICTS
    )
    return (
        f"{counted(len(days), 'reed')} from {_day(min(days), dates)} to {_day(max(days), dates)}, "
        f"{measured} of them measured; verdicts: {by_verdict}. The wanted range is "
        f"{span(shown.wanted_low_mm, shown.wanted_high_mm)}. {shown.words}"
    ).strip()


def _day(when: date, dates: str) -> str:
    return day(when, dates)
