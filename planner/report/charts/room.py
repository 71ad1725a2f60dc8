"""A room's humidity: the model's band with the hygrometer's readings upon it."""

from markupsafe import Markup

from planner.report import svg
from planner.report.charts.timeline import NARROW, WIDE, panel_over, specks, stretches
from planner.report.figures import RoomShown
from planner.report.words import counted, day, percent

TOP, BOTTOM, FOOT = 26.0, 220.0, 36.0


def room_picture(shown: RoomShown, name: str, *, dates: str = "dmy", wide: bool = True) -> Markup:
    """Return the picture of a room; nothing where there are no days.

    ``name`` is unique in the page.
    """
    if not shown.days:
        return Markup("")
    layout = WIDE if wide else NARROW
    read = [value for _, value in shown.readings]
    panel = panel_over(
        (shown.days[0], shown.days[-1]),
        (min([*shown.low_pct, *read]), max([*shown.high_pct, *read])),
        (layout, TOP, BOTTOM),
        unit="\u00a0%",
        least=20.0,
        dates=dates,
    )
    lines = [
        mark
        for run in stretches(shown.days, longest_gap=2)
        for mark in (
            panel.band(shown.days[run], shown.low_pct[run], shown.high_pct[run], "air-band"),
            panel.line(shown.days[run], shown.middle_pct[run], "air-line"),
        )
    ]
    return svg.picture(
        name,
        f"Relative humidity of the room, {shown.place}",
        _described(shown, dates),
        (layout.width, BOTTOM + FOOT),
        svg.text((0, TOP - 12), "room humidity", "t head air"),
        *panel.grid(),
        *lines,
        specks((panel.at(when, value) for when, value in shown.readings), "specks"),
        *panel.foot(layout.months),
        class_="wide" if wide else "narrow",
    )


def _described(shown: RoomShown, dates: str) -> str:
    lowest, highest = min(shown.middle_pct), max(shown.middle_pct)
    dry = shown.days[list(shown.middle_pct).index(lowest)]
    damp = shown.days[list(shown.middle_pct).index(highest)]
    bands = {d: (a, b) for d, a, b in zip(shown.days, shown.low_pct, shown.high_pct, strict=True)}
    met = [bands[d][0] <= value <= bands[d][1] for d, value in shown.readings if d in bands]
    said = (
        f"Driest on {day(dry, dates)} at {percent(lowest)}, dampest on {day(damp, dates)} at "
        f"{percent(highest)}, by the model."
    )
    if not met:
        return f"{said} There are no readings on these days."
    return f"{said} {sum(met)} of {counted(len(met), 'day')} with readings lie within the band."
