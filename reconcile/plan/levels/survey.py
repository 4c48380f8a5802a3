"""The whole shelf surveyed: every part with its proposal or why it has none, and what lies dead."""

from collections.abc import Iterator
from datetime import date

from reconcile.plan.levels.dead_stock import dead_and_dear
from reconcile.plan.levels.proposals import propose
from reconcile.plan.levels.usage import weekly_usage
from reconcile.plan.levels.usage_checks import unlisted_use, use_to_come
from reconcile.values.days import WorkDays
from reconcile.values.problem import Problem
from reconcile.values.rules import LevelRules
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.week.levels import PartLevels, Survey, WeeklyUsage

NOT_USED, NOT_LISTED = "No use of it is recorded.", "Stock does not list it."


def survey(  # noqa: PLR0913, PLR0917  (stock, how it is looked at, and what was found when it was read)
    stock: Stock,
    today: date,
    days: WorkDays,
    rules: LevelRules,
    name: str = "",
    problems: tuple[Problem, ...] = (),
) -> Survey:
    """Levels for every part, and stock that is dead or dear. ``name`` is that of the stock workbook."""
    levels = tuple(every_part(stock, today, days, rules))
    found = (*problems, *use_to_come(stock, today), *unlisted_use(stock))
    return Survey(name, today, rules, levels, dead_and_dear(stock, today, levels), found)


def every_part(stock: Stock, today: date, days: WorkDays, rules: LevelRules) -> Iterator[PartLevels]:
    """No part is lost: also those that nobody used, and those used that stock does not list."""
    known = {each.part.number: each for each in propose(stock, today, days, rules)}
    for number, part in stock.parts.items():
        yield known.get(number) or PartLevels(part, WeeklyUsage(number, today, ()), why_none=NOT_USED)
    for usage in weekly_usage(stock.usage, today):
        if usage.part not in stock.parts:
            yield PartLevels(Part(usage.part, new=True), usage, why_none=NOT_LISTED)
