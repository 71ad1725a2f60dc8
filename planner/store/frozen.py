"""Frozen dataclasses of numbers, texts and arrays as text, and back, to be kept.

Text, not pickles: a damaged or foreign file can be refused, and never runs.
"""

import base64
import binascii
import hashlib
import json
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

import numpy as np

Kept = TypeVar("Kept")


def to_text(value: object) -> str:
    """Return a dataclass, with all that it holds, as JSON; arrays to the last bit."""
    return json.dumps(_plain(value), ensure_ascii=False)


def from_text(kind: type[Kept], text: str) -> Kept:
    """Return the dataclass of that kind that :func:`to_text` made the text of.

    Raises
    ------
    ValueError
        If the text isn't one, or is one of another version of the class.
    """
    try:
        found = _read(kind, json.loads(text))
    except (KeyError, TypeError, AttributeError, binascii.Error, RecursionError) as error:
        raise ValueError(f"not a kept {kind.__name__}: {error}") from error
    if not isinstance(found, kind):
        raise ValueError(f"not a kept {kind.__name__}")
    return found


def mark_of(parts: Iterable[object]) -> str:
    """Return a mark of values: equal values, equal marks, here and on any other machine."""
    digest = hashlib.sha256()
    for part in parts:
        digest.update(to_text(part).encode())
        digest.update(b"\n")
    return digest.hexdigest()


def _plain(value: object) -> Any:
    if isinstance(value, np.ndarray):
        if value.dtype.hasobject:
            raise TypeError(f"an array of {value.dtype} can't be kept")
        content = base64.b64encode(np.ascontiguousarray(value).tobytes()).decode("ascii")
        return {"dtype": value.dtype.str, "shape": value.shape, "data": content}
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if isinstance(value, np.generic):
        return _plain(value.item())
    if value is None or isinstance(value, str | int | float):
        return value
    raise TypeError(f"{value!r} can't be kept")


def _read(kind: Any, value: Any) -> Any:
    if get_origin(kind) in (Union, UnionType):
        if value is None and NoneType in get_args(kind):
            return None
        (kind,) = (part for part in get_args(kind) if part is not NoneType)
    if get_origin(kind) is tuple:
        return _tuple(get_args(kind), value)
    if isinstance(kind, type) and is_dataclass(kind):
        hints = get_type_hints(kind)
        if set(value) != set(hints):
            raise ValueError(f"other fields than those of {kind}")
        return kind(**{name: _read(hint, value[name]) for name, hint in hints.items()})
    if kind in (str, bool, int, float):
        allowed = (int, float) if kind is float else (kind,)
        if type(value) not in allowed:
            raise ValueError(f"{value!r} in place of a {kind.__name__}")
        return value
    array = np.frombuffer(base64.b64decode(value["data"], validate=True), np.dtype(value["dtype"]))
    return array.reshape(value["shape"]).copy()


def _tuple(kinds: tuple[Any, ...], value: Any) -> tuple[Any, ...]:
    if len(kinds) == 2 and kinds[1] is ...:
        return tuple(_read(kinds[0], item) for item in value)
    return tuple(_read(kind, item) for kind, item in zip(kinds, value, strict=True))
