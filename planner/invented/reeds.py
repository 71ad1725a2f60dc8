"""The invented workshop's reeds: how they truly stood open, and what the maker noted of them."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from planner.air.days import Air
from planner.cane.moisture import moisture_on
from planner.invented.gouger import Gouger
from planner.invented.rooms import shown
from planner.invented.truth import DRY_SPREAD, REFERENCE, Truth
from planner.invented.work import Batch

NOTED_A_BATCH = 7.0  # reeds of a lot and class that get a line in the record
LEAST_A_BATCH = 2
JUDGED_WITHIN = 13  # days from the first finished reed of a batch to the last
AWAY_FROM = date(2024, 1, 1)  # from then on players report back
AWAY_AFTER = (18, 40)  # days from the finished reed to the player's word
AWAY_CHANCE = 0.55  # of a word from a player on a batch
CLASS_ONLY_BEFORE = date(2023, 11, 15)  # the maker bought a gauge for tubes then
# Shares of the ways in which a reed is noted.
CLASS_ONLY, NO_GOUGE, HUMIDITY_NOTED, CRACKED_NOTED = 0.10, 0.12, 0.2, 0.5
KINDS = (("both", 0.68), ("opening", 0.07), ("verdict", 0.20), ("dry", 0.05))
GAUGE = (0.02, 0.001)  # mm, how well a tube and a gouge are measured
SUNDAY = 6


class ReedRow(NamedTuple):
    """A row of the table of reeds."""

    date: str
    place: str
    lot: str
    diameter_mm: str = ""
    diameter_low_mm: str = ""
    diameter_high_mm: str = ""
    gouge_mm: str = ""
    opening_mm: str = ""
    verdict: str = ""
    measured: str = ""
    room_rh_pct: str = ""
    note: str = ""


@dataclass(frozen=True)
class InventedReed:
    """A reed as it truly was, and the row that was noted of it.

    ``opening`` is that of the soaked reed [mm], ``moisture`` of its cane when judged [%].
    """

    row: ReedRow
    day: date
    place: str
    diameter: float
    gouge: float
    moisture: float
    opening: float


def reeds(
    truth: Truth,
    batches: list[Batch],
    gouger: Gouger,
    rooms: dict[str, Air],
    last: date,
    generator: np.random.Generator,
) -> list[InventedReed]:
    """Return the reeds judged until *last*, in the order of their days."""
    judge = _Judge(truth, gouger, rooms, generator)
    made = [reed for batch in batches for reed in judge.of_batch(batch, last)]
    return sorted(made, key=lambda reed: reed.day)


def expected_opening(
    truth: Truth, day: date, diameter: float, gouge: float, moisture: float
) -> float:
    """Return how far a sound reed of an average lot truly stands open on a day. [mm]"""
    d0, g0, m0 = REFERENCE
    shift = truth.level_shift if day >= truth.shifted else 0.0
    return (
        truth.level
        + shift
        + truth.diameter * (diameter - d0)
        + truth.gouge * (gouge - g0)
        + truth.moisture * (moisture - m0)
    )


class _Judge:
    """Finishes and judges reeds, one after the other."""

    def __init__(
        self,
        truth: Truth,
        gouger: Gouger,
        rooms: dict[str, Air],
        generator: np.random.Generator,
    ) -> None:
        self.truth, self.gouger, self.rooms, self.generator = truth, gouger, rooms, generator
        self.bench = truth.places[0].place.name
        self.away = [entry.place.name for entry in truth.places[1:]]
        self.lots: dict[str, float] = {}

    def of_batch(self, batch: Batch, last: date) -> Iterator[InventedReed]:
        """Yield the reeds of a batch that get a line in the record until a day."""
        for day, place in self._days(batch):
            if day <= last:
                yield self._reed(batch, day, place)

    def _days(self, batch: Batch) -> Iterator[tuple[date, str]]:
        """Yield when and where reeds of a batch are judged."""
        noted = max(LEAST_A_BATCH, int(self.generator.poisson(NOTED_A_BATCH / 2)))
        for _ in range(min(noted, batch.finished)):
            day = batch.ready + timedelta(days=int(self.generator.integers(0, JUDGED_WITHIN)))
            if day.weekday() == SUNDAY:
                day += timedelta(days=1)
            yield day, self.bench
        if self.away and batch.ready >= AWAY_FROM and self.generator.random() < AWAY_CHANCE:
            day = batch.ready + timedelta(days=int(self.generator.integers(*AWAY_AFTER)))
            yield day, str(self.generator.choice(self.away))

    def _reed(self, batch: Batch, day: date, place: str) -> InventedReed:
        diameter = float(self.generator.uniform(*batch.diameters))
        piece = self.generator.normal(0.0, self.truth.gouger.piece)
        gouge = self.gouger.centre(batch.gouged) + float(piece)
        days = np.array([day], dtype="datetime64[D]")
        moisture = float(moisture_on(self.rooms[place], days)[0, 0])
        lot = self._lot(batch.lot)
        spoilt = self.generator.random() < self.truth.outliers
        opening = (
            expected_opening(self.truth, day, diameter, gouge, moisture)
            + lot
            + float(self.generator.normal(0.0, self.truth.spread))
            + (float(self.generator.normal(0.0, self.truth.outlier)) if spoilt else 0.0)
        )
        opening = max(opening, 0.1)
        row = self._row(batch, day, place, (diameter, gouge, opening), spoilt=spoilt)
        return InventedReed(row, day, place, diameter, gouge, moisture, opening)

    def _lot(self, name: str) -> float:
        if name not in self.lots:
            self.lots[name] = float(self.generator.normal(0.0, self.truth.lot_spread))
        return self.lots[name]

    def _row(
        self,
        batch: Batch,
        day: date,
        place: str,
        real: tuple[float, float, float],
        *,
        spoilt: bool,
    ) -> ReedRow:
        diameter, gouge, opening = real
        chance, names = self.generator.random, [kind for kind, _ in KINDS]
        kind = str(self.generator.choice(names, p=[share for _, share in KINDS]))
        if place != self.bench:
            kind = "verdict"
        class_only = chance() < CLASS_ONLY or day < CLASS_ONLY_BEFORE
        return ReedRow(
            date=day.isoformat(),
            place=place,
            lot=batch.lot,
            **self._diameter(batch, diameter, class_only=class_only),
            gouge_mm=self._gouge(gouge) if chance() > NO_GOUGE else "",
            **self._outcome(opening, kind),
            room_rh_pct=self._humidity(day, place) if chance() < HUMIDITY_NOTED else "",
            note="slight crack" if spoilt and chance() < CRACKED_NOTED else "",
        )

    def _diameter(self, batch: Batch, diameter: float, *, class_only: bool) -> dict[str, str]:
        if class_only:
            low, high = batch.diameters
            return {"diameter_low_mm": f"{low:g}", "diameter_high_mm": f"{high:g}"}
        read = diameter + self.generator.normal(0.0, GAUGE[0])
        return {"diameter_mm": f"{_to_step(read, 0.05):.2f}"}

    def _gouge(self, gouge: float) -> str:
        read = gouge + self.generator.normal(0.0, GAUGE[1])
        return f"{_to_step(read, 0.005):.3f}"

    def _outcome(self, opening: float, kind: str) -> dict[str, str]:
        """What is noted of a soaked opening [mm], by the kind of the row."""
        if kind == "dry":
            dry = self.generator.normal(self.truth.dry_offset, DRY_SPREAD)
            return {"opening_mm": f"{max(opening + dry, 0.05):.2f}", "measured": "dry"}
        felt = opening + self.generator.normal(0.0, self.truth.judging)
        low, high = self.truth.wanted
        verdict = "closed" if felt < low else "open" if felt > high else "good"
        return {
            "opening_mm": f"{opening:.2f}" if kind != "verdict" else "",
            "verdict": verdict if kind != "opening" else "",
            "measured": "soaked",
        }

    def _humidity(self, day: date, place: str) -> str:
        air = self.rooms[place]
        at = int((np.datetime64(day, "D") - air.days[0]).astype(int))
        read = shown(float(air.relative_humidity[0, at] + self.generator.normal(0.0, 2.0)))
        return f"{read:.0f}"


def _to_step(value: float, step: float) -> float:
    return round(value / step) * step
