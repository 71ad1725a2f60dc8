"""The plan as one document, and as the JSON object that is a promise.

Only the standard library is loaded here, so that documents load at once. Rounding
happens here and nowhere before.
"""

from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from planner.plan.documents import (
    SCHEMA_VERSION,
    Basis,
    PlanDocument,
    Preparation,
    SameCane,
    Source,
    Spell,
    StockLine,
    WatchNote,
    WeekAdvice,
    WorkshopLine,
    YieldLine,
)

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

# Digits kept by the last word of a key: lengths to a thousandth of a mm, shares to a tenth in 100.
DIGITS = {"mm": 3, "pct": 1, "share": 3, "usual": 3, "probability": 2, "years": 1, "history": 2}
SIGNIFICANT = 4  # of a figure whose key says nothing


def assemble(
    *,
    today: date,
    workshop: WorkshopLine,
    basis: Basis,
    weeks: Sequence[WeekAdvice],
    spells: Sequence[Spell] = (),
    prepare: Sequence[Preparation] = (),
    warnings: Sequence[str] = (),
    sources: Sequence[Source] = (),
    trials: Sequence[str] = (),
    same_cane: Sequence[SameCane] = (),
    stock: Sequence[StockLine] = (),
    yields: Sequence[YieldLine] = (),
    prepare_notes: Sequence[str] = (),
    watch: Sequence[WatchNote] = (),
) -> PlanDocument:
    """Return the plan: weeks by date with the bench first, each warning and source once."""
    order = {name: i for i, name in enumerate((workshop.bench, *workshop.places))}
    last = len(order)
    return PlanDocument(
        schema_version=SCHEMA_VERSION,
        today=today,
        workshop=workshop,
        basis=basis,
        weeks=tuple(
            sorted(
                weeks,
                key=lambda row: (row.week_start, order.get(row.place, last)),
            )
        ),
        spells=tuple(spells),
        prepare=tuple(prepare),
        warnings=tuple(dict.fromkeys(warnings)),
        sources=tuple(dict.fromkeys(sources)),
        trials=tuple(trials),
        same_cane=tuple(same_cane),
        stock=tuple(stock),
        yields=tuple(yields),
        prepare_notes=tuple(prepare_notes),
        watch=tuple(watch),
    )


def by_key(value: float, key: str) -> float:
    """Return a figure with the digits that its key merits."""
    digits = DIGITS.get(key.rpartition("_")[2])
    return float(f"{value:.{SIGNIFICANT}g}") if digits is None else round(value, digits)


def to_json_dict(
    document: "DataclassInstance", rounded: Callable[[float, str], float] = by_key
) -> dict[str, Any]:
    """Return the JSON object of a plan, or of another document of plain values.

    Dates are as ISO 8601; figures are *rounded*, given the key that they stand under.
    """
    plain = _plain(document, "", rounded)
    assert isinstance(plain, dict)
    return plain


def _plain(value: Any, key: str, rounded: Callable[[float, str], float]) -> Any:
    if is_dataclass(value):
        # The percentiles within a spread are rounded as the quantity that they belong to.
        return {
            field.name: _plain(getattr(value, field.name), _quantity(key, field.name), rounded)
            for field in fields(value)
        }
    if isinstance(value, tuple | list):
        return [_plain(item, key, rounded) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    # Adding nought turns a minus nought into a plain one.
    return rounded(value, key) + 0.0 if isinstance(value, float) else value


def _quantity(key: str, name: str) -> str:
    return name if name.rpartition("_")[2] in DIGITS else key or name
