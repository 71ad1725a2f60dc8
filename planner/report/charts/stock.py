"""Stock against need by diameter class: what lies there as a bar, what is needed as a mark."""

from collections.abc import Sequence

from markupsafe import Markup

from planner.plan.documents import StockLine
from planner.report import svg
from planner.report.charts.timeline import NARROW, WIDE
from planner.report.scales import Scale
from planner.report.words import NBSP, bare_span, counted

ROW, TOP = 26.0, 6.0
LABEL, ROOM_FOR_WORDS = 86.0, 118.0


def stock_picture(stock: Sequence[StockLine], name: str, *, wide: bool = True) -> Markup:
    """Return the picture of the stock; nothing where there are no classes.

    ``name`` is unique in the page.
    """
    if not stock:
        return Markup("")
    layout = WIDE if wide else NARROW
    most = max(max(line.at_hand_pieces, line.needed_pieces) for line in stock)
    scale = Scale(0, max(most, 1), LABEL, layout.width - ROOM_FOR_WORDS)
    rows = (_row(row, scale, TOP + ROW * index) for index, row in enumerate(stock))
    return svg.picture(
        name,
        "Stock against need",
        _described(stock),
        (layout.width, TOP + ROW * len(stock) + 4),
        *rows,
        class_="wide" if wide else "narrow",
    )


def _row(stock: StockLine, scale: Scale, y: float) -> Markup:
    """A bar of what lies there, an upright of what is needed, a broken line over what is short."""
    have, need, middle = scale(stock.at_hand_pieces), scale(stock.needed_pieces), y + 10
    short = stock.short_pieces > 0
    words = f"{counted(stock.short_pieces, 'piece')} short" if short else "enough"
    return svg.group(
        svg.tag("title", _said(stock)),
        svg.text(
            (LABEL - 8, y + 14),
            class_name(stock),
            "t",
            "end",
        ),
        svg.rectangle((scale.start, y + 3), (have - scale.start, 14), "cane-bar"),
        svg.line((have, middle), (need, middle), "short") if need > have else "",
        svg.line((need, y), (need, y + 20), "cane-best"),
        svg.text((max(have, need) + 8, y + 14), words, "t strong warn" if short else "t soft"),
    )


def class_name(stock: StockLine) -> str:
    """Return the class as written: its limits in mm, or that it isn't sorted yet."""
    if stock.diameter_low_mm is None or stock.diameter_high_mm is None:
        return "not sorted"
    return bare_span(stock.diameter_low_mm, stock.diameter_high_mm)


def _said(stock: StockLine) -> str:
    unit = "" if stock.diameter_low_mm is None else f"{NBSP}mm"
    return (
        f"{class_name(stock)}{unit}: {counted(stock.at_hand_pieces, 'piece')} at hand, "
        f"{stock.needed_pieces:,} needed, {stock.short_pieces:,} short"
    )


def _described(stock: Sequence[StockLine]) -> str:
    short = [line for line in stock if line.short_pieces]
    if not short:
        return f"Enough in each of {counted(len(stock), 'class', 'classes')}."
    return "; ".join(_said(line) for line in short) + "."
