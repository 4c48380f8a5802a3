"""A proposal of shelf levels in words: what it rests on and what it gives."""

from collections.abc import Iterator
from fractions import Fraction

from reconcile.plan.levels.record import MEMORY as MEMORY_WEEKS
from reconcile.values.measure import percent, quantity_text
from reconcile.values.rules import LevelRules, measured
from reconcile.values.week.levels import Forecast, PartLevels, ServicePoint, WeekLaw, about

FEW_USES = 10
"""Weeks with use below which the kin's share in a part's law is worth a word: common practice, no source."""


def reasons_for(levels: PartLevels, rules: LevelRules) -> tuple[str, ...]:
    """One plain sentence each; nothing for a part without a proposal."""
    if levels.proposed is None:
        return ()
    return (
        *_look(levels),
        *_use(levels),
        *_forecast(levels),
        *_kin(levels),
        *_lead_time(levels),
        *_levels(levels, rules),
        *_steps(levels),
        *_now(levels),
    )


def _look(levels: PartLevels) -> Iterator[str]:
    if levels.look and levels.proposed is not None:
        yield (
            f"Look at this: order at {quantity_text(levels.proposed.reorder_point)} is more than three times "
            f"the {quantity_text(levels.greatest_need)} {levels.part.unit} that any lead time and week of "
            f"the record used, as {_why_so_much(levels)}. It is not ordered by unless it is named."
        )


def _why_so_much(levels: PartLevels) -> str:
    uses, weeks = levels.usage.uses, len(levels.usage.weeks)
    if uses < FEW_USES:
        times = "time" if uses == 1 else "times"
        return f"{uses} {times} in {weeks} weeks leave open how often and in which sizes it will be used"
    return "the service asked for is high and uses may come together"


def _use(levels: PartLevels) -> Iterator[str]:
    usage, pattern = levels.usage, levels.pattern
    assert pattern is not None
    unit = levels.part.unit
    uses = usage.uses
    mean = float(usage.total) / uses
    yield (
        f"Used in {uses} of {len(usage.weeks)} weeks, {about(mean)} {unit} at a time: {pattern.kind} "
        f"(interval {about(float(pattern.interval))} weeks, variability {about(float(pattern.variability))})."
    )
    if usage.left_out:
        weeks = f"the first {usage.left_out} weeks of the sheet"
        yield f"Taken for new: it was not used in {weeks}, which do not count."
    if usage.idle_end:
        yield "It has not been used for so long that its use may have ended: look before you buy."


def _forecast(levels: PartLevels) -> Iterator[str]:
    forecast: Forecast | None = levels.forecast
    assert forecast is not None
    rate = f"{about(forecast.per_week)} {levels.part.unit} a week"
    yield (
        f"Forecast: {rate} by its record, in which a week counts the less the longer it is past "
        f"(a week of {MEMORY_WEEKS} weeks ago, 37 %)."
    )
    second = forecast.second
    if second is None:
        return
    constants = str(second.constant)
    if second.chance_constant is not None:
        constants += f" and {second.chance_constant}"
    weeks = "1 week" if forecast.horizon == 1 else f"{forecast.horizon} weeks"
    tests = f"the last {forecast.origins} spans of {weeks}"
    yield (
        f"How sure: when {tests} were foretold in turn, it missed by {percent(forecast.error)} of the mean; "
        f"the best published method, {second.method} ({constants}), by {percent(second.error)}, and would "
        f"foretell {about(second.per_week)} a week."
    )


def _kin(levels: PartLevels) -> Iterator[str]:
    if levels.kin and levels.usage.uses < FEW_USES:
        yield f"With so few uses, {levels.kin} tell too how often and in which sizes such parts are used."


def _lead_time(levels: PartLevels) -> Iterator[str]:
    law: WeekLaw | None = levels.law
    assert law is not None and levels.lead_weeks is not None
    weeks = levels.lead_weeks + 1
    use = about(weeks * law.mean * float(law.lot))
    span = "the week until the next look" if weeks == 1 else f"{weeks} weeks, lead time and a week's look"
    yield f"To be covered: {span}, with {use} {levels.part.unit} on average."


def _levels(levels: PartLevels, rules: LevelRules) -> Iterator[str]:
    point = levels.proposed
    assert point is not None
    if not point.order_up_to:
        yield "Keep none: it is bought when it is needed. The money serves more elsewhere."
        return
    yield (
        f"Order at {quantity_text(point.reorder_point)}, up to {quantity_text(point.order_up_to)}, for "
        f"{_aim(levels, rules)}: that gives {_gives(point, levels)}."
    )
    if levels.part.pack > 1:
        yield f"Whole packs of {quantity_text(levels.part.pack)} may lift it above that by almost a pack."


def _aim(levels: PartLevels, rules: LevelRules) -> str:
    if not rules.together:
        return f"{percent(float(rules.service))} {measured(rules.measure)}"
    if levels.alone:
        return f"{percent(float(rules.service))} of its own use met at once"
    if rules.budget is not None:
        return f"as much as {money_of(rules.budget)} serve on all parts together"
    return f"{percent(float(rules.service))} {measured(rules.aim)}, all parts together"


def money_of(amount: Fraction) -> str:
    return f"{float(amount):.2f}"


def _steps(levels: PartLevels) -> Iterator[str]:
    """What one more or one less would change."""
    own, more, fewer = levels.proposed, levels.more, levels.fewer
    assert own is not None
    if fewer is not None:
        yield f"One less to order at, {quantity_text(fewer.reorder_point)}: {_change(fewer, levels)}."
    if more is not None:
        yield f"One more, {quantity_text(more.reorder_point)}: {_change(more, levels)}."


def _change(other: ServicePoint, levels: PartLevels) -> str:
    own = levels.proposed
    assert own is not None
    gives = f"{percent(other.cycle)} of cycles and {percent(other.fill)} of use"
    if other.value is None or own.value is None:
        return gives
    apart = other.value - own.value
    words = "more" if apart >= 0 else "less"
    return f"{gives}, for {abs(apart)} {levels.part.currency} {words}".replace("  ", " ")


def _now(levels: PartLevels) -> Iterator[str]:
    now = levels.current
    if now is None:
        kept = levels.part.order_up_to is not None and levels.part.reorder_point is not None
        yield "Now: none is kept on the shelf." if kept else "Stock gives no levels for it now."
        return
    yield (
        f"Now: order at {quantity_text(now.reorder_point)}, up to {quantity_text(now.order_up_to)}, "
        f"which gives {_gives(now, levels)}."
    )


def _gives(point: ServicePoint, levels: PartLevels) -> str:
    value = "" if point.value is None else f", worth {point.value} {levels.part.currency}".rstrip()
    return (
        f"{percent(point.cycle)} of cycles, {percent(point.fill)} of use, and {about(point.shelf)} "
        f"{levels.part.unit} on the shelf on average{value}"
    )
