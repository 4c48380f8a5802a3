"""A supplier's record: promised against came, line by line, and lead times as they turned out. Pure.

The median is the middle value, or the mean of the two in the middle; *nine in ten* is the least number of
working days that was enough for at least nine tenths of the lines (the inverse of the empirical distribution:
Hyndman and Fan, "Sample Quantiles in Statistical Packages", The American Statistician 50 (1996), definition
1; from memory).
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from fractions import Fraction

from reconcile.plan.flows.reach import lead_time_of
from reconcile.values.days import ONE_DAY, WorkDays
from reconcile.values.measure import quantity_text
from reconcile.values.orders.lines import OrderLine
from reconcile.values.orders.records import LineRecord, Optimism, SupplierRecord
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.words import fold

YEAR = timedelta(days=365)
FEWEST = 3
"""Lines of a part without which nothing is said of its lead time (common practice, no source)."""


def records(lines: Iterable[OrderLine], days: WorkDays) -> Iterator[SupplierRecord]:
    """Every supplier of whom something came, or from whom no more of a line will, in order of name."""
    found: dict[str, list[LineRecord]] = {}
    for line in lines:
        if line.arrived or (line.placed and not line.to_come):
            found.setdefault(fold(line.supplier), []).append(line_record(line, days))
    for name in sorted(found):
        yield supplier_record(found[name])


def supplier_record(lines: Sequence[LineRecord]) -> SupplierRecord:
    times = sorted(each.lead_time for each in lines if each.lead_time is not None)
    return SupplierRecord(
        lines[0].supplier, tuple(lines), sum((each.days_late or 0) > 0 for each in lines),
        sum(each.short for each in lines), sum(each.parts > 1 for each in lines), median(times),
        ninety(times),
    )  # fmt: skip


def line_record(line: OrderLine, days: WorkDays) -> LineRecord:
    came = max((each.day for each in line.arrived), default=None)
    promised = line.due or line.wanted
    return LineRecord(
        line.supplier, line.order, line.line, line.part, line.unit, line.ordered, line.received, promised,
        came, len({each.day for each in line.arrived}),
        (came - promised).days if came and promised else None,
        not line.to_come and line.received - line.replaced < line.ordered,
        worked_between(line.placed, came, days) if came and line.placed else None,
    )  # fmt: skip


def worked_between(first: date, last: date, days: WorkDays) -> int:
    """The working days strictly after the first day up to the last: the lead time that was just enough."""
    return sum(days.worked(first + number * ONE_DAY) for number in range(1, (last - first).days + 1))


def median(times: Sequence[int]) -> Fraction | None:
    """Of sorted numbers; None where there are none."""
    if not times:
        return None
    middle = len(times) // 2
    return Fraction(times[middle]) if len(times) % 2 else Fraction(times[middle - 1] + times[middle], 2)


def ninety(times: Sequence[int]) -> int | None:
    """The least of sorted numbers that is no less than nine tenths of them; None where there are none."""
    return times[math.ceil(Fraction(9, 10) * len(times)) - 1] if times else None


def optimistic(lines: Iterable[OrderLine], stock: Stock, settings: Settings, today: date) -> list[Problem]:
    """A notice for each part of which more than half of what came in a year took longer than planned."""
    times: dict[str, list[int]] = {}
    for line in lines:
        came = max((each.day for each in line.arrived), default=None)
        if line.placed and came and today - YEAR <= came <= today:
            times.setdefault(line.part, []).append(worked_between(line.placed, came, settings.days))
    found = (
        too_short(stock.parts[number], sorted(own), settings)
        for number, own in times.items()
        if number in stock.parts and len(own) >= FEWEST
    )
    return [_notice(each, stock.parts[each.part]) for each in found if each is not None]


def too_short(part: Part, times: Sequence[int], settings: Settings) -> Optimism | None:
    sheet = lead_time_of(part, settings.lead_time_days)
    longer = sum(each > sheet for each in times) if sheet is not None else 0
    middle, most = median(times), ninety(times)
    if sheet is None or middle is None or most is None or 2 * longer <= len(times):
        return None
    return Optimism(part.number, sheet, len(times), longer, middle, most)


def _notice(each: Optimism, part: Part) -> Problem:
    place = part.bins[0].place.cell("lead time days") if part.bins else Place("stock", "", part.number)
    says = (
        f"The lead time of {each.part} is {each.sheet} working days by the sheet; {each.longer} of"
        f" {each.lines} lines that came in a year took longer (half of them {quantity_text(each.median)} or"
        f" more, nine in ten no more than {each.ninety})."
    )
    return problem("lead-time-optimistic", place, says, found=str(each.sheet))
