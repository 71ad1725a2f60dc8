"""The plan as one document, and as the JSON object that is a promise.

Only the standard library is loaded here, so that a kept plan is read and shown at once. Rounding
happens here and nowhere before.
"""

from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from types import NoneType, UnionType
from typing import TYPE_CHECKING, Any, TypeVar, Union, get_args, get_origin, get_type_hints

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

T = TypeVar("T")

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


def to_json_dict(document: "DataclassInstance") -> dict[str, Any]:
    """Return the JSON object of a plan, or of another document of plain values.

    Dates are as ISO 8601, figures with the digits they merit.
    """
    plain = _plain(document, "")
    assert isinstance(plain, dict)
    return plain


def from_json_dict(answer: dict[str, Any]) -> PlanDocument:
    """Return the plan of a JSON object as :func:`to_json_dict` writes it.

    Keys that aren't known are passed over, so that a later minor version can be read.

    Raises
    ------
    ValueError
        If it is of another schema version, or a key is missing or of the wrong kind.
    """
    version = answer.get("schema_version")
    if version != SCHEMA_VERSION:
        raise ValueError(f"a plan of schema version {version}, this is {SCHEMA_VERSION}")
    return _read(PlanDocument, answer)


def _plain(value: Any, key: str) -> Any:
    if is_dataclass(value):
        # The percentiles within a spread are rounded as the quantity that they belong to.
        return {
            field.name: _plain(getattr(value, field.name), _quantity(key, field.name))
            for field in fields(value)
        }
    if isinstance(value, tuple | list):
        return [_plain(item, key) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return _rounded(value, key)
    return value


def _quantity(key: str, name: str) -> str:
    return name if name.rpartition("_")[2] in DIGITS else key or name


def _rounded(value: float, key: str) -> float:
    digits = DIGITS.get(key.rpartition("_")[2])
    # Adding nought turns a minus nought into a plain one.
    rounded = float(f"{value:.{SIGNIFICANT}g}") if digits is None else round(value, digits)
    return rounded + 0.0


def _read(kind: type[T], plain: Any) -> T:
    if not isinstance(plain, dict):
        raise ValueError(f"{kind.__name__}: an object was expected, found {plain!r}")
    hints = _hints(kind)  # type: ignore[arg-type]
    missing = [name for name in hints if name not in plain]
    if missing:
        raise ValueError(f"{kind.__name__}: {', '.join(missing)} missing")
    return kind(**{name: _value(hint, plain[name]) for name, hint in hints.items()})


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def _value(hint: Any, plain: Any) -> Any:
    if get_origin(hint) in (Union, UnionType):
        if plain is None:
            return None
        hint = next(option for option in get_args(hint) if option is not NoneType)
    if get_origin(hint) is tuple:
        return tuple(_value(get_args(hint)[0], item) for item in plain)
    if is_dataclass(hint):
        return _read(hint, plain)  # type: ignore[arg-type]
    if hint is date:
        return date.fromisoformat(plain)
    return hint(plain)
