"""A proposal of shelf levels in words: what it rests on and what it gives."""

from collections.abc import Iterator

from reconcile.values.measure import percent, quantity_text
from reconcile.values.rules import LevelRules, measured
from reconcile.values.week.levels import (
    NEGATIVE_BINOMIAL,
    OWN_SIZES,
    POISSON,
    Forecast,
    PartLevels,
    ServicePoint,
    WeekLaw,
    about,
)

LAWS = {
    POISSON: "as single uses that come by chance (Poisson)",
    NEGATIVE_BINOMIAL: "wider than single uses by chance would give (negative binomial)",
    OWN_SIZES: "as in its own weeks with use, which come by chance at the forecast's rate",
}


def reasons_for(levels: PartLevels, rules: LevelRules) -> tuple[str, ...]:
    """One plain sentence each; nothing for a part without a proposal."""
    if levels.proposed is None:
        return ()
    return (
        *_use(levels),
        *_forecast(levels),
        *_lead_time(levels),
        *_levels(levels, rules),
        *_now(levels),
    )


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
    constants = str(forecast.constant)
    if forecast.chance_constant is not None:
        constants += f" and {forecast.chance_constant}"
    weeks = "1 week" if forecast.horizon == 1 else f"{forecast.horizon} weeks"
    rate = f"{about(forecast.per_week)} {levels.part.unit} a week"
    tests = f"the last {forecast.origins} spans of {weeks}"
    yield (
        f"Forecast: {rate} by {forecast.method} ({constants}), which missed least when {tests} were foretold "
        f"in turn: by {percent(forecast.error)} of the mean."
    )


def _lead_time(levels: PartLevels) -> Iterator[str]:
    law: WeekLaw | None = levels.law
    assert law is not None and levels.lead_weeks is not None
    weeks = levels.lead_weeks + 1
    use = about(weeks * law.mean * float(law.lot))
    span = "the week until the next look" if weeks == 1 else f"{weeks} weeks, lead time and a week's look"
    yield f"To be covered: {span}, with {use} {levels.part.unit} on average, spread {LAWS[law.kind]}."


def _levels(levels: PartLevels, rules: LevelRules) -> Iterator[str]:
    point = levels.proposed
    assert point is not None
    yield (
        f"Order at {quantity_text(point.reorder_point)}, up to {quantity_text(point.order_up_to)}, for "
        f"{percent(float(rules.service))} {measured(rules.measure)}: that gives {_gives(point, levels)}."
    )
    if levels.part.pack > 1:
        yield f"Whole packs of {quantity_text(levels.part.pack)} may lift it above that by almost a pack."


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
