"""What is known of a room, in a maker's words."""

import math
from collections.abc import Iterator, Sequence

from planner.report.layout import WIDTH, Columns, Item, Sentence, laid
from planner.report.words import NBSP, counted, listed, number, percent, short_day, temperature
from planner.room.findings import LEARNED, Range, RoomKnown, WeekRead
from planner.room.model import RoomFit
from planner.room.reach import COOLED, DAMP, UNHEATED, Beyond
from planner.room.wanted import SeasonDoubt

KNOWN_WELL = 2.5  # % either way, about what a good hygrometer is good for
SHOWN_WEEKS = 12

BEYOND = {
    UNHEATED: "it is as cold in winter as a room that is not heated",
    COOLED: "it is cooler than hot weather makes a room, and cooling takes out water",
    DAMP: "it is damper than people make a room, as where ground or walls give water",
}
SAID = {
    UNHEATED: "it is not heated, and nobody sets its warmth",
    COOLED: "it is cooled in hot weather, and cooling takes out water",
    DAMP: "its ground or walls give water",
}
# Air over a saturated solution of table salt has 75.5 % at 20 °C and 75.3 % at 25 °C: Greenspan
# (1977), Journal of Research of the National Bureau of Standards 81A, table 2, from memory.
SALT = (
    "Shut each for a day into a tight box with a spoonful of damp kitchen salt: it should show "
    f'75{NBSP}%. What yours shows too much goes under [place.room] as "hygrometer_offset_pct"; '
    "until then every range is wider."
)


def room_lines(
    known: RoomKnown, *, dates: str = "dmy", fahrenheit: bool = False, width: int = WIDTH
) -> Iterator[str]:
    """Yield the answer for a terminal."""
    return laid(_room_said(known, dates, fahrenheit=fahrenheit), width)


def _room_said(known: RoomKnown, dates: str, *, fahrenheit: bool) -> Iterator[Item]:
    yield Sentence(f"The room in {known.place}: {rests_on(known)}")
    said = (*found_sentences(known, fahrenheit=fahrenheit), *mind_sentences(known))
    for sentence in said:
        yield Sentence(sentence, indent="  ")
    if known.weeks:
        yield ""
        yield _weeks(known.weeks[-SHOWN_WEEKS:], dates)
        yield ""
    for sentence in wanted_sentences(known, fahrenheit=fahrenheit):
        yield Sentence(sentence)


def _weeks(weeks: Sequence[WeekRead], dates: str) -> Columns:
    """Relative humidity on the days read: as read, and as worked out."""
    rows = tuple(
        (
            short_day(week.week_start, dates),
            str(week.days_read),
            number(week.read_rh_pct, 0),
            number(week.model_rh_pct, 0),
        )
        for week in weeks
    )
    return Columns(("week of", "days read", "read %", "worked out %"), rows, spare=("days read",))


def rests_on(known: RoomKnown) -> str:
    """Return what the answer rests on."""
    if not known.readings:
        return "no readings yet, so this is what rooms are like (guesses)."
    days = counted(known.found.days_read, "day")
    return f"{counted(known.readings, 'reading')} on {days} with weather."


def found_sentences(known: RoomKnown, *, fahrenheit: bool = False) -> list[str]:
    """Return what was found of the room."""
    found, heated = known.found, known.knowledge.heated
    out = [
        f"It adds {_figure(found.excess_cold, 'g/m³')} of moisture on cold days, "
        f"{_figure(found.excess_mild, 'g/m³')} on mild ones.",
        f"It follows the outdoors within {_lag(found.lag)}.",
    ]
    if heated:
        out.append(f"In the cold it is kept at {_warmth(found.set_point, fahrenheit=fahrenheit)}.")
    if found.floor is not None:
        holder = "A humidifier" if known.knowledge.humidify_to_pct else "Something"
        out.append(f"{holder} holds the humidity up to {_figure(found.floor, '%', 0)}.")
    if found.ceiling is not None:
        holder = "A dehumidifier" if known.knowledge.dehumidify_to_pct else "Something"
        out.append(f"{holder} holds it down to {_figure(found.ceiling, '%', 0)} in damp weather.")
    out.append(
        f"A day is off from all that by about {percent(found.misfit)} relative humidity; how far "
        "it was off last is carried on, fading, into the next weeks."
    )
    return out


def mind_sentences(known: RoomKnown) -> list[str]:
    """Return what to mind: a room beyond the model's reach, hygrometers that differ."""
    found, out = known.found, []
    if found.beyond:
        why = listed(tuple(_why(one) for one in found.beyond))
        out.append(
            f"This room is at the edge of what outdoor air tells: {why}. Its ranges are wider "
            "for that; trust readings more than the figures here."
        )
    if found.apart:
        apart, pairs = percent(found.apart.apart_pct), counted(found.apart.pairs, "time")
        out.append(f"Two hygrometers read side by side are {apart} apart (compared {pairs}).")
        corrected = known.knowledge.hygrometer_offset_pct
        out.append("Your correction is taken off all readings." if corrected else SALT)
    return out


def room_warnings(place: str, room: RoomFit) -> Iterator[str]:
    """Yield what a plan must say of a place's room, short."""
    if room.beyond:
        why = listed(tuple(_why(one) for one in room.beyond))
        yield f"{place}: the room is at the edge of what outdoor air tells ({why}); wider ranges."
    if room.apart and not room.knowledge.hygrometer_offset_pct:
        yield (
            f"{place}: two hygrometers read side by side are {percent(room.apart.apart_pct)} "
            'apart; "planner room" says what to do.'
        )


def wanted_sentences(known: RoomKnown, *, fahrenheit: bool = False) -> list[str]:
    """Return how well each season is known, and which further readings would help most."""
    if not known.doubts:
        return []
    seasons = sorted(known.doubts, key=lambda one: -math.inf if one.low_c is None else one.low_c)
    each = [
        f"{percent(one.either_way_pct)} on days {_days(one, fahrenheit=fahrenheit)}"
        for one in seasons
    ]
    alike = len({percent(one.either_way_pct) for one in seasons}) == 1 < len(seasons)
    known_to = (
        f"{percent(seasons[0].either_way_pct)} on cold, mild and warm days alike"
        if alike
        else listed(tuple(each))
    )
    out = [f"Its mean humidity is known, either way, to {known_to} (8 in 10)."]
    least = known.doubts[0]
    if least.either_way_pct > KNOWN_WELL:
        out.append(f"Readings on days {_days(least, fahrenheit=fahrenheit)} would teach the most.")
    else:
        out.append("The readings tell the room well; one a week keeps it so.")
    if known.readings and not known.found.days_with_temperature:
        out.append("Note the temperature too: a degree is worth about a sixteenth of the humidity.")
    return out


def _why(one: Beyond) -> str:
    return (SAID if one.said else BEYOND)[one.kind]


def _days(one: SeasonDoubt, *, fahrenheit: bool) -> str:
    if one.low_c is None:
        assert one.high_c is not None
        return f"below {temperature(one.high_c, fahrenheit=fahrenheit)} outdoors"
    if one.high_c is None:
        return f"above {temperature(one.low_c, fahrenheit=fahrenheit)}"
    low, high = (temperature(c, fahrenheit=fahrenheit) for c in (one.low_c, one.high_c))
    return f"from {low} to {high}"


def _figure(found: Range, unit: str, decimals: int = 1) -> str:
    low, middle, high = (number(x, decimals) for x in (found.p10, found.p50, found.p90))
    return f"about {middle}{NBSP}{unit} ({low} to {high}{_guess(found)})"


def _warmth(found: Range, *, fahrenheit: bool) -> str:
    middle = temperature(found.p50, fahrenheit=fahrenheit, decimals=1)
    low, high = number(found.p10, 1), number(found.p90, 1)
    return f"about {middle} ({low} to {high}{NBSP}°C{_guess(found)})"


def _lag(found: Range) -> str:
    days = found.p50
    words = "about half a day" if days < 0.7 else "about a day"
    if days >= 1.5:
        words = f"about {number(days, 0)}{NBSP}days"
    return f"{words} ({number(found.p10, 1)} to {number(found.p90, 1)}{NBSP}days{_guess(found)})"


def _guess(found: Range) -> str:
    return "" if found.from_readings >= LEARNED else ", mostly a guess"
