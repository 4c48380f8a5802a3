"""Pictures of the week as drawings for a page: jobs by day, the shelf of a part, order value by supplier.

Each drawing stands alone: no style sheet, no script, no other file. One user unit is one pixel. Colours are
those of Okabe and Ito (Color Universal Design, 2008) and tints of them; what differs in colour differs in
pattern too, and in words. Every mark carries its figure (``data-value``), every line of the scale its own.
"""

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from xml.etree import ElementTree as Xml

from reconcile.reports.drawings.joint import number
from reconcile.reports.week.picture_facts import (
    KITS,
    Axis,
    OrderValues,
    day_label,
    jobs_by_day,
    low_parts,
    order_values,
    shelf_picture,
    shelf_pictures,
)
from reconcile.reports.writing.rows_xml import clean
from reconcile.reports.writing.wording import money_text
from reconcile.values.measure import quantity_text
from reconcile.values.week.purchase import SupplierOrder
from reconcile.values.week.results import PartResult, Week

Point = tuple[Fraction | int, Fraction | int]

WIDTH, TEXT, TITLE = 360, 11, 12
"""Of a drawing and of its letters, in pixels: on a screen 300 pixels wide letters are still 9 high."""

INK, GRID, LINE = "#000000", "#c8c8c8", "#0072b2"
FILLS = {
    "complete": ("#bfe3d9", ""),
    "waits": ("#ffffff", "M-2 2L2 -2M0 8L8 0M6 10L10 6"),
    "order": ("#f7f2a8", "M0 2H8M0 6H8"),
    "short": ("#e69f00", "M0 4H8M4 0V8"),
    "band": ("#fbe3b3", "M-2 6L2 10M0 0L8 8M6 -2L10 2"),
    "goods": ("#56b4e9", ""),
    "delivery charge": ("#ffffff", "M-2 6L2 10M0 0L8 8M6 -2L10 2"),
}
"""Of a kind of mark: its ground, and the strokes of its pattern in a tile of 8 by 8 pixels."""

LETTER = Fraction(6)
"""Pixels that a letter is wide on average, at ``TEXT``."""

MOST_NAMED = 8
"""Days that stand under a drawing, and figures in it; of more only some have room."""

LONGEST_NAME, MOST_BARS, MOST_SHELVES = 22, 15, 8


@dataclass(frozen=True, slots=True)
class Plot:
    """Where a drawing's scale lies, in pixels, and what it says."""

    axis: Axis
    left: int
    top: int
    width: int
    height: int

    def up(self, value: Fraction) -> Fraction:
        """How far down the page a value of an upright scale stands."""
        return self.top + (self.axis.high - value) * self.height / (self.axis.high - self.axis.low)

    def along(self, value: Fraction) -> Fraction:
        """How far to the right a value of a level scale stands."""
        return self.left + (value - self.axis.low) * self.width / (self.axis.high - self.axis.low)


@dataclass(frozen=True, slots=True)
class PagePictures:
    """The drawings of a page, as SVG."""

    jobs: str
    """Jobs by day; "" where there is none."""
    shelves: tuple[str, ...]
    """Of the parts that run short, the first to do so first."""
    more_short: int
    """Parts that run short and are not drawn."""
    values: tuple[str, ...]
    """Order value by supplier, by currency."""


@dataclass(frozen=True, slots=True)
class Canvas:
    """An svg element that is drawn into. ``ident`` begins each id, so that a page may hold several."""

    svg: Xml.Element
    ident: str

    def add(self, tag: str, **given: Fraction | int | str) -> Xml.Element:
        """An element; ``data_`` figures are written exactly, others as far as a screen can show them."""
        named = {
            name.replace("_", "-"): str(value) if name.startswith("data_") else _said(value)
            for name, value in given.items()
        }
        return Xml.SubElement(self.svg, tag, named)

    def text(self, x: Fraction | int, y: Fraction | int, words: str, **given: str) -> None:
        self.add("text", x=x, y=y, **given).text = clean(words)

    def line(self, start: Point, end: Point, **given: Fraction | int | str) -> None:
        self.add("line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], **given)

    def fill(self, kind: str) -> str:
        ground, strokes = FILLS[kind]
        return f"url(#{self.ident}-{kind.replace(' ', '-')})" if strokes else ground

    def done(self) -> str:
        return Xml.tostring(self.svg, encoding="unicode")


def jobs_by_day_svg(week: Week, ident: str = "jobs-by-day") -> str:
    """The jobs of each day as a column: complete at its foot, then those that wait, then short ones."""
    shown = jobs_by_day(week)
    words = [
        f"{day_label(day)}: {', '.join(f'{count} {kit}' for kit, count in zip(KITS, counts, strict=True))}."
        for day, counts in zip(shown.days, shown.counts, strict=True)
    ]
    drawing = drawing_of(ident, shown.title, words, 234, KITS)
    plot = Plot(shown.axis, 34, 58, WIDTH - 40, 124)
    upright_scale(drawing, plot, "jobs")
    room = Fraction(plot.width, max(len(shown.days), 1))
    for place, (day, counts) in enumerate(zip(shown.days, shown.counts, strict=True)):
        _column(drawing, plot, (plot.left + place * room, room), day, counts)
    _day_names(drawing, plot, shown.days, plot.top + plot.height + 15)
    _key(drawing, KITS, 220)
    return drawing.done()


def shelf_svg(part: PartResult, days: Sequence[date], ident: str = "shelf") -> str:
    """What is left of a part at the end of each of ``days``: a line, over a band on each day it is short."""
    shown = shelf_picture(part, tuple(days))
    unit = part.part.unit
    words = [
        f"{day_label(day)}: {quantity_text(left)} {unit}."
        for day, left in zip(shown.days, shown.left, strict=True)
    ]
    drawing = drawing_of(ident, shown.title, words, 218, ("band",))
    plot = Plot(shown.axis, 44, 58, WIDTH - 50, 118)
    room = Fraction(plot.width, max(len(shown.days), 1))
    for place, (day, short) in enumerate(zip(shown.days, shown.short, strict=True)):
        if short:
            _box(
                drawing, "band", (plot.left + place * room, plot.up(Fraction(0)), room, _gap(plot, short)),
                data_day=day.isoformat(), data_value=short,
            )  # fmt: skip
    upright_scale(drawing, plot, f"left ({unit})")
    middles = [plot.left + place * room + room / 2 for place in range(len(shown.days))]
    points = [(x, plot.up(left)) for x, left in zip(middles, shown.left, strict=True)]
    path = " ".join(f"{_said(x)},{_said(y)}" for x, y in points)
    drawing.add("polyline", points=path, fill="none", stroke=LINE, stroke_width="2")
    for (x, y), day, left in zip(points, shown.days, shown.left, strict=True):
        drawing.add(
            "circle", cx=x, cy=y, r=3, fill=LINE, data_day=day.isoformat(), data_value=left, data_mark="left"
        )
        if len(points) <= MOST_NAMED:
            _figure(drawing, x, y - 7, quantity_text(left))
    _day_names(drawing, plot, shown.days, plot.top + plot.height + 15)
    drawing.text(WIDTH - 6, 214, "left at the end of each day; striped: short", text_anchor="end")
    return drawing.done()


def order_value_svgs(orders: Iterable[SupplierOrder], ident: str = "order-value") -> list[str]:
    """A drawing for each currency: what each order comes to, goods and charge, the dearest on top."""
    return [
        _order_value_svg(picture, f"{ident}-{place}") for place, picture in enumerate(order_values(orders), 1)
    ]


def _order_value_svg(shown: OrderValues, ident: str) -> str:
    orders, parts = shown.orders[:MOST_BARS], shown.parts[:MOST_BARS]
    words = [
        f"{order.name}: goods {money_text(goods)}, delivery charge {money_text(charge)}."
        for order, (goods, charge) in zip(orders, parts, strict=True)
    ]
    left_out = len(shown.orders) - len(orders)
    remarks = [shown.remark, f"Not drawn: the {left_out} of least value." if left_out else ""]
    said = list(filter(None, remarks))
    kinds, bar = ("goods", "delivery charge"), 24
    bottom = 44 + bar * len(orders)
    drawing = drawing_of(ident, shown.title, [*words, *said], bottom + 54 + 14 * len(said), kinds)
    plot = Plot(shown.axis, 140, 44, WIDTH - 200, bar * len(orders))
    _level_scale(drawing, plot, shown)
    for place, (order, amounts) in enumerate(zip(orders, parts, strict=True)):
        _bar(drawing, plot, plot.top + place * bar, order, amounts)
    _key(drawing, kinds, bottom + 44)
    for place, remark in enumerate(said):
        drawing.text(6, bottom + 60 + 14 * place, remark)
    return drawing.done()


def page_pictures(week: Week) -> PagePictures:
    """The drawings for the page of the bench sheets."""
    short = [part for part in low_parts(week) if part.shortfall > 0]
    shown = shelf_pictures(week, short[:MOST_SHELVES])
    return PagePictures(
        jobs_by_day_svg(week) if week.jobs else "",
        tuple(
            shelf_svg(picture.part, picture.days, f"shelf-picture-{place}")
            for place, picture in enumerate(shown, 1)
        ),
        max(len(short) - MOST_SHELVES, 0),
        tuple(order_value_svgs(week.orders)),
    )


# --- what a drawing is made of ------------------------------------------------------------------------------


def drawing_of(
    ident: str, title: str, words: Sequence[str], height: int, kinds: Sequence[str] = ()
) -> Canvas:
    """The drawing with its title seen and told, its description in words, and the patterns it needs."""
    svg = Xml.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "role": "img",
            "class": "picture",
            "aria-labelledby": f"{ident}-title {ident}-desc",
            "viewBox": f"0 0 {WIDTH} {height}",
            "width": str(WIDTH),
            "height": str(height),
            "font-family": "Arial, Liberation Sans, Helvetica, sans-serif",
            "font-size": str(TEXT),
            "fill": INK,
        },
    )
    drawing = Canvas(svg, ident)
    drawing.add("title", id=f"{ident}-title").text = clean(title)
    drawing.add("desc", id=f"{ident}-desc").text = clean(" ".join(filter(None, words)))
    defs = drawing.add("defs")
    for kind in kinds:
        _pattern(defs, ident, kind)
    # The whole of it is told by the title element, however long.
    for place, line in enumerate(textwrap.wrap(clean(title), WIDTH // 7, max_lines=2, placeholder=" …")):
        drawing.text(6, 13 + 14 * place, line, font_size=str(TITLE), font_weight="bold")
    return drawing


def _pattern(defs: Xml.Element, ident: str, kind: str) -> None:
    ground, strokes = FILLS[kind]
    if not strokes:
        return
    name = f"{ident}-{kind.replace(' ', '-')}"
    tile = Xml.SubElement(defs, "pattern", {"id": name, "width": "8", "height": "8"})
    tile.set("patternUnits", "userSpaceOnUse")
    Xml.SubElement(tile, "rect", {"width": "8", "height": "8", "fill": ground})
    Xml.SubElement(tile, "path", {"d": strokes, "stroke": INK, "stroke-width": "0.8", "fill": "none"})


def upright_scale(drawing: Canvas, plot: Plot, name: str) -> None:
    """Level lines with their figures; that of nothing is plain and dark."""
    end = plot.left + plot.width
    for value in plot.axis.ticks:
        y = plot.up(value)
        look = {"stroke": GRID} if value else {"stroke": INK, "stroke_width": "1.5"}
        drawing.line((plot.left, y), (end, y), data_tick=value, **look)
        drawing.text(plot.left - 5, y + 4, quantity_text(value), text_anchor="end")
    drawing.text(6, plot.top - 18, name)


def _level_scale(drawing: Canvas, plot: Plot, shown: OrderValues) -> None:
    bottom = plot.top + plot.height
    for place, value in enumerate(plot.axis.ticks):
        x = plot.along(value)
        look = {"stroke": GRID} if value else {"stroke": INK, "stroke_width": "1.5"}
        drawing.line((x, plot.top), (x, bottom), data_tick=value, **look)
        if place % 2 == 0:
            drawing.text(x, bottom + 14, quantity_text(value), text_anchor="middle")
    name = f"value ({shown.currency})" if shown.currency else "value"
    drawing.text(plot.left + plot.width // 2, bottom + 28, name, text_anchor="middle")


def _column(
    drawing: Canvas, plot: Plot, place: tuple[Fraction, Fraction], day: date, counts: tuple[int, ...]
) -> None:
    """The jobs of one day; ``place`` is its left edge and its room."""
    (left, room), below = place, Fraction(0)
    for kit, count in zip(KITS, counts, strict=True):
        if not count:
            continue
        height = _gap(plot, Fraction(count))
        top = plot.up(below + count)
        _box(
            drawing, kit, (left + room / 6, top, room * 2 / 3, height),
            data_day=day.isoformat(), data_kit=kit, data_value=Fraction(count), stroke=INK,
        )  # fmt: skip
        if height >= TEXT + 2 and room >= 16:
            _figure(drawing, left + room / 2, top + height / 2 + 4, str(count))
        below += count
    if counts[-1] and room >= 7 * LETTER:
        words = f"{counts[-1]} {KITS[-1]}"
        _figure(drawing, left + room / 2, plot.up(below) - 4, words, font_weight="bold")


def _bar(
    drawing: Canvas, plot: Plot, top: int, order: SupplierOrder, amounts: tuple[Decimal, Decimal]
) -> None:
    """One order: goods, then the charge at their end, then what both come to."""
    name = order.name if len(order.name) <= LONGEST_NAME else f"{order.name[: LONGEST_NAME - 1]}…"
    drawing.text(plot.left - 6, top + 16, name, text_anchor="end")
    before = Fraction(0)
    for kind, amount in zip(("goods", "delivery charge"), map(Fraction, amounts), strict=True):
        if amount:
            start = plot.along(before)
            _box(
                drawing, kind, (start, Fraction(top + 4), plot.along(before + amount) - start, Fraction(16)),
                data_supplier=clean(order.name), data_kind=kind, data_value=amount, stroke=INK,
            )  # fmt: skip
            before += amount
    drawing.text(plot.along(before) + 4, top + 16, money_text(order.total or Decimal(0)))


def _box(
    drawing: Canvas,
    kind: str,
    box: tuple[Fraction, Fraction, Fraction, Fraction],
    **given: Fraction | int | str,
) -> None:
    x, y, width, height = box
    drawing.add("rect", x=x, y=y, width=width, height=height, fill=drawing.fill(kind), **given)


def _figure(drawing: Canvas, x: Fraction, y: Fraction, words: str, **given: str) -> None:
    """Words with a white edge, to be read on any pattern."""
    edge = {"stroke": "#ffffff", "stroke_width": "3", "paint_order": "stroke", "text_anchor": "middle"}
    drawing.text(x, y, words, **edge, **given)


def _day_names(drawing: Canvas, plot: Plot, days: Sequence[date], y: int) -> None:
    room = Fraction(plot.width, max(len(days), 1))
    every = -(-len(days) // MOST_NAMED)
    for place, day in enumerate(days):
        if place % every == 0:
            drawing.text(plot.left + place * room + room / 2, y, day_label(day), text_anchor="middle")


def _key(drawing: Canvas, kinds: Sequence[str], y: int) -> None:
    x = Fraction(6)
    for kind in kinds:
        _box(drawing, kind, (x, Fraction(y - 9), Fraction(14), Fraction(10)), stroke=INK)
        drawing.text(x + 18, y, kind)
        x += 18 + LETTER * len(kind) + 16


def _gap(plot: Plot, value: Fraction) -> Fraction:
    """Pixels that a value takes up on an upright scale."""
    return abs(value) * plot.height / (plot.axis.high - plot.axis.low)


def _said(value: Fraction | int | str) -> str:
    """A text as it is, a figure as a decimal, exact where that is short."""
    if isinstance(value, str):
        return value
    return number(Fraction(value))
