"""Are runs of openings called when there is something to call, and left alone when there isn't?

Histories with a truth that is known are learned from anew after every few reeds, as a maker's
would be from one week to the next, and the note of that week is looked at: nothing changed at
all, a level that fell or rose at once, one odd lot.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from harness import Figure
from numpy.typing import NDArray

from planner.opening.draws import Reference
from planner.opening.model import fit_opening
from planner.opening.observations import UNJUDGED, Observations
from planner.watch.causes import Effects
from planner.watch.documents import RunNote
from planner.watch.openings import Bench, runs_of_openings
from planner.watch.surprise import surprises

REFERENCE, WANTED = Reference(10.5, 0.59, 8.5), (0.70, 0.90)
BENCH = Bench(10.5, 9.5, 11.5, 0.25)
EFFECT = {"diameter": -0.20, "gouge": 2.0, "moisture": 0.02}
REED_SD, LOT_SD = 0.065, 0.03  # mm
REEDS, CHANGE, EVERY = 240, 160, 6  # the reed with which it changes; a note every so many reeds
LOT = 20  # reeds of each lot
SHIFT = 0.10  # mm, of the level or of the odd lot
DRAWS = 200
SOON = 30  # reeds


@dataclass(frozen=True)
class Planted:
    """What changes in a history: the level by ``shift`` or one lot by ``odd``. [mm]"""

    shift: float = 0.0
    odd: float = 0.0


def history(seed: int, planted: Planted) -> tuple[Observations, NDArray[np.float64]]:
    """Return judged reeds, six a week, rounder cane when dry, and the lots' true offsets. [mm]"""
    chance = np.random.default_rng(seed)
    number = np.arange(REEDS)
    day = np.datetime64("2024-01-01") + (number * 7) // 6
    season = np.cos(2 * np.pi * (number * 7 / 6) / 365.25)
    moisture = 8.5 - 2.0 * season + chance.normal(0.0, 0.5, REEDS)
    diameter = 10.5 + np.round(-0.15 * season + chance.normal(0.0, 0.12, REEDS), 2)
    gouge = 0.59 + np.round(chance.normal(0.0, 0.008, REEDS), 3)
    lot = number // LOT
    offset = chance.normal(0.0, LOT_SD, lot.max() + 1)
    offset[CHANGE // LOT] += planted.odd
    opening = (
        0.80
        + EFFECT["diameter"] * (diameter - 10.5)
        + EFFECT["gouge"] * (gouge - 0.59)
        + EFFECT["moisture"] * (moisture - 8.5)
        + planted.shift * (number >= CHANGE)
        + offset[lot]
        + chance.normal(0.0, REED_SD, REEDS)
    )
    seen = Observations(
        day=day,
        diameter_low=diameter,
        diameter_high=diameter,
        gouge=gouge,
        moisture=moisture,
        moisture_sd=np.full(REEDS, 0.3),
        opening=np.round(opening, 2),
        verdict=np.full(REEDS, UNJUDGED, dtype=np.int8),
        lot=lot,
        dry=np.zeros(REEDS, np.bool_),
        lots=tuple(f"lot {i}" for i in range(lot.max() + 1)),
    )
    return seen, offset


def notes(seen: Observations, first: int) -> Iterator[tuple[int, RunNote | None]]:
    """Yield how many reeds were known and the note then, from the *first* reeds on."""
    for count in range(first, REEDS + 1, EVERY):
        known = seen.at(np.arange(count))
        draws = fit_opening(known, reference=REFERENCE, wanted=WANTED).draws(DRAWS)
        effects = Effects(
            float(draws.diameter.mean()),
            float(draws.diameter.std()),
            float(draws.gouge.mean()),
            float(draws.moisture.mean()),
        )
        judged = surprises(known, draws, np.zeros(count, np.int64), ("Bench",))
        yield count, runs_of_openings(judged, effects, BENCH)


@dataclass(frozen=True)
class Told:
    """Of one history: reeds after the change until it was called, the cause first named then."""

    after: int | None
    named: str
    quiet_after: int | None  # reeds after the change until the last note of it


def told(seed: int, planted: Planted, cause: str) -> Told:
    """Return how a planted change was called."""
    kind = "closed" if planted.shift + planted.odd < 0 else "open"
    own = [
        (count, note)
        for count, note in notes(history(seed, planted)[0], CHANGE + EVERY)
        if note is not None and note.kind == kind
    ]
    if not own:
        return Told(None, "", None)
    named = any(note.causes[0].name == cause for _, note in own)
    return Told(own[0][0] - CHANGE, cause if named else "", own[-1][0] - CHANGE)


@dataclass(frozen=True)
class Unplanted:
    """Of a history in which nothing changed: notes that began by what they name first.

    ``right`` counts those on a lot that is truly off to that side by a third of lots' spread.
    """

    reeds: int
    of_all: int
    of_a_lot: int
    right: int


def unplanted(seed: int) -> Unplanted:
    """Return what was told where nothing changed."""
    seen, offset = history(seed, Planted())
    found = [note for _, note in notes(seen, 42)]
    begun = [now for before, now in zip([None, *found], found, strict=False) if now and not before]
    of_a_lot = [note for note in begun if note.causes[0].name == "lot"]
    true = [float(offset[int(note.causes[0].what.split()[1])]) for note in of_a_lot]
    right = [
        off * (1 if note.kind == "open" else -1) > LOT_SD / 3
        for note, off in zip(of_a_lot, true, strict=True)
    ]
    return Unplanted(len(found) * EVERY, len(begun) - len(of_a_lot), len(of_a_lot), sum(right))


def run(*, quick: bool = False) -> list[Figure]:
    """Look at 4 (quick) or 24 histories of each kind, and twice as many unchanged ones."""
    count = 4 if quick else 24
    still = [unplanted(1000 + seed) for seed in range(count if quick else 2 * count)]
    reeds, of_all, of_a_lot, right = (
        sum(getattr(one, name) for one in still) for name in Unplanted.__dataclass_fields__
    )
    figures = [
        Figure("nothing changed: reeds per note on all reeds", [reeds / max(of_all, 1)]),
        Figure("nothing changed: reeds per note on a lot", [reeds / max(of_a_lot, 1)]),
        Figure("of these, the lot is truly off", [100 * right / max(of_a_lot, 1)], "in 100"),
    ]
    for name, planted, cause in (
        ("level fell 0.10 mm", Planted(shift=-SHIFT), "level"),
        ("level rose 0.10 mm", Planted(shift=SHIFT), "level"),
        ("lot 0.10 mm too closed", Planted(odd=-SHIFT), "lot"),
    ):
        found = [told(seed, planted, cause) for seed in range(count)]
        after = [one.after for one in found if one.after is not None]
        quiet = [one.quiet_after for one in found if one.quiet_after is not None]
        figures += [
            Figure(
                f"{name}: called within {SOON} reeds",
                [100 * sum(reeds <= SOON for reeds in after) / count],
                "in 100",
            ),
            Figure(
                f"{name}: its cause named first",
                [100 * sum(bool(one.named) for one in found) / max(len(after), 1)],
                "in 100",
            ),
            Figure(f"{name}: quiet again after", quiet or [0], "reeds"),
        ]
    return figures
