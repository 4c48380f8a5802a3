"""Service against money: the curve with what is proposed, the plain rule and the sheet's levels marked on it.

As rows for a sheet, as lines for the screen, and as a drawing that stands alone.
"""

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from reconcile.reports.week.picture_facts import axis_over
from reconcile.reports.week.pictures import INK, LINE, WIDTH, Canvas, Plot, drawing_of, upright_scale
from reconcile.reports.writing.grid import MONEY, NUMBER, TEXT, Column, Row, Table, table
from reconcile.reports.writing.text import wrapped
from reconcile.reports.writing.wording import count_text, money_text
from reconcile.values.measure import percent, quantity_text
from reconcile.values.rules import KITS
from reconcile.values.week.levels import GIVEN, PLAIN, PROPOSED, Trade, TradePoint

NAMES = {PROPOSED: "proposed", PLAIN: "plain rule", GIVEN: "the sheet's"}

TRADE_SHEET = "Money and service"
TRADE_COLUMNS = (
    Column("levels", TEXT, 22),
    Column("mean shelf value", MONEY),
    Column("currency", TEXT, 8),
    Column("share served %", NUMBER),
    Column("of", TEXT, 26),
)


def share_name(trade: Trade) -> str:
    return "jobs with a whole kit" if trade.measure == KITS else "need met at once"


def trade_lines(trade: Trade | None) -> Iterator[str]:
    """The table on the screen; nothing where nothing has a price."""
    if trade is None:
        return
    of = f"{count_text(trade.parts, 'part')} with a price, all set together"
    yield wrapped(
        f"Money against service: {share_name(trade)}, {of} (estimates, {trade.currency or 'money'})"
    )
    yield f"{'mean shelf':>14}{'served':>12}"
    for point in points(trade):
        name = f"  {NAMES[point.name]}" if point.name else ""
        yield f"{money_text(point.value):>14}{percent(point.share):>12}{name}"
    yield wrapped(notes(trade))


def points(trade: Trade) -> list[TradePoint]:
    """Curve and marks, the cheapest first."""
    return sorted((*trade.curve, *trade.marks), key=lambda point: (point.value, point.share))


def notes(trade: Trade) -> str:
    """What the marks are."""
    said = "The plain rule: mean use of lead time and a week, and a multiple of its deviation."
    if 0 < trade.given_parts < trade.parts:
        said += f" The sheet's levels: of {trade.given_parts} parts; the others by the plain rule."
    if trade.measure == KITS:
        said += f" Kits: those of {count_text(trade.jobs, 'job')} of the last year."
    return said


def trade_table(trade: Trade | None) -> Table:
    """The curve, then the marks: a chart draws the rows of the first as one line."""
    rows: list[Row] = [] if trade is None else [_row(trade, one) for one in (*trade.curve, *trade.marks)]
    note = "Nothing with a price has a proposal." if trade is None else notes(trade)
    return table(TRADE_SHEET, "Money and service, all levels set together", TRADE_COLUMNS, rows, note)


def _row(trade: Trade, point: TradePoint) -> tuple[str, Decimal, str, Decimal, str]:
    name = NAMES[point.name] if point.name else "set together"
    share = Decimal(f"{100 * point.share:.1f}")
    return name, point.value, trade.currency, share, share_name(trade)


# --- the drawing -----------------------------------------------------------------------------------------


def write_trade_picture(trade: Trade, path: Path) -> None:
    path.write_text(trade_svg(trade), encoding="utf-8")


def trade_svg(trade: Trade, ident: str = "money-and-service") -> str:
    """The curve, and a mark of another shape for each of the others, with its name."""
    title = f"Money on the shelf and {share_name(trade)}"
    words = [
        f"{NAMES.get(p.name, 'curve')}: {money_text(p.value)}, {percent(p.share)}." for p in points(trade)
    ]
    drawing = drawing_of(ident, title, words, 260)
    values = [Fraction(point.value) for point in (*trade.curve, *trade.marks)]
    along, up = axis_over(values), axis_over([Fraction(0), Fraction(100)])
    plot = Plot(up, 40, 60, WIDTH - 60, 140)
    upright_scale(drawing, plot, f"% of {share_name(trade)}")
    level = Plot(along, plot.left, plot.top, plot.width, plot.height)
    _money_scale(drawing, level, trade.currency)
    places = [(level.along(Fraction(p.value)), plot.up(Fraction(100 * p.share))) for p in trade.curve]
    for start, end in pairwise(places):
        drawing.line(start, end, stroke=LINE, stroke_width="2")
    for place, point in enumerate(trade.marks):
        x, y = level.along(Fraction(point.value)), plot.up(Fraction(100 * point.share))
        _mark(drawing, point, x, y)
        drawing.text(
            plot.left + plot.width,
            plot.top + plot.height - 46 + 14 * place,
            _legend(point),
            text_anchor="end",
        )
    return drawing.done()


SHAPES = {PROPOSED: "●", PLAIN: "▲", GIVEN: "■"}


def _legend(point: TradePoint) -> str:
    return f"{SHAPES[point.name]} {NAMES[point.name]}: {money_text(point.value)}, {percent(point.share)}"


def _mark(drawing: Canvas, point: TradePoint, x: Fraction, y: Fraction) -> None:
    given: dict[str, Fraction | int | str] = {
        "data_name": point.name,
        "data_value": Fraction(point.value),
        "stroke": INK,
        "fill": "#e69f00",
    }
    if point.name == PROPOSED:
        drawing.add("circle", cx=x, cy=y, r=5, **given)
    elif point.name == GIVEN:
        drawing.add("rect", x=x - 4, y=y - 4, width=8, height=8, **given)
    else:
        corners = [(x, y - 5), (x + 5, y + 4), (x - 5, y + 4)]
        drawing.add("polygon", points=" ".join(f"{float(a):.1f},{float(b):.1f}" for a, b in corners), **given)


def _money_scale(drawing: Canvas, plot: Plot, currency: str) -> None:
    bottom = plot.top + plot.height
    for place, value in enumerate(plot.axis.ticks):
        x = plot.along(value)
        drawing.line((x, plot.top), (x, bottom), data_tick=value, stroke="#c8c8c8" if value else INK)
        if place % 2 == 0:
            drawing.text(x, bottom + 14, quantity_text(value), text_anchor="middle")
    name = f"mean shelf ({currency})" if currency else "mean shelf"
    drawing.text(plot.left + plot.width // 2, bottom + 30, name, text_anchor="middle")
