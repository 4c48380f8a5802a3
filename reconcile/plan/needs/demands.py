"""From jobs to demands: each kind of job is exploded once; what is said of it names each job's cells."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from reconcile.plan.chairs.planned import Chairs
from reconcile.plan.chairs.starts import in_turn
from reconcile.plan.flows.supply import Demand
from reconcile.plan.flows.timeline import ZERO
from reconcile.plan.needs.choices import Racks
from reconcile.plan.needs.found import checks_after, joints_found
from reconcile.plan.needs.left import begun, lines_left, says_the_same
from reconcile.plan.needs.lines import Explosion, Kind, explode, find_adjustment, kind_of
from reconcile.values.days import NoWorkingDay
from reconcile.values.frames.frame import Frame
from reconcile.values.ledger.jobs import JobBooked, JobLine
from reconcile.values.problem import Finding, Place, Problem, problem
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.week.jobs import Job, Line, SaidJob, Steps
from reconcile.values.week.results import Inputs, Tally
from reconcile.values.words import fold, nearest


@dataclass(frozen=True, slots=True)
class Planned:
    """A job that can be planned, with what its kind needs and what it takes and gives by part."""

    job: Job
    explosion: Explosion
    demand: Demand
    notices: tuple[str, ...]
    follows: str = ""
    """The job of the same chair that comes before it in the plan, from whose size it starts."""


class Planner:
    """Explodes each kind of job once, and gathers what is to be said on the way.

    ``like``: a planner of the same frames and stock, whose kinds need not be exploded again.
    """

    def __init__(self, inputs: Inputs, like: "Planner | None" = None) -> None:
        self.inputs = inputs
        self.racks: Racks = like.racks if like else Racks(inputs.stock, inputs.settings.exact_only)
        self.problems: list[Problem] = []
        self.unlisted: dict[str, Part] = dict(like.unlisted) if like else {}
        self._told_aside: set[str] = set()
        self.aside = 0
        """Jobs that cannot be planned."""
        self._typed: dict[tuple[object, ...], Kind] = dict(like._typed) if like else {}
        self._codes: dict[str, Frame | None] = {}
        self._explosions: dict[Kind, Explosion] = dict(like._explosions) if like else {}
        self._given: dict[tuple[int, int], dict[str, Fraction]] = dict(like._given) if like else {}
        self._usable: dict[date, date] = {}
        self._chairs = Chairs(inputs.chairs, inputs.jobs)
        self._apart = 0
        """Jobs that are part done: each is a kind of its own."""

    def part(self, number: str) -> Part:
        """A stock part, a bolt wanted by designation, or a part that a frame names and stock lacks."""
        found = self.inputs.stock.parts.get(number) or self.racks.wanted.get(number)
        return found or self.unlisted[number]

    def planned(self, jobs: Sequence[SaidJob]) -> Iterator[Planned]:
        """The jobs that can be planned, in the order given; those of a chair are gone through in turn."""
        found: dict[int, Planned] = {}
        for place in in_turn(jobs):
            planned = self._planned(jobs[place])
            if planned is None:
                self.aside += 1
            else:
                found[place] = planned
        return (found[place] for place in sorted(found))

    def _planned(self, said: SaidJob) -> Planned | None:
        frame = self._frame(said.frame)
        if frame is None:
            self.problems.append(no_frame(said, self.inputs))
            return None
        job, told, follows = self._completed(said, frame)
        if job is None:
            return None
        kind = self._kind(job)
        explosion = self._explosion(kind, frame)
        booked = self.inputs.booked.get(fold(job.number), ())
        if booked and explosion.steps is not None:
            explosion = self._less_what_is_booked(job, frame, explosion, booked)
        notices = self._say(job, explosion, frame.unit)
        if explosion.steps is None:
            return None
        self._chairs.leave(job, frame, explosion.steps)
        when = self._planned_for(job.day)
        demand = Demand(
            job, explosion.lines, self._gives(explosion, 1 if explosion.whole_job else job.chairs),
            self._usable_from(when), explosion.kind, when, explosion.whole_job,
        )  # fmt: skip
        return Planned(job, explosion, demand, (*told, *notices), follows)

    def _less_what_is_booked(
        self, job: Job, frame: Frame, explosion: Explosion, booked: Sequence[JobBooked]
    ) -> Explosion:
        """What is left of a job that is part done; all of it where its row now says otherwise."""
        steps = explosion.steps or Steps(())
        if not says_the_same(job, frame, steps, booked):
            says = "its row says something else than when part of it was booked; all of it is planned"
            told = Finding("job-described-anew", "job", f"{says}.")
            return replace(explosion, findings=(*explosion.findings, told))
        left = lines_left(explosion.lines, job.chairs, booked)
        findings = tuple(strange_finding(row) for row in left.strange)
        findings += tuple(begun_finding(*each) for each in begun(explosion.lines, left.lines, booked))
        if left.nothing:
            says = "all of its lines are booked, but nobody marked it as done"
            findings = (*findings, Finding("job-booked-whole", "job", f"{says}."))
        self._apart += 1
        return replace(
            explosion, lines=left.lines, whole_job=True, kind=-self._apart,
            findings=(*explosion.findings, *findings),
        )  # fmt: skip

    def _completed(self, said: SaidJob, frame: Frame) -> tuple[Job | None, tuple[str, ...], str]:
        """With what the chair's record tells; None where nothing tells the size now."""
        if isinstance(said, Job) and not said.asset:
            return said, (), ""
        job, findings, follows = self._chairs.completed(said, frame)
        return job, self._tell(said, findings, frame.unit), follows

    def _frame(self, code: str) -> Frame | None:
        """By the code as typed, which is quicker."""
        if code not in self._codes:
            self._codes[code] = self.inputs.frames.get(fold(code))
        return self._codes[code]

    def _kind(self, job: Job) -> Kind:
        """Its kind; those of rows typed alike are looked up by what was typed, which is quicker."""
        typed = (
            job.frame, job.adjustment, job.size_from.as_integer_ratio(), job.size_to.as_integer_ratio(),
            job.side, job.left_now, job.right_now, job.options, job.spacers_now, job.known,
        )  # fmt: skip
        found = self._typed.get(typed)
        if found is None:
            found = self._typed[typed] = kind_of(job)
        return found

    def _explosion(self, kind: Kind, frame: Frame) -> Explosion:
        found = self._explosions.get(kind)
        if found is None:
            made = with_found(explode(kind, frame, self.racks), kind, frame, self.racks)
            found = self._explosions[kind] = replace(made, kind=len(self._explosions))
            for line in found.lines:
                self._note_unlisted(line, frame)
        return found

    def _note_unlisted(self, line: Line, frame: Frame) -> None:
        """Parts that stock does not list; of one that only comes off nothing need be said."""
        known = (self.inputs.stock.parts, self.racks.wanted, self.unlisted)
        for number in line.named:
            wanted = self.racks.wanted.get(number)
            if wanted is not None and wanted.to_mend and number not in self._told_aside:
                self._tell_aside(wanted)
            if not any(number in parts for parts in known):
                if (aside := self.inputs.stock.aside.get(number)) is not None:
                    self.unlisted[number] = replace(aside, unit=line.unit, kind=line.what)
                    self._tell_aside(aside)
                    continue
                self.unlisted[number] = Part(number, unit=line.unit, kind=line.what, new=True)
                if not line.choices:
                    continue
                like = nearest(number, self.inputs.stock.parts, likeness=0)
                says = f"Stock does not list {number}, which {frame.code} names for {line.name}."
                says += f" Nearest: {', '.join(like)}." if like else ""
                place = Place(frame.file, "", line.joint.key if line.joint else "")
                self.problems.append(problem("part-not-listed", place, says, found=number))

    def _tell_aside(self, part: Part) -> None:
        """That a part is wanted of which every row was set aside, at the first of them."""
        self._told_aside.add(part.number)
        first, rows = part.aside[0], ", ".join(str(row.row) for row in part.aside)
        named = part.number if first.part == part.number else f"{first.part}, {part.number},"
        says = f"{named} is wanted, and every row of it is set aside: {rows}."
        self.problems.append(problem("part-set-aside", first.place, says, found=part.number))

    def _say(self, job: Job, explosion: Explosion, unit: str) -> tuple[str, ...]:
        """Adds the job's problems, each at its cell, and returns its notices in words."""
        told = self._tell(job, explosion.findings, unit)
        if explosion.steps is None:
            return told
        of_day = day_notices(job, self.inputs)
        self.problems += of_day
        return (*told, *(fault.says for fault in of_day))

    def _tell(self, job: SaidJob, findings: Iterable[Finding], unit: str) -> tuple[str, ...]:
        """Adds what was found of a row, each at its cell, and returns the notices in words."""
        found = [
            problem(
                finding.code, job.place.cell(finding.heading), finding.says,
                found=job.shown(finding.heading, unit),
            )
            for finding in findings
        ]  # fmt: skip
        self.problems += found
        return tuple(fault.says for fault in found if fault.severity == "notice")

    def _gives(self, explosion: Explosion, chairs: int) -> dict[str, Fraction]:
        """What jobs of a kind give back by part; nothing where recovered parts are not used."""
        found = self._given.get((explosion.kind, chairs))
        if found is None:
            lines = explosion.lines if self.inputs.settings.use_recovered else ()
            found = self._given[explosion.kind, chairs] = recovered(lines, chairs, self.inputs.stock)
        return found

    def _planned_for(self, day: date) -> date:
        """Its own day; of one that has passed, the first working day from today on."""
        if day >= self.inputs.today:
            return day
        try:
            return self.inputs.settings.days.on_or_after(self.inputs.today)
        except NoWorkingDay:
            return self.inputs.today

    def _usable_from(self, day: date) -> date:
        found = self._usable.get(day)
        if found is None:
            settings = self.inputs.settings
            try:
                found = settings.days.after(day, settings.inspection_days)
            except NoWorkingDay:
                found = date.max
            self._usable[day] = found
        return found

    def tallies(self) -> dict[str, Tally]:
        """What became of every sheet's rows, jobs set aside here counted in."""
        rows = dict(self.inputs.rows)
        if "jobs" in rows:
            jobs = rows["jobs"]
            rows["jobs"] = replace(jobs, used=jobs.used - self.aside, set_aside=jobs.set_aside + self.aside)
        return rows


def strange_finding(row: JobLine) -> Finding:
    """A row of the book that belongs to no line of the job as it is planned now."""
    says = f"{row.part or row.key.name} was booked for it, which belongs to no line of it and counts for none"
    return Finding("job-row-unmatched", "job", f"{says}.")


def begun_finding(joint: str, parts: str) -> Finding:
    """What is in a joint that is half done."""
    says = f"in {joint} already: {parts}; compare it with what goes in beside"
    return Finding("job-joint-begun", "job", f"{says}.")


def with_found(made: Explosion, kind: Kind, frame: Frame, racks: Racks) -> Explosion:
    """With what is taken to be at the joints, and what is checked after the work."""
    adjustment = find_adjustment(kind, frame)
    if made.steps is None or adjustment is None:
        return made
    found = tuple(joints_found(kind, adjustment, made.steps, racks))
    return replace(made, found=found, after=tuple(checks_after(kind, adjustment, made.steps)))


def no_frame(job: SaidJob, inputs: Inputs) -> Problem:
    cell, faulty = job.place.cell("frame"), inputs.faulty.get(fold(job.frame))
    if faulty is not None:
        says = f"Frame {job.frame} is in {' and '.join(faulty)}, which has faults."
        return problem("frame-faulty", cell, says, found=job.frame)
    like = nearest(job.frame, (frame.code for frame in inputs.frames.values()), likeness=0)
    says = f"No frame file has the code {job.frame!r}."
    says += f" Nearest: {', '.join(like)}." if like else ""
    return problem("frame-unknown", cell, says, found=job.frame)


def day_notices(job: SaidJob, inputs: Inputs) -> list[Problem]:
    cell, found = job.place.cell("date"), job.shown("date")
    notices = []
    if not inputs.settings.days.worked(job.day):
        says = f"{job.day:%a %Y-%m-%d} is no working day."
        notices.append(problem("day-not-worked", cell, says, found=found))
    if job.day < inputs.today:
        says = f"{job.day} lies before today; it counts as still to do."
        notices.append(problem("day-past", cell, says, found=found))
    return notices


def recovered(lines: Iterable[Line], chairs: int, stock: Stock) -> dict[str, Fraction]:
    """What comes off so many chairs and goes back to the shelf: reusable, and listed by stock."""
    parts: dict[str, Fraction] = {}
    for line in lines:
        for number, count in line.pieces if line.reuse else ():
            if number in stock.parts:
                parts[number] = parts.get(number, ZERO) + count * chairs
    return parts
