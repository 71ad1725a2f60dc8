"""The page of a room: what was found, the readings against the model, what would teach more."""

from planner.report import room_words
from planner.report.charts.room import room_picture
from planner.report.figures import RoomShown
from planner.report.page import both, page
from planner.room.findings import RoomKnown


def render_room(
    known: RoomKnown,
    shown: RoomShown,
    *,
    version: str,
    made_at: str,
    dates: str = "dmy",
    fahrenheit: bool = False,
) -> str:
    """Return what is known of a room as one self-contained HTML page.

    ``made_at`` is the moment it was made, as it shall be shown; ``dates`` is the workshop's order
    (``dmy``, ``mdy`` or ``ymd``).
    """
    return page(
        "room.html.jinja",
        dates=dates,
        known=known,
        rests_on=room_words.rests_on(known),
        found=room_words.found_sentences(known, fahrenheit=fahrenheit),
        mind=room_words.mind_sentences(known),
        wanted=room_words.wanted_sentences(known, fahrenheit=fahrenheit),
        picture=both(room_picture, shown, name="room", dates=dates),
        weeks=tuple(reversed(known.weeks)),
        version=version,
        made_at=made_at,
    )
