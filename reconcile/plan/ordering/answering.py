"""A supplier's answer held against what was placed, line by line: what it makes of each. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from reconcile.plan.ordering.standing import Lines, Matcher, with_events
from reconcile.values.ledger.orders import ANSWERED, OrderEvent
from reconcile.values.measure import quantity_text
from reconcile.values.orders.answers import (
    ACCEPTED,
    CHANGED,
    REFUSED,
    AnsweredLine,
    AnswerLine,
    AnswerRead,
)
from reconcile.values.orders.lines import ZERO, OrderKey, OrderLine
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.words import fold


@dataclass(slots=True)
class Answering:
    """An answer while its lines are matched; any problem forbids all of it."""

    lines: Lines
    stock: Stock
    buyer: str
    today: date
    who: str
    answered: list[AnsweredLine] = field(default_factory=list)
    events: list[OrderEvent] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    _seen: set[object] = field(default_factory=set)

    def hold(self, answer: AnswerRead) -> None:
        """Matches every line. Problems: answer-other-buyer, answer-not-placed, order-line-doubled,
        answer-unit, answer-currency, answer-below-received, order-date-past.
        """
        if answer.buyer and self.buyer and fold(answer.buyer) != fold(self.buyer):
            says = f"{answer.file} is addressed to {answer.buyer}, not to {self.buyer}."
            place = Place(answer.file, "BuyerCustomerParty")
            self.problems.append(problem("answer-other-buyer", place, says, found=answer.buyer))
            return
        for each in answer.lines:
            self._line(each)
        for order, place in (*answer.whole, *answer.refused):
            self._whole(order, place, (order, place) in answer.refused)

    def _whole(self, order: str, place: Place, refused: bool) -> None:
        open_lines = [line for line in self._of(order) if line.to_come]
        if not open_lines:
            self._not_placed(AnswerLine(order, place=place))
        for line in open_lines:
            self._line(AnswerLine(line.order, line.line, line.part, refused=refused, place=place))

    def _line(self, each: AnswerLine) -> None:
        line = self._match(each)
        if line is None:
            return
        if line.key in self._seen:
            says = f"{each.order}, line {line.line or line.part}, is answered twice."
            self.problems.append(
                problem("order-line-doubled", each.place, says, found=line.line or line.part)
            )
            return
        self._seen.add(line.key)
        quantity = self._quantity(each, line)
        if wrong := list(self._wrong(each, line, quantity)):
            self.problems += wrong
            return
        event = OrderEvent(
            line.order, line.line, ANSWERED, self.today, self.who, line.part, line.unit, quantity,
            each.due, each.price, each.currency if each.price is not None else "", reason=each.note,
            source=str(each.place),
        )  # fmt: skip
        self.events.append(event)
        after = with_events({line.key: line}, [event])[line.key]
        how = REFUSED if quantity is not None and after.to_come <= 0 < line.to_come else CHANGED
        same = (after.to_come, after.due, after.price) == (line.to_come, line.due, line.price)
        self.answered.append(AnsweredLine(line, after, ACCEPTED if same else how, each.place, each.note))

    def _of(self, order: str) -> list[OrderLine]:
        return [line for key, line in self.lines.items() if key.order == fold(order)]

    def _match(self, each: AnswerLine) -> OrderLine | None:
        """The line by our part, else by its number, else by the supplier's part; open ones before others."""
        known, own = self._of(each.order), fold(each.supplier_part)
        tests = (
            lambda line: bool(each.part) and line.part == each.part,
            lambda line: bool(each.line) and fold(line.line) == fold(each.line),
            lambda line: bool(own) and fold(self._part(line).supplier_part) == own,
        )  # fmt: skip
        for test in tests:
            found = [line for line in known if test(line)]
            if len(found) > 1 and each.line:
                found = [line for line in found if fold(line.line) == fold(each.line)] or found
            if found:
                return max(found, key=lambda line: line.to_come > 0)
        self._not_placed(each)
        return None

    def _part(self, line: OrderLine) -> Part:
        return self.stock.parts.get(line.part) or Part(line.part, line.unit)

    def _not_placed(self, each: AnswerLine) -> None:
        named = each.line or each.part or each.supplier_part
        what = f"line {named} of {each.order}" if named and self._of(each.order) else each.order
        says = f"The answer is about {what}, which is not on order."
        self.problems.append(problem("answer-not-placed", each.place, says, found=each.order))

    def _quantity(self, each: AnswerLine, line: OrderLine) -> Fraction | None:
        """Of the whole line; refused: what has come of it already and is not to be replaced."""
        if each.refused or each.quantity == 0:
            return line.received - line.replaced
        return each.quantity

    def _wrong(self, each: AnswerLine, line: OrderLine, quantity: Fraction | None) -> Iterator[Problem]:
        if each.unit and each.unit != line.unit:
            says = f"{line.part} is ordered in {line.unit}; the answer counts in {each.unit}."
            yield problem("answer-unit", each.place, says, found=each.unit)
        currency = line.currency or self._part(line).currency
        if each.price is not None and each.currency and currency and each.currency != currency:
            says = f"{line.part} was ordered in {currency}; the answer's price is in {each.currency}."
            yield problem("answer-currency", each.place, says, found=each.currency)
        least = line.received - line.replaced
        if quantity is not None and quantity < least:
            says = (
                f"The answer has {quantity_text(quantity)} of {line.part} in all;"
                f" {quantity_text(least)} came already."
            )
            yield problem("answer-below-received", each.place, says, found=quantity_text(quantity))
        if each.due is not None and each.due < self.today:
            says = f"{line.part} is promised for {each.due}; today is {self.today}."
            yield problem("order-date-past", each.place, says, found=str(each.due))


def with_answers(stock: Stock, answered: Sequence[AnsweredLine], lines: Lines) -> Stock:
    """The stock as its sheet will say it once the answer is booked."""
    matcher, due = Matcher(lines), list(stock.due)
    own: dict[OrderKey, list[int]] = {}
    for number, row in enumerate(due):
        own.setdefault(matcher.of(row), []).append(number)
    for each in answered:
        off = each.before.to_come - each.after.to_come
        for number in (rows := own.get(each.before.key, [])):
            row = due[number]
            taken = off if number == rows[-1] else min(row.quantity, max(off, ZERO))
            off -= taken
            day = each.after.due or row.day
            due[number] = replace(row, quantity=row.quantity - taken, day=day, said=None)
    return replace(stock, due=tuple(row for row in due if row.quantity > 0))
