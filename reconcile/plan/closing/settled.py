"""What a row of the returns means: every figure told, or a fault where nobody can tell. Pure."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from reconcile.values.measure import quantity_text
from reconcile.values.problem import Problem, problem
from reconcile.values.stock.lines import FIT
from reconcile.values.stock.movements import PlannedUse
from reconcile.values.stock.parts import Stock
from reconcile.values.stock.returns import JobReturn, LineReturn, Returns

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Settled:
    """A row with every figure told."""

    line: LineReturn
    used: Fraction = ZERO
    returned: Fraction = ZERO
    scrapped: Fraction = ZERO
    counts: bool = False
    """The job is done, or something is filled in: a row that says nothing yet is not compared."""

    @property
    def gone(self) -> Fraction:
        """What is no longer there: in the chair, or spoilt."""
        return self.used + self.scrapped

    def uses(self, jobs: Mapping[str, JobReturn], stock: Stock) -> Iterator[PlannedUse]:
        """What was planned and used, of a part that is fitted."""
        if self.counts and self.line.do == FIT:
            line, job = self.line, jobs[self.line.job]
            unit = stock.parts[line.part].unit if line.part in stock.parts else ""
            yield PlannedUse(
                line.job, job.day, job.frame, line.key, line.name, line.part, unit, line.planned, self.gone,
                line.reason,
            )  # fmt: skip


def settle(line: LineReturn, job: JobReturn) -> Settled:
    """What the figures of a row and its job come to."""
    if not (job.done or line.filled):
        return Settled(line)
    if not line.part:  # a stack that nobody knows: nothing of it is on any shelf
        return Settled(line)
    planned = line.planned if job.done else ZERO
    returned, scrapped = line.returned or ZERO, line.scrapped or ZERO
    if line.do == FIT:
        used = planned if line.used is None else line.used
        return Settled(line, used, returned, scrapped, counts=True)
    if line.returned is None:
        returned = max(planned - scrapped, ZERO)
    return Settled(line, ZERO, returned, scrapped, counts=True)


def unclear(returns: Returns, jobs: Mapping[str, JobReturn]) -> Iterator[Problem]:
    """Rows of which nobody can tell what became of the parts, and rows of no job."""
    for line in returns.lines:
        if line.job not in jobs:
            says = f"The sheet of jobs done has no job {line.job}."
            yield problem("returns-line-unclear", line.place.cell("job"), says, found=line.job)
        elif not line.part and line.filled:
            says = f"What came off {line.name} is not said, and yet a figure is filled in."
            yield problem("returns-line-unclear", line.place.cell("part"), says)
        elif line.do == FIT and line.returned and line.used is None:
            says = f"{quantity_text(line.returned)} of {line.part} came back, but used is blank."
            yield problem("returns-line-unclear", line.place.cell("used"), says)
        elif line.do != FIT and line.used:
            says = f"{line.part} comes off, and yet {quantity_text(line.used)} is said to be used."
            yield problem(
                "returns-line-unclear", line.place.cell("used"), says, found=quantity_text(line.used)
            )
        elif _too_many_scrapped(line, jobs[line.job]):
            says = f"More of {line.part} was scrapped than comes off, and returned is blank."
            yield problem("returns-line-unclear", line.place.cell("returned"), says)


def _too_many_scrapped(line: LineReturn, job: JobReturn) -> bool:
    return bool(
        line.do != FIT and job.done and line.returned is None and (line.scrapped or ZERO) > line.planned
    )
