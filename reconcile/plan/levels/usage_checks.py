"""What is odd about recorded use, and about what is asked of it. All are notices."""

from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction

from reconcile.plan.levels.money.shelf import YEAR
from reconcile.values.measure import quantity_text
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.rules import KITS, LevelRules
from reconcile.values.stock.parts import Stock
from reconcile.values.week.levels import PartLevels
from reconcile.values.words import nearest


def use_to_come(stock: Stock, today: date) -> Iterator[Problem]:
    for use in stock.usage:
        if use.day > today:
            says = f"{use.part} is said to have been used on {use.day}, after today."
            yield problem("usage-to-come", use.place.cell("date"), says, found=use.day.isoformat())


def unlisted_use(stock: Stock) -> Iterator[Problem]:
    """One problem for each part that is used and not listed, at its first row."""
    first = {use.part: use for use in reversed(stock.usage) if use.part not in stock.parts}
    for number in dict.fromkeys(use.part for use in stock.usage if use.part in first):
        like = nearest(number, stock.parts)
        says = f"Stock does not list {number}, which is said to have been used."
        says += f" Nearest: {', '.join(like)}." if like else ""
        yield problem("usage-part-unknown", first[number].place.cell("part"), says, found=number)


def kits_without_jobs(stock: Stock, today: date, rules: LevelRules) -> Iterator[Problem]:
    if rules.aim != KITS or any(use.job and today - YEAR <= use.day < today for use in stock.usage):
        return
    says = "Levels are to serve whole kits, but no use of the last year names the job it was for."
    yield problem("usage-without-jobs", Place("reconcile.toml", "", "levels.measure"), says, found=KITS)


def budget_below_safety_stock(stock: Stock, rules: LevelRules) -> Iterator[Problem]:
    """Safety stock counts at its price, in whatever currency that is: the sum is told, not spent."""
    if rules.budget is None:
        return
    worth = sum(
        (part.safety_stock * Fraction(part.price) for part in stock.parts.values() if part.price is not None),
        Fraction(0),
    )
    if worth > rules.budget:
        says = (
            f"A budget of {float(rules.budget):.2f} is less than the safety stock on the sheet, which alone "
            f"is worth {float(worth):.2f}."
        )
        place = Place("reconcile.toml", "", "levels.budget")
        yield problem("levels-budget", place, says, found=quantity_text(rules.budget))


def levels_to_look_at(levels: Iterable[PartLevels], named: Iterable[str] = ()) -> Iterator[Problem]:
    """One for each proposal that is not ordered by unless its part is named, and is not."""
    even = set(named)
    for level in levels:
        if level.look and level.proposed is not None and level.part.number not in even:
            says = (
                f"{level.part.number} is proposed to be ordered at "
                f"{quantity_text(level.proposed.reorder_point)} {level.part.unit}, and no lead time of the "
                f"record used more than {quantity_text(level.greatest_need)}."
            )
            where = level.part.bins[0].place.cell("reorder point") if level.part.bins else Place("")
            yield problem("level-to-look-at", where, says, found=level.part.number)
