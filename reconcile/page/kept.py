"""The plan that is shown, kept for as long as no file changed; made anew beside the old one where one did."""

import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field, replace
from datetime import datetime

from reconcile.sheets.request import Request
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.week.results import Inputs, Taking, Week
from reconcile.work.planning import planned_week, read_all, refuse_no_job
from reconcile.work.questions.asking import AskingDesk
from reconcile.work.questions.explaining import taking_book
from reconcile.work.watching import FilesSeen, files_seen

PATIENCE = 1.5
"""Seconds that a request waits for a new plan before it shows the old one, marked as such."""


@dataclass(frozen=True, slots=True)
class PlanMade:
    """A plan with what it was made from; without inputs and week where nothing could be planned."""

    seen: FilesSeen
    looked: datetime
    """When the files were looked at."""
    inputs: Inputs | None = None
    week: Week | None = None
    refused: tuple[Problem, ...] = ()
    """Why nothing could be planned."""
    asker: AskingDesk | None = None
    """Answers questions by the inputs."""


@dataclass(frozen=True, slots=True)
class PlanShown:
    """What a page shows: a plan, and which files changed since it was made."""

    made: PlanMade | None
    """None while the very first one is being made."""
    looked: datetime
    changed: tuple[str, ...] = ()

    @property
    def fresh(self) -> bool:
        return self.made is not None and not self.changed

    @property
    def week(self) -> Week | None:
        return self.made.week if self.made else None


@dataclass(slots=True)
class KeptPlan:
    """One workshop's plan. Several requests may ask at once; one plan is made at a time."""

    request: Request
    """What the commands would be asked with; the accept file is looked for anew each time."""
    asking: Callable[[Request], Request] = lambda request: request
    """What is asked for now: a file may have come that has to be named."""
    _made: PlanMade | None = None
    _seen: FilesSeen | None = None
    _making: "Future[PlanMade] | None" = None
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _hands: ThreadPoolExecutor = field(
        default_factory=lambda: ThreadPoolExecutor(1, thread_name_prefix="plan")
    )
    _takers: "tuple[PlanMade, Callable[[str], tuple[Taking, ...]]] | None" = None

    def shown(self, patience: float = PATIENCE) -> PlanShown:
        """The plan of the files as they are; the one before, with what changed, where that takes longer."""
        seen, looked = files_seen(self.asking(self.request)), datetime.now()
        with self._lock:
            if self._made is not None and self._made.seen == seen:
                return PlanShown(replace(self._made, looked=looked), looked)
            if self._making is None or (self._making.done() and self._seen != seen):
                self._seen, self._making = seen, self._hands.submit(self._make, seen)
            making = self._making
        wait([making], patience)
        with self._lock:
            made = self._made
        changed = made.seen.changed(seen) if made else ()
        if made is not None and made.seen != seen and not changed:
            changed = ("the day",)
        return PlanShown(made, looked, changed)

    def takers(self, made: PlanMade) -> Callable[[str], tuple[Taking, ...]]:
        """Who takes a part on which day, if every job is done; once a plan, when it is asked for."""
        with self._lock:
            known = self._takers
        if known is not None and known[0].seen == made.seen:
            return known[1]
        if made.inputs is None:
            return lambda _part: ()
        found = taking_book(made.inputs)
        with self._lock:
            self._takers = (made, found)
        return found

    def _make(self, seen: FilesSeen) -> PlanMade:
        made = plan_made(self.asking(self.request), seen)
        with self._lock:
            self._made = made
        return made


def plan_made(request: Request, seen: FilesSeen) -> PlanMade:
    """The same as ``reconcile week`` plans; what forbids it is a value too."""
    looked, inputs = datetime.now(), None
    try:
        inputs = read_all(request, finishes=True)
        week = planned_week(inputs)
        refuse_no_job(week, inputs)
        asker = AskingDesk(inputs, request)
    except Unusable as unusable:
        return PlanMade(seen, looked, refused=unusable.problems)
    except Exception as crash:  # who waits for a plan must hear that there will be none
        says = f"The program failed: {type(crash).__name__}: {crash}."
        return PlanMade(seen, looked, refused=(problem("own-fault", Place("page", "", "plan"), says),))
    return PlanMade(seen, looked, inputs, week, asker=asker)
