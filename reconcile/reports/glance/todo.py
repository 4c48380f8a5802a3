"""What is to be done today, most chairs at stake first: each with who does it and where.

The one list of it: the sheet and the page in the browser say it in the same words.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from reconcile.reports.orders.chase import named, to_chase
from reconcile.reports.writing.wording import amount_of, amount_text, count_text, day_text, some_of
from reconcile.values.catalogue import ERROR
from reconcile.values.days import week_text
from reconcile.values.orders.lines import OVERDUE, UNPLACED
from reconcile.values.orders.listed import OpenLine
from reconcile.values.week.jobs import NOT_CLOSED
from reconcile.values.week.purchase import SupplierOrder
from reconcile.values.week.results import DONE, SHORT, JobResult, PartResult, Week

BUYER, CLERK, TECHNICIAN = "buyer", "clerk", "technician"
ORDERS, MEND, JOB, CLOSE, COUNT = "orders", "mend", "job", "close", "count"
"""Where a thing is done."""

MOST_TO_DO = 10
"""Things that the sheet and the page name; both say how many there are beside."""
MOST_NAMED = 6
"""Jobs or parts named in what more there is to say."""

DOUBTFUL = ("on-hand-negative", "allocated-above-on-hand", "on-hand-unlikely")
"""What says that a bin should be counted."""


@dataclass(frozen=True, slots=True)
class DueTask:
    """One thing to do: what and why, who does it, how many chairs hang on it, and where it is done."""

    what: str
    why: str
    """A sentence of at most two lines of the sheet."""
    who: str
    chairs: int | None
    """None where nobody can say."""
    go: str
    """ORDERS, MEND, JOB, CLOSE or COUNT."""
    what_of: str = ""
    """The job that it is about; "" where it is about none."""
    more: str = ""
    """Sentences that the sheet, which stays one page, has no room for; "" where there is no more to say."""


def to_do(week: Week) -> list[DueTask]:
    """Everything that is to be done today; where as many chairs hang on two, orders come first."""
    found = [
        *order_now(week),
        *(chase(line) for line in week.open_orders.lines if to_chase(line)),
        *mend(week),
        *(another_day(result) for result in week.jobs if result.kit == SHORT),
        *map(new_day, week.left_over),
        *close(week),
        *(look(result) for result in week.jobs if result.look_first and result.kit not in (SHORT, DONE)),
        *(agree(result) for result in week.jobs if has_substitute(result)),
        *count(week),
    ]
    return sorted(found, key=lambda task: -(task.chairs or 0))


# --- the buyer's ------------------------------------------------------------------------------------------


def to_place(line: PartResult, week: Week) -> bool:
    """Whether a part is to be ordered today, or should have been."""
    return bool(line.order) and (line.order_by is None or line.order_by <= week.today)


def order_now(week: Week) -> Iterator[DueTask]:
    """A task for each part that a job would go without, and one for all that only keep the shelf filled."""
    now = [(order, line) for order in week.orders for line in order.lines if to_place(line, week)]
    chairs = {result.job.number: result.job.chairs for result in (*week.jobs, *week.others)}
    yield from (order_for_jobs(order, line, chairs) for order, line in now if line.at_risk)
    if shelf := [line.part.number for _, line in now if not line.at_risk]:
        what = f"Order {count_text(len(shelf), 'part')} to keep the shelf filled"
        named_parts = f"{some_of(shelf, MOST_NAMED)}."
        yield DueTask(what, "No job hangs on them.", BUYER, 0, ORDERS, more=named_parts)


def order_for_jobs(order: SupplierOrder, line: PartResult, chairs: dict[str, int]) -> DueTask:
    jobs = list(dict.fromkeys(risk.job for risk in line.at_risk))
    first = min(risk.day for risk in line.at_risk)
    what = f"Order {amount_of(line.order, line.part)} today"
    what += f" from {order.terms.code}" if order.terms.code else ", find who sells it"
    why, more = f"Lacking from {day_text(first)}", f"For {some_of(jobs, MOST_NAMED)}."
    if line.order_by is None:
        why += "; lead time not known, ask"
    elif line.late:
        why += ", and late to order"
        more = f"It was to be ordered by {day_text(line.order_by)}. {more}"
    if line.part.designation:
        more = f"{line.part.designation}. {more}"
    at_stake = sum(chairs.get(job, 1) for job in jobs)
    return DueTask(what, f"{why}.", BUYER, at_stake, ORDERS, more=more)


def chase(line: OpenLine) -> DueTask:
    hanging = line.late or line.hanging
    chairs = {job.job: job.chairs for job in hanging}
    amount = f"{amount_text(line.to_come, line.unit)} of {line.part}"
    order = named(line.order, line.line)
    due = _day(line.said or line.due)
    if line.standing == UNPLACED:
        what, why = f"Place {order}, or give it up", f"{amount}, written and not placed"
    elif line.standing == OVERDUE or line.needed is None:
        what, why = f"Ask when {amount} comes: {order}", f"Was due {due}"
    else:
        what, why = f"Ask for {amount} by {day_text(line.needed)}: {order}", f"Due {due}"
    more = f"For {some_of(list(chairs), MOST_NAMED)}." if chairs else ""
    return DueTask(what, f"{why}.", BUYER, sum(chairs.values()), ORDERS, more=more)


def _day(day: date | None) -> str:
    return "on a day not known" if day is None else day_text(day)


# --- the clerk's ------------------------------------------------------------------------------------------


def mend(week: Week) -> Iterator[DueTask]:
    """Rows with faults. A row of jobs is a chair at least; what hangs on other rows nobody can say."""
    errors = [fault for fault in week.problems if fault.severity == ERROR]
    first = {fault.place.sheet.casefold(): fault for fault in reversed(errors)}
    for sheet, tally in week.rows.items():
        if tally.set_aside:
            what = f"Mend {count_text(tally.set_aside, 'row')} of {sheet}"
            more = f"The first: {first[sheet].says}" if sheet in first else ""
            chairs = tally.set_aside if sheet == "jobs" else None
            yield DueTask(what, "Not in the plan until then.", CLERK, chairs, MEND, more=more)


def another_day(result: JobResult) -> DueTask:
    day = day_text(result.planned_for or result.job.day)
    lacks = f"Lacks {count_text(len(result.missing), 'part')}" if result.missing else "Short"
    if result.earliest is None:
        when = "nobody knows from when it could be done"
    else:
        when = f"could be done from {day_text(result.earliest)}"
    what = f"Give {result.job.number} another day"
    return _of_job(result, what, f"{lacks}; {when}.", CLERK, f"It is planned for {day}.")


def new_day(result: JobResult) -> DueTask:
    """For one that is left over. Of one that is held the jobs sheet has no row."""
    number, day = result.job.number, day_text(result.job.day)
    if result.job.held:
        what, state = f"Give {number} a row with a new day, or release it", "Held and left over"
    else:
        what, state = f"Give {number} a new day, or delete its row", "Left over"
    return _of_job(result, what, f"{state} from {day}; it keeps its parts.", CLERK)


def _of_job(result: JobResult, what: str, why: str, who: str, more: str = "") -> DueTask:
    return DueTask(what, why, who, result.job.chairs, JOB, result.job.number, more)


# --- the technician's -------------------------------------------------------------------------------------


def close(week: Week) -> Iterator[DueTask]:
    """Weeks that are over and not closed."""
    chairs = Counter[str]()
    for result in week.others:
        if result.job.beside == NOT_CLOSED:
            chairs[week_text(result.job.day)] += result.job.chairs
    for name, at_stake in chairs.items():
        why = "Until then its jobs count as still to do."
        yield DueTask(f"Close {name}", why, TECHNICIAN, at_stake, CLOSE)


def look(result: JobResult) -> DueTask:
    why = "Spacers come off, and nothing says which."
    return _of_job(result, f"Look at the chair of {result.job.number} first", why, TECHNICIAN)


def has_substitute(result: JobResult) -> bool:
    return result.kit not in (SHORT, DONE) and any(served.substitute for served in result.lines)


def agree(result: JobResult) -> DueTask:
    what = f"Agree the substitute of {result.job.number}, or refuse it"
    return _of_job(result, what, f"Planned for {day_text(result.job.day)}.", TECHNICIAN)


def count(week: Week) -> Iterator[DueTask]:
    """Bins whose figure cannot be right; what hangs on them nobody can say."""
    faults = [fault for fault in week.problems if fault.code in DOUBTFUL]
    if faults:
        bins = {fault.place for fault in faults}
        what, why = f"Count {count_text(len(bins), 'bin')}", "The figure on the sheet is in doubt."
        yield DueTask(what, why, TECHNICIAN, None, COUNT, more=f"The first: {faults[0].says}")
