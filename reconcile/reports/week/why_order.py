"""Why an order line is as large as it is, and why its supplier's lines go out when they do."""

from collections.abc import Iterator
from fractions import Fraction

from reconcile.reports.writing.text import wrapped
from reconcile.reports.writing.wording import count_text, day_text, money_text
from reconcile.values.measure import decimal_text, quantity_text
from reconcile.values.rules import ALL_UNITS
from reconcile.values.trade_codes import rounded
from reconcile.values.week.buying import (
    Alternative,
    LotChoice,
    NextBreak,
    Offer,
    OrderLine,
    PlannedOrder,
    Round,
    RoundPlan,
    SupplierRounds,
)
from reconcile.values.week.results import PartResult, Week
from reconcile.values.words import fold


def amount(value: Fraction, currency: str) -> str:
    """``24.75``: money as it is paid, to the currency's smallest unit."""
    sign = "-" if value < 0 else ""
    return sign + money_text(rounded(abs(value), currency))


def price(value: Fraction) -> str:
    """``0.165``: a price with all its decimals; an average that has no end to four places."""
    return decimal_text(value) or f"{float(value):.4f}"


# --- one part -----------------------------------------------------------------------------------------------


def next_break_figure(result: PartResult) -> Iterator[str]:
    """``50 more would bring the price of all to 0.12: 200 cost 24.00, 150 cost 24.75``."""
    if result.next_break is not None:
        yield wrapped(break_text(result.next_break, result.part.currency), "  ", "    ")


def break_text(found: NextBreak, currency: str) -> str:
    whose = "of all" if found.kind == ALL_UNITS else "of each further one"
    there, here = amount(found.goods_there, currency), amount(found.goods, currency)
    return (
        f"{quantity_text(found.more)} more would bring the price {whose} to {price(found.unit_price)}:"
        f" {quantity_text(found.quantity)} cost {there}, {quantity_text(found.order)} cost {here}"
    )


def lot_figures(result: PartResult) -> Iterator[str]:
    """The horizon, each size looked at with its cost, and the plan that was taken."""
    lot, currency = result.lot, result.part.currency
    if lot is None:
        return
    yield wrapped(f"{horizon_text(lot)}; {offer_text(lot.offer, currency)}", "  ", "    ")
    for alternative in lot.alternatives:
        taken = ": taken" if alternative is lot.taken else ""
        yield wrapped(f"{alternative_text(alternative, currency)}{taken}", "    ", "      ")
    if lot.saving > 0:
        yield wrapped(f"saves {amount(lot.saving, currency)} against just enough", "    ")
    yield from plan_figures(lot, currency)


def horizon_text(lot: LotChoice) -> str:
    weeks = count_text(len(lot.required), "week")
    if len(lot.required) == 1:
        return f"costs of {weeks}"
    use = quantity_text(round(lot.weekly_use, 2)) if lot.weekly_use else "nothing"
    least = quantity_text(round(lot.required[-1], 2))
    return f"costs over {weeks}, each later one taken to use {use}: {least} to be bought by then"


def offer_text(offer: Offer, currency: str) -> str:
    steps = [
        f"{price(step.price)} from {quantity_text(step.from_quantity)}" if number else price(step.price)
        for number, step in enumerate(offer.steps)
    ]
    kind = f" ({offer.kind})" if len(steps) > 1 else ""
    placing = f"; placing an order {amount(offer.order_cost, currency)}" if offer.order_cost else ""
    return f"price {', '.join(steps)}{kind}{placing}"


def alternative_text(alternative: Alternative, currency: str) -> str:
    """``200 at 0.12: goods 24.00, in all 25.10 over the horizon (at a price break)``."""
    goods, total = amount(alternative.goods, currency), amount(alternative.total, currency)
    return (
        f"{quantity_text(alternative.quantity)} at {price(alternative.unit_price)}: goods {goods},"
        f" in all {total} ({', '.join(alternative.why)})"
    )


def plan_figures(lot: LotChoice, currency: str) -> Iterator[str]:
    plan = lot.taken.plan
    yield wrapped(
        f"of it goods {amount(plan.goods, currency)}, placing orders {amount(plan.ordering, currency)},"
        f" keeping stock {amount(plan.holding, currency)}; {quantity_text(round(plan.left, 2))} left at the"
        " end count for nothing",
        "    ",
        "      ",
    )
    later = [later_text(order) for order in plan.orders if order.period]
    if later:
        yield wrapped(f"then {', '.join(later)}", "    ", "      ")
    if not plan.proven:
        yield wrapped(f"not proven: a plan may be {amount(plan.gap, currency)} cheaper", "    ")


def later_text(order: PlannedOrder) -> str:
    return f"{quantity_text(order.quantity)} for week {order.period + 1}"


# --- its supplier -------------------------------------------------------------------------------------------


def rounds_figures(result: PartResult, week: Week) -> Iterator[str]:
    """The supplier's lines over the weekly rounds: what was looked at, what it costs, what to order when."""
    own = [rounds for rounds in week.rounds if fold(rounds.supplier) == fold(result.part.supplier)]
    if not result.order or not own:
        return
    yield ""
    for rounds in own:
        yield from supplier_figures(rounds)


def supplier_figures(rounds: SupplierRounds) -> Iterator[str]:
    choice, currency = rounds.choice, rounds.currency
    yield wrapped(f"Orders to {rounds.supplier} as a whole, beside the goods ({currency})", "  ")
    shown: list[tuple[Round, ...]] = []
    for plan in choice.alternatives:
        if plan.rounds not in shown:
            shown.append(plan.rounds)
            taken = ": taken" if plan.rounds == choice.taken.rounds else ""
            yield wrapped(f"{plan.why}: {plan_text(plan, currency)}{taken}", "    ", "      ")
    for order_round in choice.taken.rounds:
        yield wrapped(round_text(order_round, rounds), "    ", "      ")
    if choice.taken.gap:
        yield wrapped(f"not proven: {amount(choice.taken.gap, currency)} more might be saved", "    ")
    if rounds.unpriced:
        yield wrapped(f"not counted, for they have no price: {', '.join(rounds.unpriced)}", "    ", "      ")


def plan_text(plan: RoundPlan, currency: str) -> str:
    below = plan.below_minimum
    missed = f", {amount(below, currency)} below the minimum" if below else ""
    return f"{count_text(len(plan.rounds), 'order')}, {amount(plan.cost, currency)}{missed}"


def round_text(order_round: Round, rounds: SupplierRounds) -> str:
    """``Fri 2026-11-27: B6-45, SP-050 (could wait); goods 41.00, delivery 9.00``."""
    currency = rounds.currency
    lines = ", ".join(line_text(line, order_round) for line in order_round.lines)
    costs = [f"goods {amount(order_round.goods, currency)}"]
    if rounds.choice.terms.charge:
        costs.append(
            f"delivery {amount(order_round.charge, currency)}" if order_round.charge else "delivery free"
        )
    if order_round.holding:
        costs.append(f"keeping what is early {amount(order_round.holding, currency)}")
    if order_round.below_minimum:
        costs.append(f"{amount(order_round.below_minimum, currency)} below the minimum")
    return f"{day_text(rounds.days[order_round.period])}: {lines}; {', '.join(costs)}"


def line_text(line: OrderLine, order_round: Round) -> str:
    return f"{line.part} (could wait)" if line.latest > order_round.period else line.part
