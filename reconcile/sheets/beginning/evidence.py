"""What the cells show of how dates, decimals, lengths and prices are written; each as a question.

Nothing is asked where no cell needs it. An answer is beyond doubt only where some cell can be read in no
other way and none speaks against it.
"""

import re
from collections.abc import Sequence

from reconcile.sheets.figures.prices import SHARED_SIGNS, read_price
from reconcile.values.beginning import ColumnSeen, OpenQuestion

Columns = Sequence[tuple[str, ColumnSeen]]
"""Our headings, each with the column that is taken for it."""
_SLASHED = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-]\d{2,4}")
_MARKED = re.compile(r"[-+]?\d{1,3}(?:[.,]\d+)+")
SMALLEST_MM = 150
"""From this size on a bare size of a chair can only be in mm: as many inches would be four metres."""


def date_order_shown(columns: Columns) -> OpenQuestion | None:
    """Which of day and month comes first, where days are text like 3/12/2026."""
    days = [
        (int(found[1]), int(found[2]))
        for ours, column in columns
        if ours in ("date", "due")
        for text in column.texts
        if (found := _SLASHED.fullmatch(text))
    ]
    if not days:
        return None
    day_first, month_first = any(one > 12 for one, _ in days), any(other > 12 for _, other in days)
    offered = "" if day_first == month_first else "dmy" if day_first else "mdy"
    choices = (("dmy", "day before month"), ("mdy", "month before day"))
    return OpenQuestion("Which comes first in dates like 3/12/2026?", choices, offered, bool(offered))


NUMBERS = ("on hand", "allocated", "price", "quantity", "pack", "safety stock", "reorder point", "length")


def decimal_shown(columns: Columns) -> OpenQuestion | None:
    """The decimal mark, where numbers are text that can be read with either."""
    texts = [text for ours, column in columns if ours in NUMBERS for text in column.texts]
    figures = [found[0] for text in texts if (found := _MARKED.search(text))]
    if not any(_two_readings(figure) for figure in figures):
        return None
    marks = {mark for figure in figures if (mark := _mark_of(figure))}
    offered = marks.pop() if len(marks) == 1 else ""
    choices = ((",", "1,5 is one and a half"), (".", "1.5 is one and a half"))
    return OpenQuestion("Which is the decimal mark?", choices, offered, bool(offered))


def _two_readings(figure: str) -> bool:
    """Whether a mark may part thousands or decimals: ``1,234``, ``1.200``, ``1.234,50``."""
    return re.search(r"[1-9]\d{0,2}[.,]\d{3}(?!\d)", figure) is not None or ("." in figure and "," in figure)


def _mark_of(figure: str) -> str:
    """The mark that can only be the decimal one: the last of two, or one not before three digits."""
    last = max(figure.rfind("."), figure.rfind(","))
    both = "." in figure and "," in figure
    after = len(figure) - last - 1
    return figure[last] if both or after != 3 else ""


def length_unit_shown(columns: Columns) -> OpenQuestion | None:
    """The unit of bare sizes and lengths whose heading names none."""
    bare = [
        figure
        for ours, column in columns
        if ours in ("from", "to", "length") and not column.unit
        for figure in (*column.figures, *_bare_figures(column.texts))
    ]
    sizes = [
        figure
        for ours, column in columns
        if ours in ("from", "to") and not column.unit
        for figure in (*column.figures, *_bare_figures(column.texts))
    ]
    if not bare:
        return None
    sure = bool(sizes) and min(sizes) >= SMALLEST_MM
    choices = (("mm", "millimetres"), ("in", "inches"))
    return OpenQuestion("What are sizes and lengths without a unit in?", choices, "mm" if sure else "", sure)


def _bare_figures(texts: Sequence[str]) -> list[float]:
    return [float(text) for text in texts if re.fullmatch(r"\d{1,6}(?:\.\d+)?", text)]


def currency_shown(columns: Columns) -> OpenQuestion | None:
    """The currency of prices, where they show a sign of several."""
    if any(ours == "currency" for ours, _ in columns):
        return None
    signs = {
        read_price(text).currency
        for ours, column in columns
        if ours == "price"
        for text in (*column.texts, f"{column.unit} 1")
    } & SHARED_SIGNS.keys()
    if len(signs) != 1:
        return None
    sign = signs.pop()
    codes = sorted(SHARED_SIGNS[sign])
    asks = f"Prices are in {sign}, which stands for several currencies. Which?"
    only = codes[0] if len(codes) == 1 else ""
    return OpenQuestion(asks, tuple((code, "") for code in codes), only, bool(only))
