"""What is odd about recorded use. All are notices."""

from collections.abc import Iterator
from datetime import date

from reconcile.values.problem import Problem, problem
from reconcile.values.stock.parts import Stock
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
