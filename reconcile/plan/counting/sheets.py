"""What to count in a week: classes by yearly value, turns spread over a year, and what cannot wait.

A cycle is a year of ISO weeks, of which those with a working day count. Everything here follows from the
stock, the settings and the week alone: the same inputs give the same sheet.
"""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction

from reconcile.values.days import ONE_DAY, WorkDays
from reconcile.values.measure import quantity_text
from reconcile.values.rules import CLASSES, Counting
from reconcile.values.stock.counting import (
    NEGATIVE,
    OVER_ALLOCATED,
    OVERDUE,
    SHORT_JOB,
    TURN,
    UNLIKELY,
    USAGE_DAYS,
    ZERO,
    CountLine,
    CountSheet,
    LineKey,
    PartClass,
    Pick,
    Reason,
    SheetMark,
)
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.week.picks import PartPick
from reconcile.values.week.results import SHORT, JobResult
from reconcile.values.words import natural

FAR_ABOVE = 2
"""Times the order-up-to level above which a part that nobody uses is unlikely (a choice of ours)."""

LATE_BY = 2
"""Weeks by which a part may be counted later than its turn before it is put first: classes change, and a
new part moves the turns of those after it (a choice of ours)."""

NO_KITS: Mapping[LineKey, Fraction] = {}
COUNTED_WHOLE = ("each", "pair", "set")
MOST_JOBS_NAMED = 3


# --- classes --------------------------------------------------------------------------------------------


def classes(stock: Stock, rules: Counting, today: date) -> dict[str, PartClass]:
    """Every part's class by its yearly value, which is usage of the last 365 days times price.

    Parts are taken by falling value, each currency for itself since no rate is known. A part belongs to A
    while those above it make up less than the share of A, to B while they make up less than the shares of
    A and B together: so the part that crosses a line is still in the higher class, and A is never empty
    because one part alone is worth more than its share. Equal values go by part number. ABC analysis by
    cumulated yearly value: Heizer and Render, *Operations Management*, ch. 12 (from memory). A part without
    usage or price is C, and its remark says so.
    """
    used = usage_of_year(stock, today)
    known = [valued(part, used.get(part.number, ZERO)) for part in stock.parts.values()]
    found: dict[str, PartClass] = {}
    for currency in sorted({each.currency for each in known}):
        found |= ranked([each for each in known if each.currency == currency], rules)
    return {number: found[number] for number in stock.parts}


def usage_of_year(stock: Stock, today: date) -> dict[str, Fraction]:
    """What was used of each part in the 365 days that end with today."""
    used: dict[str, Fraction] = {}
    for use in stock.usage:
        if today - USAGE_DAYS * ONE_DAY < use.day <= today:
            used[use.part] = used.get(use.part, ZERO) + use.quantity
    return used


def valued(part: Part, used: Fraction) -> PartClass:
    """The part with its yearly value; its class is not known yet and stands at the last."""
    remark = ""
    if used <= 0:
        remark = f"no usage in the last {USAGE_DAYS} days"
    elif part.price is None:
        remark = "used, but its price is not known"
    value = ZERO if remark or part.price is None else used * Fraction(part.price)
    return PartClass(part.number, CLASSES[-1], used, value, part.currency, remark=remark)


def ranked(known: Iterable[PartClass], rules: Counting) -> dict[str, PartClass]:
    """Parts of one currency with their classes."""
    falling = sorted(known, key=lambda each: (-each.value, natural(each.part)))
    total = sum((each.value for each in falling), ZERO)
    found, above = {}, ZERO
    for each in falling:
        before = above / total if total else ZERO
        name = class_at(before, rules) if each.value else CLASSES[-1]
        found[each.part] = PartClass(
            each.part, name, each.used, each.value, each.currency, before, each.remark
        )
        above += each.value
    return found


def class_at(before: Fraction, rules: Counting) -> str:
    """The class of a part above which parts make up this share of the value."""
    line = ZERO
    for name in CLASSES[:-1]:
        line += rules.shares[name]
        if before < line:
            return name
    return CLASSES[-1]


# --- turns ----------------------------------------------------------------------------------------------


def working_weeks(year: int, days: WorkDays) -> tuple[date, ...]:
    """The Mondays of an ISO year's weeks that have a working day."""
    monday = date.fromisocalendar(year, 1, 1)
    weeks = []
    while monday.isocalendar().year == year:
        if any(days.worked(monday + number * ONE_DAY) for number in range(7)):
            weeks.append(monday)
        monday += timedelta(weeks=1)
    return tuple(weeks)


def turn_of(parts: Sequence[str], times: int, weeks: int, week: int) -> list[str]:
    """Those of ``parts`` whose turn it is in a week (from 0) of so many, each ``times`` in all of them.

    All turns of the cycle stand in one row, once through the parts, then again; the row is cut into weeks
    of equal length, so that the weeks of a class differ by one part at most, and the turns of one part lie
    evenly apart. With more turns than weeks a part is counted every week.
    """
    turns = len(parts) * times
    first, end = -(-week * turns // weeks), -(-(week + 1) * turns // weeks)
    return list(dict.fromkeys(parts[turn % len(parts)] for turn in range(first, end)))


def turns(
    stock: Stock, by_class: Mapping[str, PartClass], rules: Counting, monday: date, days: WorkDays
) -> dict[str, str]:
    """The parts whose turn it is in the week of a Monday, and their class; none in a week without work."""
    weeks = working_weeks(monday.isocalendar().year, days)
    if monday not in weeks:
        return {}
    found: dict[str, str] = {}
    for name in CLASSES:
        parts = [part for part in stock.parts.values() if by_class[part.number].name == name and part.bins]
        walk = [each.number for each in sorted(parts, key=place_of)]
        if walk and rules.times[name]:
            due = turn_of(walk, rules.times[name], len(weeks), weeks.index(monday))
            found |= dict.fromkeys(due, name)
    return found


def place_of(part: Part) -> tuple[object, object]:
    """Where a part comes on the way along the shelves."""
    return natural(part.bins[0].name), natural(part.number)


# --- what cannot wait -----------------------------------------------------------------------------------


def short_jobs(jobs: Iterable[JobResult]) -> dict[str, list[str]]:
    """Parts that short jobs miss, and the numbers of those jobs."""
    missed: dict[str, list[str]] = {}
    for result in jobs:
        if result.kit == SHORT:
            for lack in result.missing:
                missed.setdefault(lack.part, []).append(result.job.number)
    return missed


def suspicions(part: Part, used: Fraction) -> Iterator[Reason]:
    """What speaks against the part's balance, worst first."""
    unit = part.unit
    for each in part.bins:
        if each.on_hand < 0:
            where = f" in {each.name}" if each.name else ""
            yield Reason(
                NEGATIVE, f"the book says {quantity_text(each.on_hand)} {unit}{where}, less than nothing"
            )
    if part.allocated > max(part.on_hand, ZERO):
        allocated, on_hand = quantity_text(part.allocated), quantity_text(part.on_hand)
        yield Reason(OVER_ALLOCATED, f"{allocated} {unit} are allocated, {on_hand} on hand")
    for each in part.bins:
        if unit in COUNTED_WHOLE and each.on_hand.denominator != 1:
            yield Reason(UNLIKELY, f"the book says {quantity_text(each.on_hand)} {unit}, no whole number")
    top = part.order_up_to
    if top and used <= 0 and part.on_hand > FAR_ABOVE * top:
        says = (
            f"the book says {quantity_text(part.on_hand)} {unit}, more than {FAR_ABOVE} times the"
            f" {quantity_text(top)} that are ordered up to, and none was used in a year"
        )
        yield Reason(UNLIKELY, says)


def overdue(name: str, last: date | None, rules: Counting, monday: date) -> Iterator[Reason]:
    """A part that was counted once, but so long ago that its turn must have been missed."""
    if last is None or not rules.times[name]:
        return
    between = timedelta(weeks=-(-52 // rules.times[name]) + LATE_BY)
    if monday - last > between:
        says = f"last counted on {last}; class {name} is counted {times_text(rules.times[name])} a year"
        yield Reason(OVERDUE, says)


def times_text(times: int) -> str:
    return {1: "once", 2: "twice"}.get(times, f"{times} times")


# --- in kits --------------------------------------------------------------------------------------------


def in_kits(picked: Iterable[PartPick]) -> dict[LineKey, Fraction]:
    """What kits take from each bin: a closing takes it off the book, so a count must not do so before."""
    return {(pick.part.number, name): quantity for pick in picked for name, quantity in pick.bins}


# --- the sheet ------------------------------------------------------------------------------------------


def picks(  # noqa: PLR0913  (what a week's sheet follows from, each by its name)
    stock: Stock,
    by_class: Mapping[str, PartClass],
    rules: Counting,
    monday: date,
    days: WorkDays,
    *,
    missed: Mapping[str, Sequence[str]],
    last_counted: Mapping[str, date],
) -> list[Pick]:
    """The parts to count in the week of a Monday, in the order of the stock sheet, with every reason.

    ``missed`` are the parts that short jobs miss with those jobs, ``last_counted`` the day on which a part
    was last counted, as far as that is known.
    """
    due = turns(stock, by_class, rules, monday, days)
    found = []
    for part in stock.parts.values():
        known = by_class[part.number]
        reasons = [
            *short_reason(missed.get(part.number, ())),
            *suspicions(part, known.used),
            *overdue(known.name, last_counted.get(part.number), rules, monday),
        ]
        if part.number in due:
            says = f"its turn: class {known.name}, {times_text(rules.times[known.name])} a year"
            reasons.append(Reason(TURN, says))
        if reasons and part.bins:
            found.append(Pick(part, known.name, tuple(reasons)))
    return found


def short_reason(jobs: Sequence[str]) -> Iterator[Reason]:
    if jobs:
        named = ", ".join(jobs[:MOST_JOBS_NAMED])
        more = f" and {len(jobs) - MOST_JOBS_NAMED} more" if len(jobs) > MOST_JOBS_NAMED else ""
        yield Reason(SHORT_JOB, f"missing for {named}{more}")


def lines_of(chosen: Iterable[Pick], kits: Mapping[LineKey, Fraction] = NO_KITS) -> list[CountLine]:
    """A line for each bin of each part: those that come first, then the others, each along the shelves.

    ``kits``: what jobs that are not closed yet take from which bin.
    """
    lines = [
        CountLine(
            pick.part,
            name,
            book,
            pick.name,
            pick.reasons,
            check_code(pick.part.number, name, book),
            kits.get((pick.part.number, name), ZERO),
        )
        for pick in chosen
        for name, book in bins_of(pick.part).items()
    ]
    return sorted(lines, key=lambda each: (not each.first, natural(each.bin), natural(each.part.number)))


def bins_of(part: Part) -> dict[str, Fraction]:
    """A part's bins with what the book says of each; rows that name one bin are one."""
    found: dict[str, Fraction] = {}
    for each in part.bins:
        found[each.name] = found.get(each.name, ZERO) + each.on_hand
    return found


def count_sheet(
    lines: Sequence[CountLine],
    week: str,
    stock_digest: str,
    *,
    blind: bool = True,
    again: int = 0,
) -> CountSheet:
    """The sheet for an ISO week (``2026-W49``); its identity follows from week, stock, and lines alone."""
    seed = digest(
        week, stock_digest, str(again), *(part for line in lines for part in (line.part.number, line.bin))
    )
    return CountSheet(SheetMark(week, f"{week}-{seed}", stock_digest), tuple(lines), blind, again)


def check_code(part: str, bin_name: str, book: Fraction) -> str:
    """Stands on a line for its book quantity, which it hides: only whether that has changed since shows."""
    return digest(part, bin_name, str(book))


def digest(*texts: str) -> str:
    """Eight digits that texts share with no others, for all purposes here; each text keeps its ends."""
    whole = hashlib.sha256()
    for text in texts:
        data = text.encode()
        whole.update(f"{len(data)}:".encode() + data)
    return whole.hexdigest()[:8]
