"""The whole shelf surveyed: every part with its proposal or why it has none, and what lies dead."""

from collections.abc import Iterable, Iterator
from datetime import date

from reconcile.plan.levels.dead_stock import dead_and_dear
from reconcile.plan.levels.money.shelf import served
from reconcile.plan.levels.proposals import propose_all
from reconcile.plan.levels.usage import weekly_usage
from reconcile.plan.levels.usage_checks import (
    budget_below_safety_stock,
    kits_without_jobs,
    unlisted_use,
    use_to_come,
)
from reconcile.values.days import WorkDays
from reconcile.values.problem import Problem
from reconcile.values.rules import LevelRules
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.week.levels import PartLevels, Survey, WeeklyUsage

NOT_USED = "No use of it is recorded: it takes one week with use, and 13 weeks on record."
NOT_LISTED = "Stock does not list it."


def survey(  # noqa: PLR0913, PLR0917  (stock, how it is looked at, and what was found when it was read)
    stock: Stock,
    today: date,
    days: WorkDays,
    rules: LevelRules,
    name: str = "",
    problems: tuple[Problem, ...] = (),
) -> Survey:
    """Levels for every part, and stock that is dead or dear. ``name`` is that of the stock workbook."""
    proposals = propose_all(stock, today, days, rules)
    levels = tuple(every_part(stock, today, proposals.levels))
    found = (
        *problems,
        *use_to_come(stock, today),
        *unlisted_use(stock),
        *kits_without_jobs(stock, today, rules),
        *budget_below_safety_stock(stock, rules),
    )
    dead = dead_and_dear(stock, today, levels)
    return Survey(name, today, served(rules, stock.usage, today), levels, dead, found, proposals.trade)


def every_part(stock: Stock, today: date, proposed: Iterable[PartLevels]) -> Iterator[PartLevels]:
    """No part is lost: also those that nobody used, and those used that stock does not list."""
    known = {levels.part.number: levels for levels in proposed}
    for number, part in stock.parts.items():
        yield known.get(number) or PartLevels(part, WeeklyUsage(number, today, ()), why_none=NOT_USED)
    for usage in weekly_usage(stock.usage, today):
        if usage.part not in stock.parts:
            yield PartLevels(Part(usage.part, new=True), usage, why_none=NOT_LISTED)
