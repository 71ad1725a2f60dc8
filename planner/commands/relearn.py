"""What was known as of one past day after another, without learning everything anew each time.

A room hardly changes in a few weeks, and learning it is most of the work: rooms are learned anew
every eight weeks, the opening model as of every day asked for by which reeds were added. Nothing
later than that day is used.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from planner.commands.learn import Learned, fit_of, learn, usual_diameter
from planner.commands.observe import observe
from planner.commands.workshop import Workshop
from planner.opening.observations import Observations

ROOMS_EVERY = timedelta(days=56)


@dataclass
class Relearner:
    """Learns as of days that come in order."""

    workshop: Workshop
    rooms_every: timedelta = ROOMS_EVERY
    _whole: Learned | None = field(default=None, init=False)
    _last: Learned | None = field(default=None, init=False)

    def learn(self, today: date, places: Collection[str] | None = None) -> Learned:
        """Return what was known as of *today*.

        Its ``outdoor`` may lack places other than the bench and the *places* asked for.

        Raises
        ------
        ValueError
            If *today* is before the day asked for last: its rooms would know the future.
        """
        if self._last is not None and today < self._last.today:
            raise ValueError(f"as of {today.isoformat()} after {self._last.today.isoformat()}")
        whole, last = self._whole, self._last
        if whole is None or last is None or today - whole.today >= self.rooms_every:
            self._whole = self._last = learn(self.workshop, today)
        else:
            self._last = self._since(last, today, places)
        return self._last

    def _since(self, last: Learned, today: date, places: Collection[str] | None) -> Learned:
        """Return what was known as of *today*, with the rooms as they were last learned."""
        settings, record = self.workshop.settings, self.workshop.record
        reeds = tuple(sorted(record.reeds(until=today), key=lambda reed: reed.date))
        known = len(last.reeds)
        if reeds[:known] != last.reeds:
            return learn(self.workshop, today)
        bench, new = settings.bench.place.name, reeds[known:]
        asked = {bench, *(last.rooms if places is None else places), *(reed.place for reed in new)}
        outdoor = {
            name: self.workshop.weather.observed(name, today)
            for name in last.rooms
            if name in asked
        }
        rooms = {name: last.rooms[name] for name in outdoor}
        observations = joined(last.observations, observe(new, rooms, outdoor))
        usual = usual_diameter(settings.cane, reeds, today)
        same = not new and usual == last.usual_diameter
        return replace(
            last,
            today=today,
            usual_diameter=usual,
            outdoor=outdoor,
            reeds=reeds,
            readings=len(record.readings(until=today)),
            observations=observations,
            fit=last.fit if same else fit_of(settings, observations, usual, today),
        )


def joined(first: Observations, then: Observations) -> Observations:
    """Return both, the second after the first, with one list of lots."""
    lots = tuple(dict.fromkeys((*first.lots, *then.lots)))
    columns = {
        name: np.concatenate([getattr(first, name), getattr(then, name)])
        for name in Observations.__dataclass_fields__
        if name not in ("lot", "lots")
    }
    lot = np.concatenate([_numbers(part, lots) for part in (first, then)])
    return Observations(**columns, lot=lot, lots=lots)


def _numbers(part: Observations, lots: Sequence[str]) -> NDArray[np.int64]:
    """Number of each reed's lot (n,) among *lots*, -1 where none was noted."""
    number = np.array([lots.index(name) for name in part.lots] + [-1], np.int64)
    return number[part.lot]
