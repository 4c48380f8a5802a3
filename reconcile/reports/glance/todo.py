"""What is to be done today, most chairs at stake first: each with who does it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from reconcile.reports.orders.chase import to_chase
from reconcile.reports.writing.wording import amount_text, count_text, day_text
from reconcile.values.orders.lines import OVERDUE, UNPLACED
from reconcile.values.orders.listed import OpenLine
from reconcile.values.week.jobs import LEFT_OVER, NOT_CLOSED
from reconcile.values.week.purchase import SupplierOrder
from reconcile.values.week.results import DONE, SHORT, JobResult, PartResult, Week

BUYER, CLERK, TECHNICIAN = "buyer", "clerk", "technician"


@dataclass(frozen=True, slots=True)
class DueTask:
    """One thing to do: what and why, who does it, and how many chairs hang on it."""

    what: str
    why: str
    who: str
    chairs: int | None
    """None where nobody can say."""


def to_do(week: Week) -> list[DueTask]:
    """Everything that is to be done today; where as many chairs hang on two, orders come first."""
    chairs = {result.job.number: result.job.chairs for result in (*week.jobs, *week.others)}
    found = [
        *(order_now(order, line, chairs) for order, line in due_lines(week)),
        *(chase(line) for line in week.open_orders.lines if to_chase(line)),
        *mend(week),
        *(another_day(result) for result in week.jobs if result.kit == SHORT),
        *(left_over(result) for result in week.others if result.job.beside in (LEFT_OVER, NOT_CLOSED)),
        *(look(result) for result in week.jobs if result.look_first and result.kit not in (SHORT, DONE)),
        *(agree(result) for result in week.jobs if has_substitute(result)),
    ]
    return sorted(found, key=lambda each: -(each.chairs or 0))


def due_lines(week: Week) -> Iterator[tuple[SupplierOrder, PartResult]]:
    """Lines that should be ordered today at the latest, for jobs that would go without."""
    for order in week.orders:
        for line in order.lines:
            if line.at_risk and (line.order_by is None or line.order_by <= week.today):
                yield order, line


def order_now(order: SupplierOrder, line: PartResult, chairs: dict[str, int]) -> DueTask:
    jobs = dict.fromkeys(risk.job for risk in line.at_risk)
    first = min(risk.day for risk in line.at_risk)
    what = f"Order {amount_text(line.order, line.part.unit)} {line.part.number} today"
    what += f" from {order.terms.code}" if order.terms.code else ", find who sells it"
    lead = "" if line.order_by else "; lead time not known, ask"
    return DueTask(
        what, f"lacking from {day_text(first)}{lead}", BUYER, sum(chairs.get(job, 1) for job in jobs)
    )


def chase(line: OpenLine) -> DueTask:
    hanging = line.late or line.hanging
    chairs = sum({each.job: each.chairs for each in hanging}.values())
    amount = f"{amount_text(line.to_come, line.unit)} {line.part}"
    named = line.order or "no order number"
    if line.standing == UNPLACED:
        return DueTask(f"Place {named}, or give it up", f"{amount}, written and not placed", BUYER, chairs)
    if line.standing == OVERDUE or line.needed is None:
        return DueTask(
            f"Ask when {amount} comes: {named}", f"was due {_day(line.said or line.due)}", BUYER, chairs
        )
    return DueTask(
        f"Ask for {amount} by {day_text(line.needed)}: {named}",
        f"due {_day(line.said or line.due)}",
        BUYER,
        chairs,
    )


def _day(day: date | None) -> str:
    return "on a day not known" if day is None else day_text(day)


def mend(week: Week) -> Iterator[DueTask]:
    """Rows with faults. A row of jobs is a chair at least; what hangs on other rows nobody can say."""
    for sheet, tally in week.rows.items():
        if tally.set_aside:
            what = f"Mend {count_text(tally.set_aside, 'row')} of {sheet}"
            yield DueTask(
                what,
                "set aside until then: see Problems",
                CLERK,
                tally.set_aside if sheet == "jobs" else None,
            )


def another_day(result: JobResult) -> DueTask:
    if result.earliest is None:
        why = "short; from when it could be done is not known"
    else:
        why = f"short on {day_text(result.job.day)}; could be done from {day_text(result.earliest)}"
    return DueTask(f"Give {result.job.number} another day", why, CLERK, result.job.chairs)


def left_over(result: JobResult) -> DueTask:
    what = f"Give {result.job.number} a new day, or delete its row"
    return DueTask(what, f"left over from {day_text(result.job.day)}", CLERK, result.job.chairs)


def look(result: JobResult) -> DueTask:
    what = f"Look at the chair of {result.job.number}"
    return DueTask(what, "nobody knows what its stacks consist of", TECHNICIAN, result.job.chairs)


def has_substitute(result: JobResult) -> bool:
    return result.kit not in (SHORT, DONE) and any(served.substitute for served in result.lines)


def agree(result: JobResult) -> DueTask:
    what = f"Agree the substitute of {result.job.number}, or refuse it"
    return DueTask(what, f"planned for {day_text(result.job.day)}", TECHNICIAN, result.job.chairs)
