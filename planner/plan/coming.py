"""The coming weeks at one place, as the plan takes them in."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.air.days import Dates
from planner.opening.observations import Floats


@dataclass(frozen=True)
class YearMean:
    """Mean over the year at one place: humidity of the room and moisture of cane. [%]

    ``weeks`` (members, weeks) is that moisture week by week, where the whole year is known.
    """

    room_rh: float
    moisture: float
    weeks: Floats | None = None


@dataclass(frozen=True)
class Coming:
    """The coming weeks at one place; arrays are (members, weeks), in %.

    Attributes
    ----------
    place : its name
    mondays : (weeks,) datetime64[D]
    weather : (weeks,) what each week rests on: forecast, mixed or climate
    room_rh : of the room that the advice speaks of
    moisture : of the cane where and when it counts: in the week of judging for the bench, over
        the days in use for another place
    bench_moisture : at the bench in the week of judging; None for the bench itself
    year : what is usual there over the year, None where it isn't known
    """

    place: str
    mondays: Dates
    weather: Sequence[str]
    room_rh: Floats
    moisture: Floats
    bench_moisture: Floats | None = None
    year: YearMean | None = None

    def __post_init__(self) -> None:
        shape = self.moisture.shape
        other = shape if self.bench_moisture is None else self.bench_moisture.shape
        if len(shape) != 2 or self.room_rh.shape != shape or other != shape:
            raise ValueError(f"moisture {shape}, room {self.room_rh.shape}, bench {other}")
        if not shape[1] == len(self.mondays) == len(self.weather):
            raise ValueError(
                f"{shape[1]} weeks of moisture, {len(self.mondays)} Mondays, "
                f"{len(self.weather)} words on the weather"
            )

    @property
    def is_bench(self) -> bool:
        """True for the place where the reeds are judged."""
        return self.bench_moisture is None
