"""Pictures as text: SVG elements, escaped, with figures kept short.

No element carries a style of its own, so that a strict content security policy holds; colours come
by class from the one style sheet and so follow dark, light and print.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from markupsafe import Markup, escape

from planner.report.words import clean

Point = tuple[float, float]


def short(value: float) -> str:
    """Return a coordinate to a tenth of a pixel, without needless digits."""
    without_minus_zero = round(value, 1) + 0.0
    return f"{without_minus_zero:.1f}".removesuffix(".0")


def tag(name: str, *inside: str, **attributes: str | float | None) -> Markup:
    """Return an element; text inside is escaped unless it is markup already.

    ``class_`` gives the attribute ``class``; an underscore within a name becomes a hyphen; an
    attribute of None is left out.
    """
    written = "".join(
        f' {_attribute(key)}="{_written(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if not inside:
        return Markup(f"<{name}{written}/>")
    return Markup(f"<{name}{written}>{''.join(map(_written, inside))}</{name}>")


def _written(value: str | float) -> Markup:
    if isinstance(value, Markup):
        return value
    return escape(clean(value) if isinstance(value, str) else short(value))


def _attribute(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def group(*inside: str, **attributes: str | float | None) -> Markup:
    """Return a group of marks, nothing where there are none."""
    return tag("g", *inside, **attributes) if any(inside) else Markup("")


def line(start: Point, end: Point, class_: str) -> Markup:
    """Return a straight line."""
    return tag("line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], class_=class_)


def text(at: Point, words: str, class_: str = "", anchor: str | None = None) -> Markup:
    """Return words at a point; ``anchor`` is ``middle`` or ``end``."""
    return tag("text", words, x=at[0], y=at[1], class_=class_ or None, text_anchor=anchor)


def text_over(
    at: Point, words: str, class_: str, anchor: str | None = None, *, on: str = ""
) -> Markup:
    """Return words with a rim of what lies behind them, to be read over lines and hatching.

    ``on`` is the class of what lies behind, the paper if it is left out.
    """
    rim = f"{class_} halo {on}".rstrip()
    return Markup("").join((text(at, words, rim, anchor), text(at, words, class_, anchor)))


def rectangle(at: Point, size: Point, class_: str, *, said: str = "") -> Markup:
    """Return a rectangle; ``said`` is shown when it is pointed at."""
    inside = (tag("title", said),) if said else ()
    return tag(
        "rect",
        *inside,
        x=at[0],
        y=at[1],
        width=max(size[0], 0.0),
        height=max(size[1], 0.0),
        class_=class_,
    )


def dot(at: Point, radius: float, class_: str, *, said: str = "") -> Markup:
    """Return a round mark; ``said`` is shown when it is pointed at."""
    inside = (tag("title", said),) if said else ()
    return tag("circle", *inside, cx=at[0], cy=at[1], r=radius, class_=class_)


def way(points: Iterable[Point]) -> str:
    """Return the path through the points."""
    return "M" + "L".join(f"{short(x)},{short(y)}" for x, y in points)


def curve(points: Iterable[Point], class_: str) -> Markup:
    """Return a line through the points."""
    return tag("path", d=way(points), class_=class_)


def shape(points: Iterable[Point], class_: str, *, said: str = "") -> Markup:
    """Return a closed shape; ``said`` is shown when it is pointed at."""
    inside = (tag("title", said),) if said else ()
    return tag("path", *inside, d=way(points) + "Z", class_=class_)


def hatch(
    upper: Sequence[Point], lower: Sequence[Point], class_: str, apart: float = 4.5
) -> Markup:
    """Return upright lines between two lines, for what must be told apart without colour.

    They are drawn one by one: a pattern fill swells a printed page to tens of megabytes.
    """
    first, last = upper[0][0], upper[-1][0]
    count = max(int((last - first) / apart), 1)
    places = [first + (last - first) * (index + 0.5) / count for index in range(count)]
    strokes = (f"M{short(x)},{short(_height(upper, x))}V{short(_height(lower, x))}" for x in places)
    return tag("path", d="".join(strokes), class_=class_)


def _height(points: Sequence[Point], x: float) -> float:
    """Where a line through points, ascending to the right, passes at *x*."""
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1:
            return y0 if x1 == x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


def picture(
    name: str, title: str, description: str, size: Point, *marks: str, class_: str = ""
) -> Markup:
    """Return a picture with its text alternative.

    ``name`` is unique in the page; ``title`` names the picture, ``description`` says what is to
    be seen in it.
    """
    return tag(
        "svg",
        tag("title", title, id=f"{name}-title"),
        tag("desc", description, id=f"{name}-desc"),
        *marks,
        viewBox=f"0 0 {short(size[0])} {short(size[1])}",
        role="img",
        aria_labelledby=f"{name}-title {name}-desc",
        class_=f"picture {class_}".strip(),
    )
