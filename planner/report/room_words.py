"""What is known of a room, in a maker's words."""

from collections.abc import Iterator

from planner.room.findings import LEARNED, Range, RoomKnown

ENOUGH_DAYS = 60


def room_lines(known: RoomKnown) -> Iterator[str]:
    """Yield the answer for a terminal."""
    found = known.found
    yield f"The room in {known.place}: {_rests_on(known)}"
    yield f"  It adds {_figure(found.excess_cold, 'g/m³')} of moisture on cold days,"
    yield f"  {_figure(found.excess_mild, 'g/m³')} on mild ones."
    yield f"  It follows the outdoors within {_figure(found.lag, 'days')}."
    if known.knowledge.heated:
        yield f"  It is heated to {_figure(found.set_point, '°C')}."
    if found.floor is not None:
        yield f"  Something holds the humidity up to {_figure(found.floor, '%')}."
    if found.ceiling is not None:
        yield f"  Something holds it down to {_figure(found.ceiling, '%')} in damp weather."
    yield f"  A day departs from that by about {found.misfit:.0f} % relative humidity."
    yield from _beyond(known)
    yield from _weeks(known)
    yield _wanted(known)


def _rests_on(known: RoomKnown) -> str:
    if not known.readings:
        return "no readings yet, so this is what rooms are like (guesses)."
    return f"{known.readings} readings on {known.found.days_read} days with weather."


def _figure(found: Range, unit: str) -> str:
    doubt = "" if found.from_readings >= LEARNED else ", mostly a guess"
    return f"about {found.p50:.1f} {unit} ({found.p10:.1f} to {found.p90:.1f}{doubt})"


def _beyond(known: RoomKnown) -> Iterator[str]:
    if not known.knowledge.heated:
        yield "  A room without heating is at the edge of what the planner can work out."
    if known.knowledge.air_conditioned:
        yield "  Cooled in hot weather, it is outside what the outdoor air tells: trust readings."


def _weeks(known: RoomKnown) -> Iterator[str]:
    if known.weeks:
        yield "  Week of      read   worked out   (relative humidity, on the days read)"
    for week in known.weeks:
        yield f"  {week.week_start}  {week.read_rh_pct:4.0f} %  {week.model_rh_pct:9.0f} %"


def _wanted(known: RoomKnown) -> str:
    found = known.found
    if found.excess_cold.from_readings < LEARNED:
        return "Readings on days below 5 °C outdoors would teach the most."
    if found.excess_mild.from_readings < LEARNED:
        return "Readings on days about 15 °C outdoors would teach the most."
    if found.days_read < ENOUGH_DAYS:
        return "Readings at another season would teach the most."
    return "The readings tell the room well; one a week keeps it so."
