"""A run of openings in words, for the week's note. Only the standard library."""

from planner.report.words import day, in_100, listed, mm, number, span
from planner.spread import Spread
from planner.watch.documents import Cause, RunNote

HAIR = 0.005  # mm, a correction that reads as nought


def run_words(note: RunNote, order: str) -> str:
    """Return what came out, what it may come from and what to take instead, as sentences."""
    return " ".join((_came_out(note, order), _likely(note.causes), _instead(note)))


def _came_out(note: RunNote, order: str) -> str:
    which = "reed" if note.reeds == 1 else f"{note.reeds} reeds"
    off = note.off_mm
    return (
        f"The {which} from {day(note.since, order)} to {day(note.last, order)} came out about "
        f"{mm(abs(off.p50))} too {note.kind} ({_eighty(off)}), with diameter, gouge and moisture "
        "accounted for."
    )


def _eighty(off: Spread) -> str:
    if off.p10 >= 0 or off.p90 <= 0:
        low, high = sorted((abs(off.p10), abs(off.p90)))
        return f"8 in 10: {span(low, high)}"
    # The other way round it reads with its sign.
    return f"8 in 10: {number(off.p10)} to {mm(off.p90)}"


def _likely(causes: tuple[Cause, ...]) -> str:
    """The causes in order; the share of the first says how sure that order is."""
    first, *others = causes
    text = f"Most likely {_cause(first)}, {in_100(first.share)}"
    if others:
        rest = tuple(f"{_cause(cause)} ({round(100 * cause.share)})" for cause in others)
        text += f"; else {listed(rest, 'or')}"
    return f"{text}. {_look(first)}"


def _cause(cause: Cause) -> str:
    return {
        "lot": f"lot {cause.what}",
        "gouge": "the gouge",
        "level": "a change in all reeds (knife, habit, staples)",
        "room": f"the room in {cause.what}" if cause.what else "the room",
    }[cause.name]


def _look(cause: Cause) -> str:
    """What to look at first."""
    return {
        "lot": "Try a few reeds of another lot beside it.",
        "gouge": "Gauge a few pieces before gouging on.",
        "level": "Think back what was new about then.",
        "room": "Read the hygrometer there.",
    }[cause.name]


def _instead(note: RunNote) -> str:
    """What to take until the model has followed; nothing where the effect is too little known."""
    if note.followed:
        return (
            "The plan has already followed: its diameters make up for it, so change no more for "
            "its sake."
        )
    if note.correction_mm is None or note.class_low_mm is None or note.class_high_mm is None:
        return "How much another diameter would help isn't known well enough yet to say."
    if abs(note.correction_mm) < HAIR:
        return "No other diameter is within what you take, so the gouge or the lot must make it up."
    way = "rounder" if note.correction_mm < 0 else "flatter"
    than = (
        f"{mm(abs(note.correction_mm))} {way} than the plan says, the class of "
        f"{span(note.class_low_mm, note.class_high_mm)}."
    )
    if note.causes[0].name == "lot":
        return f"The plan knows of no lot: from this one take cane {than}"
    return (
        f"The plan has yet to follow by {mm(abs(note.left_mm.p50))}: until it has, take cane {than}"
    )
