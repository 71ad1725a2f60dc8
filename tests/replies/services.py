"""What the weather services would answer, in their own form; every number is invented.

The forms follow the services' public documents; no recorded answer is used.
"""

from datetime import UTC, date, datetime, timedelta

import numpy as np

from tests.replies import truth

NOW = datetime(2026, 11, 25, 8, 10, tzinfo=UTC)


def met_norway(latitude: float, longitude: float, now: datetime = NOW) -> dict:
    """Hourly steps for 56 hours, then six-hourly to nine days; the last one bare."""
    begins = now.replace(minute=0, second=0, microsecond=0)
    later = (begins + timedelta(hours=61)).replace(hour=(begins.hour + 61) % 24 // 6 * 6)
    steps = np.concatenate([truth.hours(begins, 56), truth.hours(later, 27, step=6)])
    table = zip(
        truth.stamps(steps),
        truth.temperature(steps).round(1).tolist(),
        truth.dew(steps).round(1).tolist(),
        truth.humidity(steps).round(1).tolist(),
        strict=True,
    )
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [longitude, latitude, 120]},
        "properties": {
            "meta": {
                "updated_at": f"{now:%Y-%m-%dT%H:%M:%SZ}",
                "units": {
                    "air_temperature": "celsius",
                    "dew_point_temperature": "celsius",
                    "relative_humidity": "%",
                },
            },
            "timeseries": [
                {
                    "time": f"{t}Z",
                    "data": {
                        "instant": {
                            "details": {
                                "air_temperature": air,
                                "dew_point_temperature": dew,
                                "relative_humidity": rh,
                            }
                        }
                    },
                }
                for t, air, dew, rh in table
            ],
        },
    }


def nasa_power(latitude: float, longitude: float, first: date, last: date, ready: date) -> dict:
    """Days by solar time; those after *ready* aren't there yet and come as the fill number."""
    count = (last - first).days + 1
    keys = [f"{first + timedelta(days=n):%Y%m%d}" for n in range(count)]
    late = np.arange(count) > (ready - first).days

    def column(values, factor):
        means = truth.day_means(values, first, count, round(longitude / 15)) * factor
        return dict(zip(keys, np.where(late, -999.0, means.round(2)).tolist(), strict=True))

    pressure = dict.fromkeys(keys, round(truth.PRESSURE / 1000, 2))
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [longitude, latitude, 182.4]},
        "properties": {
            "parameter": {
                "T2M": column(truth.temperature, 1.0),
                "QV2M": column(truth.specific, 1000.0),
                "PS": pressure,
            }
        },
        "header": {
            "title": "NASA/POWER Source Native Resolution Daily Data",
            "api": {"version": "v2.9.8", "name": "POWER Daily API"},
            "fill_value": -999.0,
            "time_standard": "LST",
        },
        "messages": [],
        "parameters": {
            "T2M": {"units": "C"},
            "QV2M": {"units": "g/kg"},
            "PS": {"units": "kPa"},
        },
    }


def open_meteo(latitude: float, longitude: float, first: date, last: date, members: int = 0):
    """Hours in GMT, to the day after the last whole one, whose hours are null."""
    begins = datetime(first.year, first.month, first.day, tzinfo=UTC)
    times = truth.hours(begins, 24 * ((last - first).days + 1))

    def column(values, shift=0.0):
        return (values(times)[:-24] + shift).round(1).tolist() + [None] * 24

    names = ["", *(f"_member{n:02}" for n in range(1, members + 1))]
    shifts = np.linspace(-1.0, 1.0, members + 1) if members else [0.0]
    hourly = {"time": [stamp[:16] for stamp in truth.stamps(times)]}
    for name, shift in zip(names, shifts, strict=True):
        hourly[f"temperature_2m{name}"] = column(truth.temperature, float(shift))
        hourly[f"dew_point_2m{name}"] = column(truth.dew, float(shift))
    units = dict.fromkeys(hourly, "°C")
    return {
        "latitude": round(latitude * 4) / 4,
        "longitude": round(longitude * 4) / 4,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "hourly_units": {**units, "time": "iso8601"},
        "hourly": hourly,
    }


def us_point(latitude: float, longitude: float) -> dict:
    """Which cell of the grid a point lies in."""
    return {"properties": {"gridId": "EXA", "gridX": 31, "gridY": "80", "timeZone": "Etc/GMT+6"}}


def us_grid(latitude: float, longitude: float, now: datetime = NOW) -> dict:
    """Values that hold for a span; equal neighbours are merged, layers end at different times."""
    begins = now.replace(minute=0, second=0, microsecond=0) - timedelta(hours=3)
    times = truth.hours(begins, 24 * 7)

    def layer(values, unit):
        found = [
            {"validTime": f"{stamp}+00:00/PT1H", "value": value}
            for stamp, value in zip(
                truth.stamps(times), values(times).round(2).tolist(), strict=True
            )
        ]
        found[0]["value"] = None
        return {"uom": f"wmoUnit:{unit}", "values": found}

    ring = [[longitude + x, latitude + y] for x, y in ((-0.02, -0.02), (0.02, -0.02), (0.02, 0.02))]
    return {
        "geometry": {"type": "Polygon", "coordinates": [ring]},
        "properties": {
            "updateTime": f"{now:%Y-%m-%dT%H:%M:%S+00:00}",
            "temperature": layer(truth.temperature, "degC"),
            "dewpoint": layer(truth.dew, "degC"),
            "relativeHumidity": {"uom": "wmoUnit:percent", "values": []},
        },
    }
