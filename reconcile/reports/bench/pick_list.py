"""What to take from which bin for all jobs that have a kit, each part once, split by day and job.

Jobs take in order of day, priority and row, as their kits were given out. What is allocated is told by bin,
not by job, so it is taken off the bin in whose row it stands; what that bin cannot bear comes off the last
bins.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from reconcile.reports.writing.grid import DATE, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import amount_text, day_text, period_text, some_of, source_text
from reconcile.values.stock.parts import Part
from reconcile.values.week.results import SHORT, Awaited, JobResult, Week
from reconcile.values.words import natural

ZERO = Fraction(0)
MOST_NAMED = 3
"""Jobs named of each later day."""

NO_BIN = ""
"""Where a part lies whose bin the stock sheet does not name."""

COLUMNS = (
    Column("bin", TEXT, 12),
    Column("part", TEXT, 24),
    Column("what it is", TEXT, 34),
    Column("take this week", QUANTITY),
    Column("unit", TEXT, 8),
    Column("from bins", TEXT, 20),
    Column("day", DATE),
    Column("job", TEXT, 14),
    Column("take", QUANTITY),
    Column("done", TEXT, 8),
    Column("must stay for later days", TEXT, 34),
    Column("still to come", TEXT, 34),
)

Bins = tuple[tuple[str, Fraction], ...]
"""Bins, and how much is taken from each."""


@dataclass(frozen=True, slots=True)
class JobPick:
    """What one job takes of a part from the shelf, and from which bins."""

    job: str
    day: date
    bins: Bins

    @property
    def quantity(self) -> Fraction:
        return sum((each for _, each in self.bins), ZERO)


@dataclass(frozen=True, slots=True)
class DayPick:
    """What is taken of a part for one day, and what must then stay for the days after it."""

    day: date
    jobs: tuple[JobPick, ...]
    later: tuple[JobPick, ...]

    @property
    def quantity(self) -> Fraction:
        return sum((job.quantity for job in self.jobs), ZERO)


@dataclass(frozen=True, slots=True)
class PartPick:
    """All that the week takes of a part. Quantities in the part's unit."""

    part: Part
    days: tuple[DayPick, ...]
    awaited: tuple[tuple[str, Awaited], ...]
    """What is not there yet: the job that relies on it, and what it relies on."""

    @property
    def quantity(self) -> Fraction:
        return sum((day.quantity for day in self.days), ZERO)

    @property
    def bins(self) -> Bins:
        """How much comes from each bin, in the order of the stock sheet."""
        taken: dict[str, Fraction] = {}
        for name, quantity in (each for day in self.days for job in day.jobs for each in job.bins):
            taken[name] = taken.get(name, ZERO) + quantity
        return tuple(taken.items())

    @property
    def first_bin(self) -> str:
        return next((name for name, _ in self.bins), NO_BIN)


def pick_list(week: Week) -> list[PartPick]:
    """Every part that a job with a kit takes or awaits, by bin: B-2 before B-10, and no bin last."""
    parts = {**week.stock.parts, **{each.part.number: each.part for each in week.parts}}
    chosen = [each for each in sorted(week.jobs, key=lambda each: each.job.order) if each.kit != SHORT]
    picks: dict[str, list[JobPick]] = {}
    awaited: dict[str, list[tuple[str, Awaited]]] = {}
    shelves: dict[str, Shelf] = {}
    for result in chosen:
        for each in result.awaited:
            awaited.setdefault(each.part, []).append((result.job.number, each))
        for number, quantity in from_shelf(result).items():
            part = parts.get(number) or Part(number)
            shelf = shelves.setdefault(number, Shelf(part))
            picks.setdefault(number, []).append(
                JobPick(result.job.number, result.job.day, shelf.take(quantity))
            )
    found = [
        PartPick(
            parts.get(number) or Part(number),
            tuple(by_day(picks.get(number, []))),
            tuple(awaited.get(number, ())),
        )
        for number in dict.fromkeys([*picks, *awaited])
    ]
    return sorted(found, key=lambda each: (natural(each.first_bin), natural(each.part.number)))


def from_shelf(result: JobResult) -> dict[str, Fraction]:
    """What a job takes of each part, less what it waits for."""
    takes: dict[str, Fraction] = {}
    for served in result.lines:
        if served.line.do == "fit":
            for number, quantity in served.parts:
                takes[number] = takes.get(number, ZERO) + quantity
    for arrival in result.awaited:
        takes[arrival.part] = takes.get(arrival.part, ZERO) - arrival.quantity
    return {number: quantity for number, quantity in takes.items() if quantity > 0}


def by_day(picks: list[JobPick]) -> Iterator[DayPick]:
    """Picks in order, gathered by day, each with those of the days after it."""
    for day in dict.fromkeys(pick.day for pick in picks):
        own = tuple(pick for pick in picks if pick.day == day)
        yield DayPick(day, own, tuple(pick for pick in picks if pick.day > day))


class Shelf:
    """The bins of a part as they empty, the first of the sheet first."""

    def __init__(self, part: Part) -> None:
        self._left = free_in_bins(part)

    def take(self, wanted: Fraction) -> Bins:
        """Where so much is taken from; what no bin holds comes from no bin."""
        taken: dict[str, Fraction] = {}
        for place, (name, there) in enumerate(self._left):
            share = min(there, wanted)
            if share > 0:
                taken[name] = taken.get(name, ZERO) + share
                self._left[place], wanted = (name, there - share), wanted - share
        if wanted > 0:
            taken[NO_BIN] = taken.get(NO_BIN, ZERO) + wanted
        return tuple(taken.items())


def free_in_bins(part: Part) -> list[tuple[str, Fraction]]:
    """What each bin has for kits: on hand less allocated, never less than nothing, in the sheet's order.

    What a bin has allocated above what is there comes off the last bins, so that the sum is the part's.
    """
    free = [max(each.on_hand - each.allocated, ZERO) for each in part.bins]
    over = sum((max(each.allocated - each.on_hand, ZERO) for each in part.bins), ZERO)
    for place in reversed(range(len(free))):
        off = min(over, free[place])
        free[place], over = free[place] - off, over - off
    return [(each.name, quantity) for each, quantity in zip(part.bins, free, strict=True)]


# --- in words -----------------------------------------------------------------------------------------


def bins_text(bins: Bins, unit: str = "each") -> str:
    """``A1``; with several, how much from each: ``A1: 20, A2: 4``."""
    if len(bins) == 1:
        return bin_text(bins[0][0])
    return ", ".join(f"{bin_text(name)}: {amount_text(quantity, unit)}" for name, quantity in bins)


def bin_text(name: str) -> str:
    return name or "no bin given"


def later_text(day: DayPick, unit: str) -> str:
    """``leave 4: 4 on Thu 2026-12-03 for J-4110, J-4111``; "" where nothing must stay."""
    if not day.later:
        return ""
    total = sum((each.quantity for each in day.later), ZERO)
    by_days: dict[date, list[JobPick]] = {}
    for each in day.later:
        by_days.setdefault(each.day, []).append(each)
    days = "; ".join(kept_text(when, picks, unit) for when, picks in by_days.items())
    return f"leave {amount_text(total, unit)}: {days}"


def kept_text(day: date, picks: list[JobPick], unit: str) -> str:
    """``4 on Thu 2026-12-03 for J-4110, J-4111 and 3 more``: their own rows name every job."""
    total = sum((pick.quantity for pick in picks), ZERO)
    jobs = some_of([pick.job for pick in picks], MOST_NAMED)
    return f"{amount_text(total, unit)} on {day_text(day)} for {jobs}"


def awaited_text(number: str, awaited: Awaited, unit: str) -> str:
    """``2 for J-102: order PO-12, Wed 2026-12-02``."""
    amount = amount_text(awaited.quantity, unit)
    return f"{amount} for {number}: {source_text(awaited.source)}, {day_text(awaited.day)}"


# --- as a table ---------------------------------------------------------------------------------------


def pick_table(week: Week) -> Table:
    """A row for each job of each day of each part; the part's own figures stand in its first row."""
    rows = list(_rows(pick_list(week)))
    notes = () if rows else ("No job has a kit; there is nothing to take.",)
    return table("Pick list", f"Pick list, {period_text(week)}", COLUMNS, rows, *notes)


def _rows(picks: Iterable[PartPick]) -> Iterator[Row]:
    for pick in picks:
        unit = pick.part.unit
        coming = "; ".join(awaited_text(*arrival, unit) for arrival in pick.awaited)
        head: Row = (bin_text(pick.first_bin), pick.part.number, pick.part.designation)
        first = True
        for day in pick.days:
            for place, job in enumerate(day.jobs):
                total = (pick.quantity, unit, bins_text(pick.bins, unit)) if first else (None, "", "")
                stay = later_text(day, unit) if place == len(day.jobs) - 1 else ""
                yield (
                    *(head if first else (*head[:2], "")),
                    *total, day.day, job.job, job.quantity, "", stay, coming if first else "",
                )  # fmt: skip
                first = False
        if first:
            yield (*head, ZERO, unit, "", None, "", None, "", "", coming)
