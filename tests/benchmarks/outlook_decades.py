"""How well weekly room moisture is foreseen 1 to 12 weeks ahead from past weather alone.

    python tests/benchmarks/outlook_decades.py [FOLDER] [--help]

FOLDER holds daily or hourly weather of some years for each of some places: tables with a date, a
temperature, and dew point, relative humidity or vapour pressure, or ISD-Lite files; without it,
the data of packages and invented climates serve. From every few weeks of each record, with only
what was known then, the planner's outlook is led through a usual room to the moisture of cane and
compared with what the weather that came makes of it. Reported by lead: CRPS and the share inside
the 80 % range, beside past years as they were, past years shifted by up to a week, the last week
going on, and a harmonic season.
"""

import argparse
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import properscoring
from harness import Figure
from outlook_packaged import invented, packaged, stand_ins
from outlook_tables import Unreadable, sites

from planner.air.days import Air, Days
from planner.air.humidity import vapour_pressure
from planner.cane.moisture import moisture_over
from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room
from planner.room.readings import Readings
from planner.room.response import respond
from planner.weather.outlook import outlook
from planner.weather.past import past_air
from planner.weather.season import harmonics

WEEKS = 12
LATER = range(3, WEEKS + 1)  # the weeks for which the target holds
WEEK = 7
LEAD_IN = 60  # days of known weather before, for what the room keeps
YEAR = 365.2425
SHIFTS = (-7, -3, 0, 3, 7)
INTERVAL = (10.0, 90.0)
NORMAL_90 = 1.2816
OUTLOOK, PLAIN = "outlook", "past years"


@dataclass(frozen=True)
class Study:
    """One place: rows of site, origin, week, method, crps, inside, width."""

    name: str
    rows: pd.DataFrame


class UsualRoom:
    """A room of which nothing is known, at the middle of what rooms are: cane follows its air."""

    def __init__(self, table: Days) -> None:
        self._theta = fit_room(Readings.none(), table, RoomKnowledge(), draws=2).mean[None, :]

    def weeks(self, air: Air, starts: np.ndarray) -> np.ndarray:
        """Return weekly moisture (members, weeks) under an outdoor air with lead-in. [%]"""
        warm, humid = respond(self._theta, air.temperature, air.vapour_pressure)
        return moisture_over(Air(air.days, warm, vapour_pressure(humid, warm)), starts, WEEK)


def examine(
    table: Days, *, least_years: float, every: int, members: int = 400, kept: float = 100.0
) -> pd.DataFrame:
    """Return the scores at one place from every origin with *least_years* of weather before it.

    Only the last *kept* years before an origin are known to any method.
    """
    room = UsualRoom(table)
    whole, known = past_air(table, table.day[0].item(), table.day[-1].item())
    count = np.concatenate([[0], np.cumsum(known)])
    history = _daily_moisture(room, whole)
    rows = []
    first = int(least_years * YEAR)
    for at in range(max(first, LEAD_IN), len(whole.days) - WEEK * WEEKS, every):
        starts = whole.days[at] + WEEK * np.arange(WEEKS)
        position = at + WEEK * np.arange(WEEKS)
        seen = count[position + WEEK] - count[position] >= WEEK - 1
        if not seen.any() or count[at] < 0.8 * first:
            continue
        window = slice(at - LEAD_IN, at + WEEK * WEEKS)
        truth = room.weeks(_part(whole, window), starts)[0]
        begin = max(0, at - round(kept * YEAR))
        past = table.where(table.day >= whole.days[begin])
        here = _part(whole, slice(begin, None))
        since = at - begin
        for method, said in _methods(past, here, history[begin:], room, since, starts, members):
            crps, inside, width = said.against(truth)
            rows += [
                (at, week + 1, method, crps[week], inside[week], width[week])
                for week in np.flatnonzero(seen)
            ]
    return pd.DataFrame(rows, columns=["origin", "week", "method", "crps", "inside", "width"])


@dataclass(frozen=True)
class Members:
    """A foretelling by members (members, weeks); one member has no range."""

    values: np.ndarray

    def against(self, truth: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return CRPS, whether inside the 80 % range (NaN without one) and its width, (weeks,)."""
        crps = properscoring.crps_ensemble(truth, self.values.T)
        if len(self.values) == 1:
            return crps, np.full(len(truth), np.nan), np.full(len(truth), np.nan)
        low, high = np.percentile(self.values, INTERVAL, axis=0)
        return crps, ((truth >= low) & (truth <= high)).astype(float), high - low


@dataclass(frozen=True)
class Normal:
    """A foretelling by mean and standard deviation, (weeks,)."""

    mean: np.ndarray
    sd: np.ndarray

    def against(self, truth: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return CRPS, whether inside the 80 % range, and its width, (weeks,)."""
        crps = properscoring.crps_gaussian(truth, self.mean, self.sd)
        inside = np.abs(truth - self.mean) <= NORMAL_90 * self.sd
        return crps, inside.astype(float), 2 * NORMAL_90 * self.sd


def _methods(
    table: Days, whole: Air, history: np.ndarray, room: UsualRoom, at: int, starts: np.ndarray,
    members: int,
) -> Iterator[tuple[str, Members | Normal]]:  # fmt: skip
    today: date = whole.days[at].item()
    last = today + timedelta(days=WEEK * WEEKS - 1)
    found = outlook(
        table, None, first=today - timedelta(days=LEAD_IN), today=today, last=last, members=members
    )
    yield OUTLOOK, Members(room.weeks(found.air, starts))
    if at >= round(YEAR):
        yield PLAIN, Members(room.weeks(_past_years(whole, at, (0,)), starts))
        yield "past years, shifted", Members(room.weeks(_past_years(whole, at, SHIFTS), starts))
    yield "last week goes on", Members(np.full((1, WEEKS), history[at - WEEK : at].mean()))
    yield "harmonic season", _harmonic(history[:at], at)


def _past_years(whole: Air, at: int, shifts: Iterable[int]) -> Air:
    """Return the known days and then each past year's own, as far as the record goes back."""
    length = WEEK * WEEKS
    back = [round(k * YEAR) for k in range(1, round(at / YEAR) + 1)]
    begins = [at - days + shift for days in back for shift in shifts]
    begins = [b for b in begins if b >= 0 and b + length <= at]
    rows = [
        [np.concatenate([v[0, at - LEAD_IN : at], v[0, b : b + length]]) for b in begins]
        for v in (whole.temperature, whole.vapour_pressure)
    ]
    return Air(whole.days[at - LEAD_IN : at + length], np.array(rows[0]), np.array(rows[1]))


def _daily_moisture(room: UsualRoom, whole: Air) -> np.ndarray:
    """Return the moisture of every day of the record, (days,). [%]"""
    theta = room._theta
    warm, humid = respond(theta, whole.temperature, whole.vapour_pressure)
    air = Air(whole.days, warm, vapour_pressure(humid, warm))
    return moisture_over(air, whole.days, 1)[0]


def _harmonic(history: np.ndarray, at: int) -> Normal:
    """Return mean and first harmonic of weekly means so far, and the spread about them."""
    weekly = np.convolve(history, np.full(WEEK, 1 / WEEK), mode="valid")[::WEEK]
    middle = np.arange(len(weekly)) * WEEK + 3
    sound = np.isfinite(weekly)
    columns = harmonics(middle, 1)
    weights, *_ = np.linalg.lstsq(columns[sound], weekly[sound], rcond=None)
    sd = float((weekly[sound] - columns[sound] @ weights).std(ddof=3))
    coming = harmonics(at + WEEK * np.arange(WEEKS) + 3, 1)
    return Normal(coming @ weights, np.full(WEEKS, sd))


def _part(air: Air, window: slice) -> Air:
    return Air(air.days[window], air.temperature[:, window], air.vapour_pressure[:, window])


def by_lead(rows: pd.DataFrame) -> str:
    """Return a table of CRPS and coverage by lead and method."""
    order = list(dict.fromkeys(rows["method"]))
    mean = rows.groupby(["week", "method"])[["crps", "inside"]].mean().unstack("method")
    lines = ["  CRPS of weekly moisture [%]; share inside the 80 % range"]
    lines.append("  week  " + "  ".join(f"{method:>20}" for method in order))
    for week in mean.index:
        cells = []
        for method in order:
            inside = mean.loc[week, ("inside", method)]
            share = f"{100 * inside:5.1f} %" if np.isfinite(inside) else "       "
            cells.append(f"{mean.loc[week, ('crps', method)]:11.4f} {share:>8}")
        lines.append(f"  {week:4}  " + "  ".join(cells))
    return "\n".join(lines)


def later(rows: pd.DataFrame) -> dict[str, tuple[float, float]]:
    """Return CRPS and coverage over the weeks of the target, by method."""
    part = rows[rows["week"].isin(LATER)].groupby("method")[["crps", "inside"]].mean()
    return {str(method): (row["crps"], row["inside"]) for method, row in part.iterrows()}


def verdict(name: str, rows: pd.DataFrame) -> str:
    """Return one line: CRPS against the plain past years, and coverage, weeks 3 to 12."""
    found = later(rows)
    (ours, share), (theirs, their_share) = found[OUTLOOK], found.get(PLAIN, (np.nan, np.nan))
    origins = rows["origin"].nunique()
    return (
        f"{name}: weeks 3-12, {origins} origins: CRPS {ours:.4f}, past years {theirs:.4f}, ratio "
        f"{ours / theirs:.3f}; inside 80 %: {100 * share:.1f} % "
        f"(past years {100 * their_share:.1f} %)"
    )


def _figures(name: str, rows: pd.DataFrame) -> list[Figure]:
    found = later(rows)
    ours, theirs = found[OUTLOOK], found[PLAIN]
    share = 100 * ours[1]
    return [
        Figure(f"{name}: CRPS weeks 3-12", [ours[0]], "% moisture", PLAIN, [theirs[0]],
               "no worse", ours[0] <= theirs[0]),
        Figure(f"{name}: in 80 % range", [share], "%", PLAIN, [100 * theirs[1]],
               "77-83", 77.0 <= share <= 83.0),
    ]  # fmt: skip


def run(*, quick: bool) -> list[Figure]:
    """Run on the real records of packages, and on invented climates."""
    out: list[Figure] = []
    for name, table in [*packaged(), *stand_ins(), *invented(seeds=1 if quick else 3)]:
        years = len(table) / YEAR
        least = 10.0 if years > 13 else 2.0
        rows = examine(table, least_years=least, every=84 if quick else 35)
        out += _figures(name, rows)
    return out


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=(__doc__ or ""), formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", nargs="?", type=Path, help="default: data of packages, invented")
    parser.add_argument("--years", type=float, default=10.0, help="least years before an origin")
    parser.add_argument("--kept", type=float, default=100.0, metavar="YEARS",
                        help="of the past, only the last years are known")  # fmt: skip
    parser.add_argument("--every", type=int, default=28, help="days between origins")
    parser.add_argument("--members", type=int, default=400, help="possible futures of the outlook")
    parser.add_argument("--most-places", type=int, help="stop after so many")
    parser.add_argument(
        "--lowest-for-dew",
        action="store_true",
        help="take the lowest temperature as dew point where none is given",
    )
    parser.add_argument("--write", type=Path, metavar="FILE", help="write every score as CSV too")
    return parser.parse_args()


def main() -> int:
    """Examine each place, then all together."""
    options = _options()
    if options.folder is None:
        found: Iterable[tuple[str, Days | Unreadable]] = [*packaged(), *stand_ins(), *invented()]
    elif options.folder.is_dir():
        found = sites(options.folder, lowest_for_dew=options.lowest_for_dew)
    else:
        print(f"{options.folder} is no folder", file=sys.stderr)
        return 2
    studies: list[Study] = []
    for name, table in found:
        if isinstance(table, Unreadable):
            print(f"{name}: left out, {table}")
            continue
        years = len(table) / YEAR
        least = min(options.years, max(2.0, years / 2), options.kept)
        rows = examine(
            table, least_years=least, every=options.every, members=options.members,
            kept=options.kept,
        )  # fmt: skip
        if rows.empty:
            print(f"{name}: left out, {years:.1f} years are too few")
            continue
        studies.append(Study(name, rows))
        print(verdict(f"{name} ({years:.1f} years)", rows), flush=True)
        if len(studies) == options.most_places:
            break
    if not studies:
        print("No place could be examined; --help says what is read.", file=sys.stderr)
        return 1
    together = pd.concat([study.rows.assign(place=study.name) for study in studies])
    together["origin"] = together["place"] + together["origin"].astype(str)
    print("\n" + by_lead(together))
    print(verdict("All", together))
    if options.write:
        together.to_csv(options.write, index=False)
    return 0


if __name__ == "__main__":
    sys.exit(main())
