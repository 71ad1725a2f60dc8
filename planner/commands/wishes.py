"""What is asked of a plan beyond the settings."""

from dataclasses import dataclass

from planner.settings import Settings

DEFAULT_WEEKS = 12
WEEK = 7


@dataclass(frozen=True)
class Asked:
    """What a plan is made for, nothing left open; a kept plan must match it."""

    weeks: int
    usual_only: bool
    sort_to_finish_days: int


@dataclass(frozen=True)
class Wishes:
    """What is asked of a plan beyond the settings; None leaves it to them."""

    weeks: int | None = None
    usual_only: bool = False
    sort_to_finish_days: int | None = None

    def settled(self, settings: Settings) -> Asked:
        """Return the wishes with the settings in place of what was left open."""
        lead = self.sort_to_finish_days
        lead = settings.lead.sort_to_finish_days if lead is None else lead
        # The week whose cane is taken now must be on the plan, however long the lead.
        weeks = self.weeks or max(DEFAULT_WEEKS, lead // WEEK + 2)
        return Asked(weeks, self.usual_only, lead)

    def what_if(self, settings: Settings) -> bool:
        """Return whether this asks what would be, were the maker's own choice another."""
        return self.usual_only or self.sort_to_finish_days not in (
            None,
            settings.lead.sort_to_finish_days,
        )
