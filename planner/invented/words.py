"""The invented sample's settings and the note that says that it is invented."""

from datetime import date

from planner.invented.truth import PlaceTruth, Truth

HEAD = """\
# An invented workshop: places, people and reeds are made up.

[workshop]
name = "The Boathouse Bench"

[opening]
low_mm = {low:g}
high_mm = {high:g}

[cane]
diameter_min_mm = 9.5
diameter_max_mm = 11.5
sorted_to_mm = 0.25

[gouge]
usual_mm = {gouge:g}
min_mm = 0.56
max_mm = 0.62
check_limit_mm = 0.02

[lead]
sort_to_finish_days = 14
in_use_days = 21
order_days = 14

[output]
reeds_per_week = 20
"""

PLACE = """
[[place]]
name = "{name}"
latitude = {latitude:g}
longitude = {longitude:g}
timezone = "{timezone}"
altitude = {altitude:g}
share = {share:g}

[place.room]
winter_c = {winter:g}
"""

README = """\
# An invented workshop

Everything in this folder is made up: the workshop, its maker, the towns Quillhaven, Frostmere and
Saltreed, their weather, every reed, reading and check. No line comes from a real workshop or a
weather service. `planner demo` loads it, so that the planner can be tried without a network, and
the tests use it because the truth behind it is known.

The story: a bench in Quillhaven, inland, with heated and rather dry winters. Since the autumn of
2023 the maker notes some of the reeds that leave the bench: measured and judged, or judged only. At
first only the class of the tube was known, later tubes were measured. Players in two far towns send
word back: Frostmere, by a large lake that keeps the air mild until it freezes, most years about the
middle of December, after which it is cold and very dry; and Saltreed, on a damp coast. By
habit the maker takes rounder cane in winter, though not enough of it. A new knife came in
March 2025. The gouger creeps thicker between sharpenings.

| file | what |
|---|---|
| `workshop.toml` | the settings |
| `reeds.csv` | judged reeds, September 2023 to {month} {year} |
| `readings.csv` | hygrometer readings of the three rooms |
| `checks.csv` | checks of the gouger, and when it was sharpened |
| `cane.csv` | cane bought, split, gouged, tied, finished and discarded |
| `orders.csv` | reeds wanted in the coming weeks |
| `weather-PLACE.csv` | daily weather up to the day before {today} |
| `forecast-PLACE-{today}.csv` | a forecast issued on {today} |

Made by `python -m planner.demo sample_history`; the same files come out each time. The truth behind
them stands in `planner/invented/truth.py`. Dates of the sample end on {today}: add
`--today {today}` to look at it as of that day.
"""


def settings_text(truth: Truth) -> str:
    """Return the ``workshop.toml`` of an invented workshop."""
    low, high = truth.wanted
    head = HEAD.format(low=low, high=high, gouge=truth.gouger.aim)
    return head + "".join(_place(entry) for entry in truth.places)


def readme(today: date) -> str:
    """Return the note that goes with the tables."""
    return README.format(today=today, month=f"{today:%B}", year=today.year)


def _place(entry: PlaceTruth) -> str:
    place = entry.place
    return PLACE.format(
        name=place.name,
        latitude=place.latitude,
        longitude=place.longitude,
        timezone=place.timezone,
        altitude=place.altitude or 0.0,
        share=entry.share,
        winter=round(entry.room.set_point * 2) / 2,
    )
