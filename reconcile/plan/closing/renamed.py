"""Parts that seem to have got another number: what lies in a bin as another part did by the ledger."""

from collections.abc import Iterator

from reconcile.values.measure import quantity_text
from reconcile.values.problem import Problem, problem
from reconcile.values.stock.movements import Balances
from reconcile.values.stock.parts import Stock
from reconcile.values.words import fold


def renamed(stock: Stock, balances: Balances) -> Iterator[Problem]:
    """A question for each bin where a part that the ledger never heard of lies in the very quantity of a part
    that the sheet has no more. Bins without a name tell nothing.
    """
    known = {part for part, _ in balances}
    gone = {
        (fold(name), quantity): part
        for (part, name), quantity in balances.items()
        if quantity and name and part not in stock.parts and part not in stock.aside
    }
    if not gone:
        return
    for part in stock.parts.values():
        for place in part.bins if part.number not in known else ():
            if (before := gone.get((fold(place.name), place.on_hand))) is not None:
                amount = f"{quantity_text(place.on_hand)} {part.unit}"
                says = (
                    f"{part.number} lies in bin {place.name}, {amount}, as {before} does by the ledger, which"
                    f" the sheet has no more: is it {before} under another number?"
                )
                yield problem("part-renamed", place.place.cell("part"), says, found=part.number)
