"""Shelf levels on the screen: the whole shelf, or one part with all that its proposal rests on.

80 columns, plain ASCII of our own; a part number is never shortened. The verdict comes first.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from typing import TypeVar

from reconcile.reports.writing.text import problem_lines, wrapped
from reconcile.reports.writing.wording import count_text, day_text, money_text
from reconcile.values.measure import percent, quantity_text
from reconcile.values.rules import measured
from reconcile.values.stock.parts import Part
from reconcile.values.week.levels import (
    Above,
    DeadAndDear,
    Idle,
    PartLevels,
    ServicePoint,
    SinglePoint,
    Survey,
    about,
)

Told = TypeVar("Told", Idle, Above, SinglePoint)

MOST_TOLD = 15
"""Parts of a kind that are told one by one; further ones are only named."""

HIGHER, LOWER, FRESH, SAME = (
    "Higher than on the sheet",
    "Lower than on the sheet",
    "Not on the sheet",
    "As on the sheet",
)
NOT_APPLIED = "Nothing is applied: only reconcile week --use-proposed-levels orders by them."


def change_of(levels: PartLevels) -> str:
    """HIGHER to SAME by the reorder point, then by order up to; "" where nothing is proposed."""
    part, point = levels.part, levels.proposed
    if point is None:
        return ""
    if part.reorder_point is None or part.order_up_to is None:
        return FRESH
    now, then = (part.reorder_point, part.order_up_to), (point.reorder_point, point.order_up_to)
    return SAME if now == then else HIGHER if then > now else LOWER


# --- the whole shelf ------------------------------------------------------------------------------


def levels_screen(found: Survey) -> str:
    sections = (
        opening(found),
        *(changed(found, kind) for kind in (HIGHER, LOWER, FRESH, SAME)),
        without(found),
        idle_lines(found.dead),
        above_lines(found.dead),
        single_lines(found.dead),
        use_problems(found),
    )
    return "\n\n".join("\n".join(section) for lines in sections if (section := list(lines)))


def levels_verdict(found: Survey) -> str:
    """How many parts have a proposal, and how many of those differ from the sheet, in one sentence."""
    proposed = [level for level in found.levels if level.proposed is not None]
    if not proposed:
        return f"No levels can be proposed for any of {count_text(len(found.levels), 'part')}."
    differ = sum(change_of(levels) in (HIGHER, LOWER) for levels in proposed)
    fresh = sum(change_of(levels) == FRESH for levels in proposed)
    return (
        f"Levels are proposed for {len(proposed)} of {count_text(len(found.levels), 'part')}:"
        f" {differ} unlike the sheet's, {fresh} where it has none."
    )


def opening(found: Survey) -> Iterator[str]:
    yield wrapped(levels_verdict(found))
    yield wrapped(
        f"Aim: {percent(float(found.rules.service))} {measured(found.rules.measure)}. {NOT_APPLIED}"
    )
    for currency, now, then, count in values_by_currency(found.levels):
        yield wrapped(
            f"Mean shelf of {count_text(count, 'part')} with levels on the sheet: {money_text(now)}"
            f" {currency} by those, {money_text(then)} {currency} by the proposed ones."
        )


def values_by_currency(levels: Iterable[PartLevels]) -> list[tuple[str, Decimal, Decimal, int]]:
    """Currency, mean shelf by the sheet's levels and by the proposed ones, and of how many parts.

    Of parts that have both and a price; the sums are of rounded estimates.
    """
    sums: dict[str, tuple[Decimal, Decimal, int]] = {}
    for level in levels:
        now, then = level.current, level.proposed
        if now is None or then is None or now.value is None or then.value is None:
            continue
        before, after, count = sums.get(level.part.currency, (Decimal(0), Decimal(0), 0))
        sums[level.part.currency] = before + now.value, after + then.value, count + 1
    return [(currency, *figures) for currency, figures in sums.items()]


def changed(found: Survey, kind: str) -> Iterator[str]:
    own = [level for level in found.levels if change_of(level) == kind]
    if own:
        yield f"{kind}: {count_text(len(own), 'part')}"
    for levels in own:
        yield from part_lines(levels)


def part_lines(levels: PartLevels) -> Iterator[str]:
    """``B14-250  order at 24, up to 150 (now 20, 146)``, then what it rests on."""
    part, point = levels.part, levels.proposed
    assert point is not None and levels.pattern is not None and levels.forecast is not None
    at, up_to = quantity_text(point.reorder_point), quantity_text(point.order_up_to)
    yield wrapped(f"{part.number}  order at {at}, up to {up_to} {part.unit}{now_text(levels)}", "  ", " " * 6)
    weeks = count_text((levels.lead_weeks or 0) + 1, "week")
    worth = "" if point.value is None else f", {money_text(point.value)} {part.currency}".rstrip()
    ending = "; its use may have ended" if levels.usage.idle_end else ""
    yield wrapped(
        f"{levels.pattern.kind}, {about(levels.forecast.per_week)} a week, {weeks} to cover:"
        f" {percent(point.cycle)} of cycles, {percent(point.fill)} of use,"
        f" {about(point.shelf)} on the shelf{worth}{ending}",
        " " * 6,
    )


def now_text(levels: PartLevels) -> str:
    """The sheet's levels and what they give, where it has both."""
    part, now = levels.part, levels.current
    if part.reorder_point is None or part.order_up_to is None:
        return ""
    gives = ""
    if now is not None:
        worth = "" if now.value is None else f", {money_text(now.value)} {part.currency}".rstrip()
        gives = f": {percent(now.cycle)} of cycles{worth}"
    return f" (now {quantity_text(part.reorder_point)}, {quantity_text(part.order_up_to)}{gives})"


def without(found: Survey) -> Iterator[str]:
    """Every part without a proposal, by the reason."""
    reasons: dict[str, list[str]] = {}
    for level in found.levels:
        if level.proposed is None:
            reasons.setdefault(level.why_none, []).append(level.part.number)
    if reasons:
        yield "No levels proposed"
    for reason, numbers in reasons.items():
        yield wrapped(f"{reason} {count_text(len(numbers), 'part')}:", "  ", " " * 6)
        yield wrapped(", ".join(numbers), " " * 6)


# --- dead and dear --------------------------------------------------------------------------------


def idle_lines(dead: DeadAndDear) -> Iterator[str]:
    if dead.covered_from is None:
        yield wrapped("Dead stock: no use is recorded, so nothing can be said of what does not move.")
        return
    begins = ""
    if dead.covered_from > dead.since:
        first = day_text(dead.covered_from)
        begins = f" The usage sheet begins on {first} only: before that a part may have moved."
    if not dead.idle:
        yield wrapped(f"All that lies there was used since {day_text(dead.since)}.{begins}")
        return
    yield wrapped(
        f"Lies there unused since {day_text(dead.since)}: {count_text(len(dead.idle), 'part')}"
        f"{total_text((idle.part, idle.value) for idle in dead.idle)}.{begins}"
    )
    yield from told(dead.idle, idle_text)


def idle_text(idle: Idle) -> str:
    used = "no use recorded" if idle.last_used is None else f"last used {day_text(idle.last_used)}"
    amount = f"{quantity_text(idle.part.on_hand)} {idle.part.unit}"
    return f"{idle.part.number}  {amount}{worth_text(idle.part, idle.value)}; {used}"


def above_lines(dead: DeadAndDear) -> Iterator[str]:
    if dead.above:
        total = total_text((above.part, above.value) for above in dead.above)
        yield wrapped(f"A pack or more above order up to: {count_text(len(dead.above), 'part')}{total}.")
        yield from told(dead.above, above_text)


def above_text(above: Above) -> str:
    amount = f"{quantity_text(above.excess)} {above.part.unit} too many"
    return f"{above.part.number}  {amount}{worth_text(above.part, above.value)}"


def single_lines(dead: DeadAndDear) -> Iterator[str]:
    if not dead.single_points:
        yield wrapped("No part with a long lead time is in nearly every job.")
        return
    yield wrapped("In nearly every job, from one supplier, with a long lead time: must not run out")
    yield from told(dead.single_points, single_text)


def single_text(single: SinglePoint) -> str:
    part = single.part
    lead = count_text(part.lead_time or 0, "working day")
    return f"{part.number}  in {single.jobs} of {count_text(single.of_jobs, 'job')}; {part.supplier}, {lead}"


def told(found: Sequence[Told], words: Callable[[Told], str]) -> Iterator[str]:
    """The first ones in full, and the numbers of all others."""
    for point in found[:MOST_TOLD]:
        yield wrapped(words(point), "  ", " " * 6)
    if more := found[MOST_TOLD:]:
        yield wrapped(
            f"and {len(more)} more: {', '.join(point.part.number for point in more)}", "  ", " " * 6
        )


def worth_text(part: Part, value: Decimal | None) -> str:
    return ", no price" if value is None else f", {money_text(value)} {part.currency}".rstrip()


def total_text(worths: Iterable[tuple[Part, Decimal | None]]) -> str:
    """``, worth 41.00 EUR and 7.00 CHF, 3 without a price``."""
    sums: dict[str, Decimal] = {}
    unpriced = 0
    for part, value in worths:
        if value is None:
            unpriced += 1
        else:
            sums[part.currency] = sums.get(part.currency, Decimal(0)) + value
    total = " and ".join(f"{money_text(value)} {currency}".rstrip() for currency, value in sums.items())
    return (f", worth {total}" if total else "") + (f", {unpriced} without a price" if unpriced else "")


def use_problems(found: Survey) -> Iterator[str]:
    """Faults of the usage sheet, on which all rests, in full; the others are counted."""
    own = [
        fault
        for fault in found.problems
        if "Usage" in (fault.place.sheet, fault.place.file.partition(".")[0])
    ]
    for problem in own:
        yield from problem_lines(problem)
    if more := len(found.problems) - len(own):
        yield wrapped(
            f"Faults and notices on other sheets of {found.stock}: {more}. reconcile week has them."
        )


# --- one part -------------------------------------------------------------------------------------


def part_screen(levels: PartLevels) -> str:
    sections = (part_opening(levels), service_lines(levels), reason_lines(levels), tried_lines(levels))
    return "\n\n".join("\n".join(section) for lines in sections if (section := list(lines)))


def part_opening(levels: PartLevels) -> Iterator[str]:
    part, point = levels.part, levels.proposed
    if point is None:
        yield wrapped(f"{part.number}: no levels can be proposed. {levels.why_none}")
        return
    at, up_to = quantity_text(point.reorder_point), quantity_text(point.order_up_to)
    yield wrapped(f"{part.number}: order at {at}, up to {up_to} {part.unit}. {change_of(levels)}.")
    if part.designation:
        yield wrapped(part.designation)
    free = quantity_text(part.on_hand - part.allocated)
    yield wrapped(f"Free on the shelf: {free} {part.unit}. {NOT_APPLIED}")


def service_lines(levels: PartLevels) -> Iterator[str]:
    """A row for each service with what it costs; the sheet's own levels last."""
    if not levels.table:
        return
    currency = f" ({levels.part.currency})" if levels.part.currency else ""
    yield f"What each service costs; shelf and value are means{currency}"
    yield figures("service", "order at", "up to", "cycles", "use", "shelf", "orders", "value", "a point")
    for row in levels.table:
        yield point_line("" if row.wanted is None else percent(float(row.wanted)), row)
    if levels.current is not None:
        yield point_line("now", levels.current)
    yield wrapped("orders: in a year. a point: more value for one more percent of service.")


def point_line(name: str, point: ServicePoint) -> str:
    return figures(
        name, quantity_text(point.reorder_point), quantity_text(point.order_up_to),
        share_text(point.cycle), share_text(point.fill), about(point.shelf), about(point.orders_a_year),
        "no price" if point.value is None else money_text(point.value),
        "" if point.per_point is None else money_text(point.per_point),
    )  # fmt: skip


def share_text(share: float) -> str:
    return percent(share).replace("over ", ">")


def figures(*cells: str) -> str:
    widths = (7, 9, 8, 8, 8, 7, 7, 10, 8)
    return "".join(f"{cell:>{width}}" for cell, width in zip(cells, widths, strict=True)).rstrip()


def reason_lines(levels: PartLevels) -> Iterator[str]:
    if levels.reasons:
        yield "Why"
        yield from (wrapped(reason, "  ") for reason in levels.reasons)


def tried_lines(levels: PartLevels) -> Iterator[str]:
    """Each method at its best, with what it missed by."""
    if levels.forecast is None or len(levels.forecast.tried) < 2:
        return
    yield "Methods of forecasting, each at its best: miss as a share of the mean"
    for tried in levels.forecast.tried:
        constants = str(tried.constant)
        if tried.chance_constant is not None:
            constants += f" and {tried.chance_constant}"
        taken = "  taken" if tried.method == levels.forecast.method else ""
        yield wrapped(f"{percent(tried.error):>8}  {tried.method} ({constants}){taken}", "  ")
    yield wrapped("One that misses a little more may be taken for being steadier.", "  ")
