"""The plan's page: one file, no network, no script, the same bytes for the same plan."""

import os
from base64 import b64encode
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache, partial
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from typing import Any

from markupsafe import Markup

from planner import report
from planner.errors import RecordFull
from planner.plan.documents import PlanDocument
from planner.report import palette
from planner.report.charts.gouger import CHECKS_SHOWN, gouger_picture
from planner.report.charts.openings import openings_picture
from planner.report.charts.places import strip_picture
from planner.report.charts.stock import class_name, stock_picture
from planner.report.charts.weeks import weeks_picture
from planner.report.charts.weeks_frame import WeeksShown
from planner.report.environment import dated, environment
from planner.report.figures import HistoryShown, QuarterSeen, RoomBasis
from planner.report.gouge_words import sentences
from planner.report.plan_view import (
    PlaceWeeks,
    being_finished,
    deadlines_of,
    effects_of,
    places_of,
    reasons_of,
    to_take_now,
)
from planner.watch.documents import GougeDocument

# A page is to be mailed and to open at once: with very many places it says less of each.
MOST_BYTES = 400_000
BRIEF_WEEKS = 8
FULL_PLACES = 12
DETAILS = ("full", "compact", "brief")
TABLE_BEFORE_CHECKLIST = 20
CHECKS_OPEN = 6  # of a gouger, the last; the others are folded away and aren't printed


def render_plan(
    document: PlanDocument,
    *,
    gouger: GougeDocument | None = None,
    history: HistoryShown | None = None,
    rooms: Sequence[RoomBasis] = (),
    quarters: Sequence[QuarterSeen] = (),
    version: str,
    made_at: str,
    dates: str = "dmy",
    fahrenheit: bool = False,
) -> str:
    """Return the plan as one self-contained HTML page.

    ``made_at`` is the moment it was made, as it shall be shown; ``dates`` is the workshop's order
    (``dmy``, ``mdy`` or ``ymd``). Parts that aren't given are left out.
    """
    places = places_of(document)
    bench = places[0] if places else None
    weeks = bench.weeks if bench else ()
    taking = to_take_now(weeks, document.today)
    draw = partial(
        page,
        "plan.html.jinja",
        dates=dates,
        document=document,
        workshop=document.workshop,
        basis=document.basis,
        bench=bench,
        others=places[1:],
        taking=taking,
        finishing=being_finished(weeks, document.today),
        reasons_of=reasons_of,
        deadlines=deadlines_of(document),
        checklist_first=len(weeks) > TABLE_BEFORE_CHECKLIST,
        lead_days=(weeks[0].week_start - weeks[0].sort_by).days if weeks else 0,
        brief_weeks=BRIEF_WEEKS,
        weeks_pictures=_weeks_pictures(document, bench, taking and taking.week_start, dates),
        strip=lambda place, index: strip_picture(
            place.weeks, document.workshop, f"place-{index}", dates
        ),
        gouger=gouger,
        history=history,
        rooms=rooms,
        quarters=quarters,
        pictures=BesidePictures.of(document, gouger, history, dates),
        gouge_sentences=lambda state: sentences(gouger, state, dates) if gouger else (),
        class_name=class_name,
        effects=tuple(effects_of(document)),
        checks_shown=CHECKS_SHOWN,
        checks_open=CHECKS_OPEN,
        version=version,
        made_at=made_at,
        fahrenheit=fahrenheit,
    )
    return next(html for html in _ever_shorter(draw, len(places)) if html is not None)


def _ever_shorter(draw: Callable[..., str], places: int) -> Iterator[str | None]:
    """Yield the page in the most detail that keeps it small, None for each that is too large."""
    details = DETAILS if places <= FULL_PLACES else DETAILS[1:]
    for detail in details:
        html = draw(detail=detail)
        yield html if len(html.encode()) < MOST_BYTES or detail == DETAILS[-1] else None


@dataclass(frozen=True)
class BesidePictures:
    """The pictures below the plan, each for a sheet and for a phone."""

    gougers: tuple[Markup, ...]
    history: Markup
    stock: Markup

    @staticmethod
    def of(
        document: PlanDocument,
        gouger: GougeDocument | None,
        history: HistoryShown | None,
        dates: str,
    ) -> "BesidePictures":
        """Draw those that there is something for."""
        gougers = (
            ()
            if gouger is None
            else tuple(
                both(gouger_picture, gouger, state, name=f"gouger-{index}", dates=dates)
                for index, state in enumerate(gouger.gougers, 1)
            )
        )
        return BesidePictures(
            gougers,
            both(openings_picture, history, name="history", dates=dates) if history else Markup(""),
            both(stock_picture, document.stock, name="stock"),
        )


def both(draw: Callable[..., Markup], *given: Any, name: str, **named: Any) -> Markup:
    """Return a picture drawn for a sheet and for a phone; the style sheet shows one of them."""
    return Markup("\n").join(
        draw(*given, name if wide else f"{name}-narrow", wide=wide, **named)
        for wide in (True, False)
    )


def _weeks_pictures(
    document: PlanDocument, place: PlaceWeeks | None, taking: Any, dates: str
) -> Markup:
    if place is None:
        return Markup("")
    shown = WeeksShown(place.weeks, document.workshop, document.today, place.spells, taking, dates)
    return both(weeks_picture, shown, name="weeks")


def page(template: str, *, dates: str = "dmy", **given: Any) -> str:
    """Return a page from a template, with the style sheet inside and a policy that allows no more.

    Nothing is fetched and no script runs: the policy names the style sheet by its hash and refuses
    all else, so that not even a slip in escaping could do harm.
    """
    return (
        environment()
        .get_template(template)
        .render(
            style=Markup(style()),
            policy=policy(style()),
            **dated(dates),
            **given,
        )
    )


@cache
def style() -> str:
    """Return the style sheet, colours first, without comments and indents."""
    text = files(report).joinpath("templates/style.css").read_text(encoding="utf-8")
    lines = (line.strip() for line in text.splitlines())
    kept = (line for line in lines if line and not line.startswith("/*"))
    return "\n".join((palette.variables(), *kept))


def policy(style: str) -> str:
    """Return the content security policy of a page with this style sheet and nothing else."""
    mark = b64encode(sha256(style.encode()).digest()).decode()
    return (
        f"default-src 'none'; style-src 'sha256-{mark}'; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )


def place_page(reports: Path, what: str, place: str, today: date) -> Path:
    """Return where a page on a place lies; letters of all languages stay in its name."""
    plain = "-".join("".join(c if c.isalnum() else " " for c in place.lower()).split())
    return reports / f"{what}-{plain or 'place'}-{today.isoformat()}.html"


def write_page(html: str, path: Path) -> None:
    """Write a page whole or not at all; its folder is made where there is none.

    Raises
    ------
    RecordFull
        If it can't be written; a page that was there before is left as it was.
    """
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            draft.write_text(html, encoding="utf-8", newline="\n")
            draft.replace(path)
        finally:
            draft.unlink(missing_ok=True)
    except OSError as error:
        raise RecordFull(
            f"The page {path} can't be written ({error.strerror}); make room or choose another "
            "folder, then run the command again."
        ) from error
