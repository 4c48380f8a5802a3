"""What to take from which bin for all jobs that have a kit, in words and as a table: ``Week.picks``."""

from collections.abc import Iterable, Iterator
from datetime import date

from reconcile.reports.writing.grid import DATE, QUANTITY, TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import (
    amount_text,
    day_text,
    differing_bolts,
    period_text,
    some_of,
    source_text,
)
from reconcile.values.week.picks import ZERO, Bins, DayPick, JobPick, PartPick
from reconcile.values.week.results import Awaited, JobResult, Week

MOST_NAMED = 3
"""Jobs named of each later day."""

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
    Column("note well", TEXT, 34),
)

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
    total = sum((pick.quantity for pick in day.later), ZERO)
    by_days: dict[date, list[JobPick]] = {}
    for pick in day.later:
        by_days.setdefault(pick.day, []).append(pick)
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


class PickRemarks:
    """What must be known of a job while its parts are picked, worked out once for the whole list."""

    def __init__(self, results: Iterable[JobResult]) -> None:
        self._looks: set[str] = set()
        self._differs: dict[str, dict[str, str]] = {}
        for result in results:
            if any(served.line.look_first for served in result.lines):
                self._looks.add(result.job.number)
            self._differs[result.job.number] = differing_bolts(result)

    def looks(self, job: str) -> bool:
        """Whether the chair must be looked at before anyone can say what comes off."""
        return job in self._looks

    def differs(self, job: str, part: str) -> str:
        """Of a bolt that is not the first choice: its grade or finish, and the torque of that; else ""."""
        return self._differs.get(job, {}).get(part, "")

    def told(self, job: str, part: str) -> str:
        """Both in words."""
        return "; ".join(filter(None, ("look first" if self.looks(job) else "", self.differs(job, part))))


# --- as a table ---------------------------------------------------------------------------------------


def pick_table(week: Week) -> Table:
    """A row for each job of each day of each part; the part's own figures stand in its first row."""
    rows = list(_rows(week.picks, PickRemarks(week.jobs)))
    notes = () if rows else ("No job has a kit; there is nothing to take.",)
    return table("Pick list", f"Pick list, {period_text(week)}", COLUMNS, rows, *notes)


def _rows(picks: Iterable[PartPick], remarks: PickRemarks) -> Iterator[Row]:
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
                    remarks.told(job.job, pick.part.number),
                )  # fmt: skip
                first = False
        if first:
            yield (*head, ZERO, unit, "", None, "", None, "", "", coming, "")
