"""Counting back from the week in which reeds are judged to the day on which work must begin."""

from dataclasses import dataclass
from datetime import date, timedelta

from planner.air.weeks import monday_of, same_week

# Part of the days from sorting to the finished reed that still lies ahead of a piece at a stage
# (common practice, no source: half of the time is for the blank's rest and its finishing). A tied
# blank can be finished within the week in which it is judged.
STILL_AHEAD = {"tube": 1.0, "split": 1.0, "gouged": 0.5, "tied": 0.0}


@dataclass(frozen=True)
class Calendar:
    """Today, and the maker's lead times in days."""

    today: date
    sort_to_finish_days: int
    order_days: int

    @property
    def monday(self) -> date:
        """The Monday of this week: what is due in this week is still in time."""
        return monday_of(self.today)

    def begin_by(self, stage: str, week_start: date) -> date:
        """Return the day by which cane at a stage must be taken up for reeds of a week."""
        days = round(STILL_AHEAD[stage] * self.sort_to_finish_days)
        return week_start - timedelta(days=days)

    def sort_by(self, week_start: date) -> date:
        """Return the day by which cane must be sorted for reeds of a week."""
        return self.begin_by("tube", week_start)

    def order_by(self, week_start: date) -> date:
        """Return the last day to order cane for reeds of a week."""
        return self.sort_by(week_start) - timedelta(days=self.order_days)

    def in_time(self, day: date) -> bool:
        """Return whether a day still lies within this week or after it."""
        return day >= self.monday

    def due_now(self, day: date) -> bool:
        """Return whether a day lies within this week."""
        return same_week(day, self.today)

    def shown(self, day: date) -> date:
        """Return the day as a task shows it: what was due earlier this week is due today."""
        return max(day, self.today)
