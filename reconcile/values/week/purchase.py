"""What is ordered from whom: an order for each supplier and currency, with its totals and its faults."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from reconcile.values.problem import Problem
from reconcile.values.stock.parts import Part, Supplier
from reconcile.values.trade_codes import rounded
from reconcile.values.week.results import PartResult

NO_SUPPLIER = "No supplier named"


@dataclass(frozen=True)
class SupplierOrder:
    """The lines for one supplier in one currency: late first, then by the day they are required.

    Each line's amount is rounded to the currency's smallest unit, half up, and the total is the sum of
    the rounded amounts and the charge. So a column that is added up by hand gives the total printed.
    """

    supplier: Supplier | None
    lines: tuple[PartResult, ...]
    reference: str = ""
    """Period and supplier, ``2026-W49-NORTH``; "" where no supplier is named, for then nobody gets it."""
    currency: str = ""
    """ISO 4217; "" where no line has a price and the settings name none."""
    split: bool = False
    """The supplier has another order, in another currency."""
    faults: tuple[Problem, ...] = ()
    """Why the order cannot go out as a file: every line that a reader could not tell or count."""

    @property
    def name(self) -> str:
        return NO_SUPPLIER if self.supplier is None else self.supplier.name or self.supplier.code

    @property
    def terms(self) -> Supplier:
        """The supplier with minimum, charge and address; one without any where none is named."""
        return self.supplier or Supplier("")

    @property
    def late(self) -> int:
        return sum(line.late and bool(line.at_risk) for line in self.lines)

    @cached_property
    def unpriced(self) -> int:
        return sum(line.line_total is None for line in self.lines)

    @property
    def delivery_by(self) -> date | None:
        """The first day on which a line is required."""
        return min((line.required_by for line in self.lines if line.required_by), default=None)

    @cached_property
    def goods(self) -> Decimal | None:
        """The sum of the lines that have a price; None where none has."""
        amounts = [line.line_total for line in self.lines if line.line_total is not None]
        return rounded(sum(map(Fraction, amounts), Fraction(0)), self.currency) if amounts else None

    @property
    def totals(self) -> dict[str, Decimal]:
        """The goods by currency: at most one entry."""
        return {} if self.goods is None else {self.currency: self.goods}

    @property
    def comparable(self) -> Decimal | None:
        """The goods, where they can be set against the supplier's terms: those are in one currency."""
        return None if self.split else self.goods

    @property
    def minimum_reached(self) -> bool | None:
        """Whether the supplier's minimum order value is reached; None where that is not known."""
        return self._reaches(self.terms.minimum_order_value or Decimal(0))

    @property
    def charged(self) -> bool | None:
        """Whether the supplier charges for delivery; None where that is not known."""
        if not self.terms.delivery_charge:
            return False
        if self.terms.free_delivery_from is None:
            return None if self.split else True
        free = self._reaches(self.terms.free_delivery_from)
        return None if free is None else not free

    @property
    def charge(self) -> Decimal | None:
        """The delivery charge where it is known to be charged, and in which currency."""
        charge = self.terms.delivery_charge
        return rounded(charge, self.currency) if charge and self.charged and self.currency else None

    @property
    def total(self) -> Decimal | None:
        """Goods and delivery charge; None where no line has a price."""
        if self.goods is None:
            return None
        return rounded(Fraction(self.goods) + Fraction(self.charge or 0), self.currency)

    def _reaches(self, value: Decimal) -> bool | None:
        """None where a missing price could yet make the difference."""
        if self.comparable is None:
            return None
        if self.comparable >= value:
            return True
        return None if self.unpriced else False


def item_name(part: Part) -> str:
    """What a part is ordered by: its designation word for word, else its description, else its number."""
    return part.designation or part.number
