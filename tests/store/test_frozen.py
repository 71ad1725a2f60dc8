"""What was worked out, as text and back: whole to the last bit, or refused."""

import json
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from planner.store.frozen import from_text, mark_of, to_text


@dataclass(frozen=True)
class Inner:
    """A part within a whole."""

    values: NDArray[np.float64]
    name: str | None


@dataclass(frozen=True)
class Outer:
    """One of every kind that is kept."""

    days: NDArray[np.datetime64]
    parts: tuple[Inner, ...]
    limits: tuple[float | None, float | None]
    size: int
    sure: bool
    share: float


def outer(values: list[float], names: list[str | None], share: float = 0.25) -> Outer:
    """One to keep."""
    return Outer(
        np.array(["2026-11-23", "NaT"], dtype="datetime64[D]"),
        tuple(Inner(np.array(values).reshape(1, -1), name) for name in names),
        (None, 0.9),
        3,
        sure=True,
        share=share,
    )


@given(
    st.lists(st.floats(), max_size=4),
    st.lists(st.none() | st.text(max_size=5), max_size=3),
    st.floats(allow_nan=False),
)
def test_all_comes_back_to_the_last_bit(values, names, share):
    """Arrays with their shape, not-a-numbers and minus nought too."""
    kept = outer(values, names, share)
    back = from_text(Outer, to_text(kept))
    assert to_text(back) == to_text(kept)
    assert back.days.dtype == kept.days.dtype
    for mine, theirs in zip(back.parts, kept.parts, strict=True):
        assert mine.name == theirs.name
        assert mine.values.shape == theirs.values.shape
        assert mine.values.tobytes() == theirs.values.tobytes()
    assert (back.limits, back.size, back.sure, back.share) == ((None, 0.9), 3, True, share)


@pytest.mark.parametrize(
    "damage",
    [
        lambda text: "",
        lambda text: text[:-5],
        lambda text: "[]",
        lambda text: "3",
        lambda text: "[" * 100_000,
        lambda text: text.replace('"size": 3', '"size": "3"'),
        lambda text: text.replace('"size": 3, ', ""),
        lambda text: text.replace('"size": 3', '"size": 3, "more": 1'),
        lambda text: text.replace('"sure": true', '"sure": 1'),
        lambda text: text.replace("<f8", "|O"),
        lambda text: text.replace("<f8", "nothing"),
        lambda text: text.replace('"shape": [1, 2]', '"shape": [7]'),
        lambda text: text.replace('"limits": [null, 0.9]', '"limits": [0.9]'),
    ],
)
def test_a_damaged_text_is_refused(damage):
    """With one kind of error, whatever the damage; never half a thing."""
    text = to_text(outer([1.0, 2.0], ["a"]))
    assert damage(text) != text
    with pytest.raises(ValueError, match=r".+"):
        from_text(Outer, damage(text))


def test_what_cannot_be_kept_is_said_at_once():
    """Not when it's wanted back."""
    with pytest.raises(TypeError, match="can't be kept"):
        to_text({"a": {1, 2}})
    with pytest.raises(TypeError, match="can't be kept"):
        to_text(np.array([None, 1], dtype=object))


def test_a_mark_tells_any_change():
    """Of a value, a shape or a type; and is the same for the same."""
    kept = outer([1.0, 2.0], ["a"])
    marks = [
        mark_of([kept]),
        mark_of([replace(kept, size=4)]),
        mark_of([replace(kept, parts=())]),
        mark_of([replace(kept, days=kept.days[:1])]),
        mark_of([replace(kept, days=kept.days.astype("datetime64[s]"))]),
        mark_of([kept, None]),
        mark_of([np.zeros((2, 3))]),
        mark_of([np.zeros((3, 2))]),
    ]
    assert len(set(marks)) == len(marks)
    assert mark_of([json.loads("[1, 2]")]) == mark_of([(1, 2)])
    assert mark_of([kept]) == mark_of([outer([1.0, 2.0], ["a"])])


def test_a_number_of_numpy_is_kept_as_the_number_it_is():
    """The same mark as that of a plain one."""
    assert mark_of([np.float64(0.25), np.int64(3)]) == mark_of([0.25, 3])
