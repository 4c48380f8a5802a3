"""Parts and a part: found by number, words, bin or a scanned code; its shelf by day, its card, its levels."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from markupsafe import Markup
from starlette.responses import RedirectResponse, Response

from reconcile.page.asked import Asked, call_unusable
from reconcile.page.shown import link, page, planned
from reconcile.page.views.spoken import bold_first
from reconcile.reports.week.picture_facts import low_parts
from reconcile.reports.week.pictures import shelf_svg
from reconcile.reports.week.why import why_text
from reconcile.reports.writing.wording import amount_text, count_text, day_text
from reconcile.values.problem import Unusable
from reconcile.values.stock.movements import Entry
from reconcile.values.stock.parts import Part
from reconcile.values.week.explained import Explained
from reconcile.values.week.results import PartResult, ShelfDay, Taking, Week
from reconcile.values.words import fold, nearest
from reconcile.work.questions.looking_up import card_there, parts_found

MOST_ROWS, MOST_DAYS, MOST_ENTRIES = 200, 12, 40


@dataclass(frozen=True, slots=True)
class ShelfLine:
    """A day of a part: what comes and goes, and by whom."""

    day: ShelfDay
    takings: tuple[Taking, ...]


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part in a list."""

    part: Part
    shortfall: Fraction
    first_short: date | None


def parts(asked: Asked) -> Response:
    """What runs short or low; or what a search finds. One that is named exactly is opened at once."""
    week, words = planned(asked), asked.typed("q")
    known = {result.part.number: result for result in week.parts}
    if words:
        found = parts_found(words, week.stock)
        exact = [part for part in found if fold(part.number) == fold(words)]
        if len(exact) == 1:
            return RedirectResponse(link("/part", n=exact[0].number), 303)
    else:
        found = [low.part for low in low_parts(week)]
    lines = [line_of(part, known.get(part.number)) for part in found[:MOST_ROWS]]
    return page(asked, "parts.html", "parts", {
        "lines": lines, "more": len(found) - len(lines), "words": words,
        "verdict": bold_first(parts_verdict(week)), "unknown": [*known.keys() - week.stock.parts.keys()],
    })  # fmt: skip


def line_of(part: Part, result: PartResult | None) -> PartLine:
    if result is None:
        return PartLine(part, Fraction(0), None)
    return PartLine(part, result.shortfall, result.first_short)


def parts_verdict(week: Week) -> str:
    short = [result for result in week.parts if result.shortfall > 0]
    if not short:
        return f"No part is short: {count_text(len(week.stock.parts), 'part')} on the sheet."
    many = count_text(len(short), "part")
    does = "is" if len(short) == 1 else "are"
    return f"{many} {does} short: if every job is to be done on its day."


def part(asked: Asked) -> Response:
    """One part. Raises Unusable (call-unusable) for one that is neither on the sheet nor wanted."""
    number, week = asked.typed("n"), planned(asked)
    result = next((result for result in week.parts if result.part.number == number), None)
    known = result.part if result else week.stock.parts.get(number)
    if known is None:
        like = ", ".join(nearest(number, week.stock.parts))
        says = f"There is no part {number!r}." + (f" Nearest: {like}." if like else "")
        raise Unusable(call_unusable("part", says))
    made = asked.shown.made
    taken = asked.desk.plan.takers(made)(number) if made and result else ()
    days = (*result.days, *result.later) if result else ()
    return page(asked, "part.html", "parts", {
        "part": known, "result": result, "week": week, "verdict": bold_first(part_verdict(known, result)),
        "picture": picture(result, week), "days": shelf_lines(days, taken),
        "orders": [line for line in week.open_orders.lines if line.part == number],
        "entries": entries_of(number, asked)[:MOST_ENTRIES], "most_days": MOST_DAYS,
        "breaks": [price_break for price_break in week.stock.breaks if price_break.part == number],
        "why": why_text(Explained(week, part=result, takings=taken)) if result else "",
    })  # fmt: skip


def part_verdict(known: Part, result: PartResult | None) -> str:
    if result is None:
        return f"Nothing takes {known.number}: no job that counts needs it, and none is to be ordered."
    order = f" Order {amount_text(result.order, known.unit)}." if result.order else ""
    if result.first_short is None:
        return f"Enough for every job: {amount_text(result.end, known.unit)} left at the end.{order}"
    lacks = amount_text(result.shortfall, known.unit)
    return f"Short from {day_text(result.first_short)}: {lacks} lack if every job is done on its day.{order}"


def picture(result: PartResult | None, week: Week) -> Markup | None:
    days = [shelf_day.day for shelf_day in result.days] if result else []
    if result is None or not days:
        return None
    worked = {day for day in _period(week) if week.settings.days.worked(day)}
    return Markup(shelf_svg(result, sorted({*worked, *days}), "shelf-by-day"))


def _period(week: Week) -> list[date]:
    span = (week.period.last - week.period.first).days
    return [date.fromordinal(week.period.first.toordinal() + number) for number in range(min(span, 60) + 1)]


def shelf_lines(days: tuple[ShelfDay, ...], taken: tuple[Taking, ...]) -> list[ShelfLine]:
    return [ShelfLine(day, tuple(taking for taking in taken if taking.day == day.day)) for day in days]


def entries_of(number: str, asked: Asked) -> list[Entry]:
    """The part's card, latest first; nothing where there is no ledger, or nothing of it in there."""
    with suppress(Unusable):
        return list(reversed(card_there(number, asked.desk.asking)))
    return []
