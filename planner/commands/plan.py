"""The plan for the coming weeks, made when something changed and kept for the next time.

Nothing heavy is imported here: an unchanged plan is read and shown at once.
"""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from planner import __version__
from planner.air.weeks import same_week
from planner.commands.weather import refresh
from planner.commands.wishes import Asked, Wishes
from planner.commands.workshop import Workshop, opened
from planner.settings import Settings

KEPT = "plan"
FORM = 2  # of the answer, counted up with it: a plan kept in an older form is made anew


@dataclass(frozen=True)
class Planned:
    """A plan as its JSON object, and where its page lies (None: none was written)."""

    answer: dict[str, Any]
    page: Path | None


def plan(
    settings: Settings,
    *,
    today: date,
    wishes: Wishes | None = None,
    fetch: bool = False,
    with_page: bool = False,
    tell: Callable[[str], None] | None = None,
) -> Planned:
    """Plan the coming weeks as of *today*, or show the kept plan if nothing has changed since.

    Only the plan without wishes is kept: a what-if leaves it, and its page, as they are.

    With *fetch* the weather is brought up to date first; no network is no error while there is
    weather stored, and what there is to say of it is handed to *tell* at once.

    Raises
    ------
    PlannerError
        If the record can't be read or the bench has no weather.
    """
    wishes = wishes or Wishes()
    asked, usual = wishes.settled(settings), Wishes().settled(settings)
    with opened(settings) as workshop:
        for note in refresh(workshop, today=today) if fetch else ():
            if tell is not None:
                tell(note)
        page = None
        if with_page and not wishes.what_if(settings):
            weeks = None if asked == usual else asked.weeks
            page = page_path(workshop.reports, today, weeks)
        if asked != usual:
            return Planned(_made(workshop, today, asked, page), page)
        mark = fingerprint(workshop, today, asked)
        kept = _kept(workshop, mark)
        if kept is not None and (page is None or (kept["page"] and page.is_file())):
            return Planned(kept["answer"], page)
        answer = _made(workshop, today, asked, page)
        text = json.dumps({"answer": answer, "page": with_page}, ensure_ascii=False)
        workshop.weather.keep(KEPT, mark, text)
        return Planned(answer, page)


def page_path(reports: Path, today: date, weeks: int | None = None) -> Path:
    """Return where the plan's page of a day lies; *weeks* where other than usual were asked for."""
    many = "" if weeks is None else f"-{weeks}-week{'' if weeks == 1 else 's'}"
    return reports / f"plan-{today.isoformat()}{many}.html"


def fingerprint(workshop: Workshop, today: date, asked: Asked) -> str:
    """Return a mark of all that a plan rests on; equal marks, equal plans."""
    parts = [
        __version__,
        FORM,
        workshop.settings.text,
        workshop.record.revision(),
        workshop.weather.revision(),
        today.isoformat(),
        vars(asked),
    ]
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


def _kept(workshop: Workshop, mark: str) -> dict[str, Any] | None:
    """The kept plan if it has that mark and is whole; a damaged one counts as none."""
    kept = workshop.weather.kept(KEPT)
    if kept is None or kept[0] != mark:
        return None
    try:
        found = json.loads(kept[1])
    except json.JSONDecodeError:
        return None
    whole = isinstance(found, dict) and isinstance(found.get("answer"), dict) and "page" in found
    return found if whole else None


def _made(workshop: Workshop, today: date, asked: Asked, page: Path | None) -> dict[str, Any]:
    from planner.commands.chain import plan_as_of
    from planner.commands.learn import learn
    from planner.plan.assemble import to_json_dict

    learned = learn(workshop, today, keep=True)
    document = plan_as_of(workshop, learned, asked)
    if page is not None:
        from planner.commands.page import write_plan_page

        write_plan_page(workshop, learned, document, page)
    return to_json_dict(document)


def rows_now(answer: dict[str, Any]) -> dict[str, Any]:
    """Return the rows to take cane for now (the bench first), and the bench's row of this week.

    Cane is taken now for the week whose ``sort_by`` falls within the current week.
    """
    bench = answer["workshop"]["bench"]
    finishing = next(row for row in answer["weeks"] if row["place"] == bench)
    now = date.fromisoformat(answer["today"])
    due = [row for row in answer["weeks"] if same_week(date.fromisoformat(row["sort_by"]), now)]
    return {"take": sorted(due, key=lambda row: row["place"] != bench), "finishing": finishing}
