"""A week's returns to movements: what left which bin, what came back, what was received. Pure.

What a row of the returns says of a part, by what is done with it:

========  ==========================================  ==================================================
figure    a part that is fitted                       a part that comes off
========  ==========================================  ==================================================
used      is in the chair: issued                     a fault: nothing is used up by taking it off
returned  was picked, too, and put back: issued and   came off, passed inspection: returned
          returned
scrapped  was spoilt beside those used: scrapped      came off, did not pass: kept in the ledger as a
                                                      movement of 0, for it never was on the shelf
========  ==========================================  ==================================================

A blank row of a job that is done means as planned; of one that is not, nothing. A blank *used* beside other
figures is as planned only if none was put back, for then nobody can tell how many were picked.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from functools import partial

from reconcile.plan.closing.jobs import booked_jobs, check_problems
from reconcile.plan.closing.settled import ZERO, Settled, settle, unclear
from reconcile.plan.flows.bins import ShelfBins
from reconcile.plan.ordering.arriving import Arriving
from reconcile.plan.ordering.standing import Lines, opened, with_events
from reconcile.values.ledger.jobs import JobBooked
from reconcile.values.ledger.orders import OrderEvent
from reconcile.values.measure import quantity_text
from reconcile.values.orders.arrivals import ArrivedLine, Target
from reconcile.values.problem import Place, Problem, RowPlace, problem
from reconcile.values.stock.lines import FIT
from reconcile.values.stock.movements import (
    COUNTED,
    ISSUED,
    OPENING,
    RECEIVED,
    RETURNED,
    SCRAPPED,
    Balances,
    Difference,
    Movement,
    PlannedUse,
)
from reconcile.values.stock.parts import Part, Stock, Usage
from reconcile.values.stock.returns import Delivery, JobReturn, Returns


@dataclass(frozen=True, slots=True)
class WeekMovements:
    """What a week's returns come to."""

    movements: tuple[Movement, ...] = ()
    uses: tuple[PlannedUse, ...] = ()
    jobs: tuple[JobBooked, ...] = ()
    """What the ledger keeps of each job that is done or part done."""
    usage: tuple[Usage, ...] = ()
    """Rows for the sheet Usage."""
    orders: tuple[OrderEvent, ...] = ()
    """What came in of orders, and what no more will come of."""
    done: tuple[str, ...] = ()
    """Numbers of the jobs that are done."""
    problems: tuple[Problem, ...] = ()
    """Any error among them forbids the closing."""


def close_week(returns: Returns, stock: Stock, who: str, lines: Lines | None = None) -> WeekMovements:
    """The movements of a week, in the order of their days, from the first bins of the sheet first.

    ``who`` closes; movements are by the technician where the returns name one. ``lines``: how the lines of
    orders stand; without them as the sheet has them. Problems:
    returns-line-unclear, movement-part-unknown, movement-bin-unknown, order-not-listed, closing-nothing,
    returns-reason-needed; notices: returns-job-open, returns-job-part, returns-reason-missing,
    bin-below-nothing, returns-check-open, returns-check-unkept.
    """
    jobs = {job.number: job for job in returns.jobs}
    shelves = MovedShelves(stock, who)
    problems = [*unclear(returns, jobs), *unlisted(returns, stock), *check_problems(returns)]
    if not returns.filled:
        place = returns.jobs[0].place if returns.jobs else RowPlace("returns", "Done", 1)
        says = "No job is marked as done and no figure is filled in."
        problems.append(problem("closing-nothing", place.cell("done"), says))
    if lines is None:
        lines = with_events({}, opened(stock, {}, date.min, who))
    arriving = orders_received(returns, stock, lines, who)
    problems += arriving.problems
    if any(fault.severity == "error" for fault in problems):
        return WeekMovements(problems=tuple(problems))
    settled = [settle(line, jobs[line.job]) for line in returns.lines]
    if unreasoned := list(without_reason(returns, settled)):
        return WeekMovements(problems=(*problems, *unreasoned))
    for step in sorted(_steps(returns, settled, jobs), key=lambda step: step[:2]):
        step[2](shelves)
    uses = tuple(use for row in settled for use in row.uses(jobs, stock))
    problems += [*shelves.problems, *part_done(returns), *open_jobs(returns), *unexplained(settled)]
    usage = tuple(_usage(settled, jobs))
    done = tuple(job.number for job in returns.jobs if job.done)
    booked = tuple(booked_jobs(returns, settled, stock, who))
    return WeekMovements(
        tuple(shelves.movements), uses, booked, usage, tuple(arriving.events), done, tuple(problems)
    )


def unlisted(returns: Returns, stock: Stock) -> Iterator[Problem]:
    """Parts and bins that the stock sheet does not have, orders that it does not list."""
    jobs = {each.number: each for each in returns.jobs}
    for line in returns.lines:
        job = jobs.get(line.job)
        if job is not None and _moves(settle(line, job)):
            yield from _not_there(line.part, line.bin, line.place, stock)
    for delivery in returns.deliveries:
        if delivery.received:
            yield from _not_there(delivery.part, delivery.bin, delivery.place, stock)


def _moves(row: Settled) -> bool:
    return bool(row.used or row.returned or row.scrapped)


def _not_there(part: str, name: str, place: RowPlace, stock: Stock) -> Iterator[Problem]:
    known = stock.parts.get(part)
    if known is None:
        says = f"The stock sheet has no row for {part} that can be used."
        yield problem("movement-part-unknown", place.cell("part"), says, found=part)
    elif name and name not in {each.name for each in known.bins}:
        there = ", ".join(each.name or "one without a name" for each in known.bins)
        says = f"The stock sheet has no bin {name} of {part}; there is {there}."
        yield problem("movement-bin-unknown", place.cell("bin"), says, found=name)


def orders_received(returns: Returns, stock: Stock, lines: Lines, who: str) -> Arriving:
    """What came in of orders, in the order of the sheet, and where a word is needed and lacks."""
    arriving = Arriving(lines, who)
    for each in returns.deliveries:
        part = stock.parts.get(each.part)
        if part is not None and (each.received or each.finished):
            arriving.book(ArrivedLine(
                Target(each.order, each.line, each.part), each.day, each.received or ZERO, bin=each.bin,
                finished=each.finished, reason=each.note, place=each.place.cell("received"),
            ), part)  # fmt: skip
    return arriving


def open_jobs(returns: Returns) -> Iterator[Problem]:
    """One remark that names every job of which nothing is said, at the first of them."""
    told = told_of(returns)
    found = [job for job in returns.jobs if not job.done and job.number not in told]
    if found:
        names = ", ".join(each.number for each in found)
        says = f"Not marked as done: {names}."
        yield problem("returns-job-open", found[0].place.cell("done"), says, found=found[0].number)


def told_of(returns: Returns) -> set[str]:
    """The jobs of which a line is filled in."""
    return {line.job for line in returns.lines if line.filled or line.came_off}


def part_done(returns: Returns) -> Iterator[Problem]:
    """One remark that names the jobs of which lines are booked although they are not done."""
    told = told_of(returns)
    found = [job for job in returns.jobs if not job.done and job.number in told]
    if found:
        says = f"Booked as part done: {', '.join(job.number for job in found)}."
        yield problem("returns-job-part", found[0].place.cell("done"), says, found=found[0].number)


def without_reason(returns: Returns, rows: Iterable[Settled]) -> Iterator[Problem]:
    """Lines that use more than planned, or give back more than comes off, and do not say why.

    Where a stack comes off that nobody knows, rows added for its pieces are no more than what was asked for.
    """
    unknown = {line.job for line in returns.lines if line.do != FIT and not line.part}
    for row in rows:
        line = row.line
        if not row.counts or line.reason:
            continue
        planned = quantity_text(line.planned)
        if line.do == FIT and row.used > line.planned:
            says = f"{line.job} used {quantity_text(row.used)} of {line.part}; {planned} was planned."
            yield problem("returns-reason-needed", line.place.cell("reason"), says)
        elif line.do != FIT and row.returned > line.planned and (line.planned or line.job not in unknown):
            says = (
                f"{line.job} gave back {quantity_text(row.returned)} of {line.part}; {planned} comes off it."
            )
            yield problem("returns-reason-needed", line.place.cell("reason"), says)


def unexplained(rows: Iterable[Settled]) -> Iterator[Problem]:
    """A remark on each line that used more or less than planned without a word why."""
    for row in rows:
        line = row.line
        if row.counts and line.do == FIT and row.gone != line.planned and not line.reason:
            says = (
                f"{line.job} used {quantity_text(row.gone)} of {line.part}; "
                f"{quantity_text(line.planned)} was planned."
            )
            yield problem("returns-reason-missing", line.place.cell("reason"), says)


def _usage(rows: Iterable[Settled], jobs: Mapping[str, JobReturn]) -> Iterator[Usage]:
    """A row for each job and part of which something is gone."""
    gone: dict[tuple[str, str], Fraction] = {}
    places: dict[tuple[str, str], RowPlace] = {}
    for row in rows:
        if row.line.do == FIT and row.gone:
            key = (row.line.job, row.line.part)
            gone[key] = gone.get(key, ZERO) + row.gone
            places.setdefault(key, row.line.place)
    for (job, part), quantity in gone.items():
        yield Usage(jobs[job].day, part, quantity, job, places[job, part])


# --- the shelf ------------------------------------------------------------------------------------

Step = tuple[date, int, Callable[["MovedShelves"], None]]
"""A day, what comes first on it (deliveries, then what comes back, then what is taken), and what is done."""


def _steps(returns: Returns, rows: Iterable[Settled], jobs: Mapping[str, JobReturn]) -> Iterator[Step]:
    for delivery in returns.deliveries:
        if delivery.received:
            yield delivery.day, 0, partial(MovedShelves.receive, delivery=delivery)
    for row in rows:
        if _moves(row):
            job = jobs[row.line.job]
            order = 2 if row.line.do == FIT else 1
            yield job.day, order, partial(MovedShelves.move, row=row, job=job)


@dataclass(slots=True)
class MovedShelves:
    """The bins of the stock as movements empty and fill them."""

    stock: Stock
    who: str
    movements: list[Movement] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    bins: dict[str, ShelfBins] = field(default_factory=dict)

    def receive(self, delivery: Delivery) -> None:
        part = self.stock.parts[delivery.part]
        assert delivery.received is not None
        source = delivery.place.cell("received")
        self._put(
            Movement(
                part.number,
                delivery.bin,
                delivery.received,
                part.unit,
                RECEIVED,
                delivery.day,
                self.who,
                delivery.order,
                source,
            )
        )

    def move(self, row: Settled, job: JobReturn) -> None:
        line, part = row.line, self.stock.parts[row.line.part]
        who = job.who or self.who

        def put(quantity: Fraction, kind: str, heading: str, note: str) -> None:
            source = line.place.cell(heading if getattr(line, heading) is not None else "planned")
            self._put(Movement(
                part.number, line.bin, quantity, part.unit, kind, job.day, who, line.job, source, note,
                line.line,
            ))  # fmt: skip

        if line.do == FIT:
            put(-(row.used + row.returned), ISSUED, "used", line.reason)
            put(row.returned, RETURNED, "returned", "picked and not used")
            put(-row.scrapped, SCRAPPED, "scrapped", line.reason)
            return
        put(row.returned, RETURNED, "returned", "after inspection")
        if row.scrapped:
            note = f"{quantity_text(row.scrapped)} came off and did not pass; never on the shelf"
            source = line.place.cell("scrapped")
            name = line.bin or self._shelf(part).places[0].name
            self.movements.append(
                Movement(
                    part.number,
                    name,
                    ZERO,
                    part.unit,
                    SCRAPPED,
                    job.day,
                    who,
                    line.job,
                    source,
                    note,
                    line.line,
                )
            )

    def _put(self, whole: Movement) -> None:
        """Books a quantity onto the named or the first bin, or off the bins in their order."""
        part = self.stock.parts[whole.part]
        for at, share in self._shares(part, whole.bin, whole.quantity, whole.source or Place("returns")):
            self.movements.append(replace(whole, bin=at, quantity=share))

    def _shares(self, part: Part, name: str, quantity: Fraction, place: Place) -> list[tuple[str, Fraction]]:
        shelf = self._shelf(part)
        first = next(bin_place for bin_place in shelf.places if not name or bin_place.name == name)
        if quantity >= 0:
            shelf.put(first, quantity)
            return [(first.name, quantity)] if quantity else []
        shares, left = shelf.take(-quantity, name)
        if left:
            shelf.put(first, -left)
            shares[first.name] = shares.get(first.name, ZERO) + left
            there = quantity_text(-quantity - left)
            says = f"{quantity_text(-quantity)} of {part.number} was taken; {there} was there by the sheet."
            self.problems.append(problem("bin-below-nothing", place, says))
        return [(at, -share) for at, share in shares.items()]

    def _shelf(self, part: Part) -> ShelfBins:
        if part.number not in self.bins:
            self.bins[part.number] = ShelfBins(part)
        return self.bins[part.number]


# --- sheet against ledger -------------------------------------------------------------------------


def on_shelves(stock: Stock) -> dict[tuple[str, str], tuple[Fraction, str, RowPlace]]:
    """What the sheet says: quantity, unit and place by part and bin; rows of one bin add up."""
    found: dict[tuple[str, str], tuple[Fraction, str, RowPlace]] = {}
    for part in stock.parts.values():
        for each in part.bins:
            before = found.get((part.number, each.name))
            quantity = each.on_hand + (before[0] if before else ZERO)
            found[part.number, each.name] = (quantity, part.unit, before[2] if before else each.place)
    return found


def differences(stock: Stock, balances: Balances, units: Mapping[str, str], file: str) -> list[Difference]:
    """Every bin of which the sheet says another quantity than opening + movements, in the sheet's order.

    A part that the ledger never heard of is no difference; see ``openings``. A bin of a known part that is
    new to it is one from 0; a bin that the sheet no longer has is one to 0.
    """
    sheet = on_shelves(stock)
    known = {part for part, _ in balances}
    found = [
        Difference(part, name, unit, quantity, balances.get((part, name), ZERO), place.cell("on hand"))
        for (part, name), (quantity, unit, place) in sheet.items()
        if part in known and quantity != balances.get((part, name), ZERO)
    ]
    gone = [
        Difference(part, name, units[part], ZERO, quantity, Place(file))
        for (part, name), quantity in balances.items()
        if quantity and (part, name) not in sheet
    ]
    return found + gone


def openings(stock: Stock, balances: Balances, day: date, who: str) -> list[Movement]:
    """The opening quantity of every bin of a part that the ledger never heard of."""
    known = {part for part, _ in balances}
    return [
        Movement(part, name, quantity, unit, OPENING, day, who, source=place.cell("on hand"))
        for (part, name), (quantity, unit, place) in on_shelves(stock).items()
        if part not in known
    ]


def counted(found: Iterable[Difference], day: date, who: str) -> list[Movement]:
    """Differences taken over from the sheet, as counted."""
    return [
        Movement(
            each.part, each.bin, each.quantity, each.unit, COUNTED, day, who, source=each.source,
            note=f"the sheet said {quantity_text(each.sheet)}, the ledger {quantity_text(each.ledger)}",
        )
        for each in found
    ]  # fmt: skip


def difference_problem(each: Difference, *, noticed: bool) -> Problem:
    """The problem that a difference is: an error where something is to be booked on top of it."""
    name = each.bin or "no bin"
    says = (
        f"The sheet has {quantity_text(each.sheet)} {each.unit} of {each.part} in {name}; "
        f"the ledger has {quantity_text(each.ledger)}."
    )
    code = "ledger-differs-noticed" if noticed else "ledger-differs"
    return problem(code, each.source, says, found=quantity_text(each.sheet))


def shelf_changes(movements: Iterable[Movement]) -> dict[tuple[str, str], Fraction]:
    """What movements come to, by part and bin."""
    sums: dict[tuple[str, str], Fraction] = {}
    for movement in movements:
        sums[movement.part, movement.bin] = sums.get((movement.part, movement.bin), ZERO) + movement.quantity
    return sums
