"""The review in sentences: did the plan fit, and what to change next season."""

from collections.abc import Iterator
from dataclasses import dataclass

from planner.plan.review_documents import Calibration, Following, MissCause, Rival, RoomScore

SURE = 0.8  # probability from which a choice is called the better one
WORTH_WHILE = 0.02  # of the share: two reeds in a hundred
CHANCE, NEAR = 0.05, 0.03  # a right plan is called wrong in at most 5 of 100 seasons
MUCH = 0.25  # of the distance of the missed reeds, for a cause to be worth a sentence
FEW_MM, FEW_READINGS = 30, 20
ROOM_OFF_PCT = 4.0  # mean error of the room model [%], from which the hygrometer is worth a look
SENTENCES = 3

RIVALS = {
    "made": "what was taken",
    "usual": "one diameter all along",
    "calendar": "rounder in winter, flatter in summer by the calendar",
    "last_year": "last year's plan",
}


@dataclass(frozen=True)
class Found:
    """What the sentences rest on."""

    calibration: Calibration | None
    rivals: tuple[Rival, ...]
    following: Following | None
    misses: tuple[MissCause, ...]
    room: tuple[RoomScore, ...]
    gouge_noted_share: float
    bench: str


def verdict(found: Found) -> str:
    """Return in one sentence whether the plan fitted."""
    kept = found.calibration
    if kept is None:
        return "Nothing could be planned again for these weeks, so there is no plan to judge."
    off = kept.predicted_share - kept.seen_share
    promised = f"The plan expected {_in_100(kept.predicted_share)} of the reeds as made in range"
    seen = f"{_in_100(kept.seen_share)} came good"
    if abs(off) < NEAR:
        return f"{promised} and {seen}: it fitted."
    if kept.chance >= CHANCE:
        reeds = f"{kept.reeds} {'reed' if kept.reeds == 1 else 'reeds'}"
        weeks = f"{kept.weeks} {'week' if kept.weeks == 1 else 'weeks'}"
        return (
            f"{promised} and {seen}. With {reeds} of {weeks} a right plan is as far off by chance "
            f"in {round(100 * kept.chance)} of 100 seasons: nothing speaks against it."
        )
    word = "too hopeful" if off > 0 else "too cautious"
    return f"{promised} but {seen}: it was {word}."


def headline(rivals: tuple[Rival, ...], following: Following | None) -> Rival | None:
    """Return the rival that tells what following was worth.

    Where the maker mostly followed, one diameter all along; else what was taken instead.
    """
    by_name = {rival.name: rival for rival in rivals}
    followed = following is not None and following.followed >= following.other
    first, second = ("usual", "made") if followed else ("made", "usual")
    return by_name.get(first) or by_name.get(second)


def next_season(found: Found) -> tuple[str, ...]:
    """Return three sentences on what to change, the weightiest first."""
    sentences = dict.fromkeys(
        sentence
        for part in (_on_following(found), _on_misses(found), _on_knowing(found))
        for sentence in part
    )
    return tuple(sentences)[:SENTENCES]


def _on_following(found: Found) -> Iterator[str]:
    """Whether to follow: one sentence, where anything could be compared."""
    rival = headline(found.rivals, found.following)
    if rival is None:
        return
    worth = f"{_worth(rival.worth.p50)} ({_signed(rival.worth.p10)} to {_signed(rival.worth.p90)})"
    other = RIVALS[rival.name]
    if rival.probability >= SURE and rival.worth.p50 >= WORTH_WHILE:
        yield f"Follow the plan's diameters: against {other} that is worth {worth}."
    elif rival.probability <= 1 - SURE and rival.worth.p50 <= -WORTH_WHILE:
        yield (
            f"Trust your own choice more than the plan for now: against {other} it was worth "
            f"{worth}."
        )
    else:
        yield (
            f"Take the plan's diameters as advice only: against {other} this season can't tell "
            f"them apart, {worth}."
        )


def _on_misses(found: Found) -> Iterator[str]:
    """What moved the missed reeds: the largest cause that can be acted on, else the scatter."""
    worth_it = [cause for cause in found.misses if cause.share >= MUCH]
    for cause in worth_it:
        if cause.name != "reed":
            yield _cause_sentence(cause)
    if worth_it and worth_it[0].name == "reed":
        yield (
            "Most of what missed is the scatter from reed to reed, which no choice of cane "
            "removes: look to tying and scraping alike before looking to the tube."
        )


def _cause_sentence(cause: MissCause) -> str:
    share = f"{round(100 * cause.share)} in 100 of what the missed reeds were off"
    lots = f"lots, above all {cause.what}, made" if cause.what else "lots made"
    return {
        "diameter": f"Sort closer to the advised diameters: other diameters made up {share}.",
        "gouge": f"Check the gouge more often: a gouge other than advised made up {share}.",
        "lot": f"Judge a few reeds of a new lot first: {lots} up {share}.",
        "room": (f"Note the hygrometer once a week: a room other than expected made up {share}."),
        "level": (
            "Judge ten reeds after a new knife or a changed habit before going on: the level of "
            f"all reeds moved within the season and made up {share}."
        ),
    }[cause.name]


def _on_knowing(found: Found) -> Iterator[str]:
    """What would let the next season be known better; always more sentences than are asked."""
    kept = found.calibration
    if kept is not None and kept.mm_reeds < FEW_MM:
        yield "Measure the opening of more reeds: millimetres tell far more than a verdict."
    off = [score for score in found.room if abs(score.mean_error_pct) > ROOM_OFF_PCT]
    if off:
        yield (
            f"Look at the hygrometer of {off[0].place}: it read "
            f"{abs(off[0].mean_error_pct):.0f} % {'more' if off[0].mean_error_pct > 0 else 'less'} "
            "than the room model expected."
        )
    if sum(score.readings for score in found.room) < FEW_READINGS:
        yield f"Read the hygrometer at {found.bench} once a week, so that the room is known."
    if found.gouge_noted_share < 0.5:
        yield "Note the gouge with each reed: where it is missing, its part can't be told."
    yield "Go on noting lot, diameter and gouge with each reed; every season narrows the advice."
    yield "Take some reeds a class off the advice, so that the effect of diameter shows."
    yield "Review again after the next half year, with last year's plan beside it."


def _in_100(share: float) -> str:
    return f"{round(100 * share)} in 100"


def _signed(share: float) -> str:
    return f"{round(100 * share):+d}".replace("-", "\N{MINUS SIGN}").replace("+0", "0")


def _worth(share: float) -> str:
    return f"{_signed(share)} good reeds in 100"
