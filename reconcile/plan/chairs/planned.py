"""The chairs while their jobs are planned: each job starts from its record, or from the job before it."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from reconcile.plan.chairs.record import RecordKey, record_key
from reconcile.plan.chairs.starts import Start, complete, left_by, start_of
from reconcile.values.chairs import ChairRecord
from reconcile.values.frames.frame import Adjustment, Frame
from reconcile.values.problem import Finding
from reconcile.values.week.jobs import Job, SaidJob, Steps
from reconcile.values.words import fold


class Chairs:
    """The records of a ledger, and what the jobs planned so far leave. Jobs come in turn."""

    def __init__(self, records: Iterable[ChairRecord], jobs: Sequence[SaidJob]) -> None:
        self._records = {record_key(each.asset, each.frame, each.adjustment): each for each in records}
        self._left: dict[RecordKey, list[tuple[date, Start]]] = {}
        self._frames: dict[str, dict[str, str]] = {}
        """Folded asset, to each folded frame that it is said to be, with who says so."""
        for record in self._records.values():
            told = f"its record is of {record.frame}"
            self._frames.setdefault(fold(record.asset), {}).setdefault(fold(record.frame), told)
        for job in jobs:
            if job.record_asset:
                told = f"{job.number} has it as {job.frame}"
                self._frames.setdefault(job.record_asset, {}).setdefault(fold(job.frame), told)

    def completed(self, said: SaidJob, frame: Frame) -> tuple[Job | None, tuple[Finding, ...], str]:
        """The job with what its row leaves out, what is to be said, and the job before it, "" for none."""
        adjustment = adjustment_of(said, frame)
        start, findings = None, tuple(self._remarks(said))
        if said.record_asset and adjustment is not None:
            start, more = self._start(said, frame, adjustment)
            findings += more
        job, differing = complete(said, start, adjustment, frame.unit)
        return job, (*findings, *differing), start.after if start is not None else ""

    def leave(self, job: Job, frame: Frame, steps: Steps) -> None:
        """What a job that can be planned leaves to those after it."""
        adjustment = adjustment_of(job, frame)
        if job.record_asset and adjustment is not None:
            key = record_key(job.asset, frame.code, adjustment.name)
            self._left.setdefault(key, []).append((job.day, left_by(job, steps)))

    def _start(
        self, said: SaidJob, frame: Frame, adjustment: Adjustment
    ) -> tuple[Start | None, tuple[Finding, ...]]:
        key = record_key(said.asset, frame.code, adjustment.name)
        earlier = [start for day, start in self._left.get(key, ()) if day <= said.day]
        if earlier:
            return earlier[-1], ()
        record = self._records.get(key)
        if record is None:
            return None, ()
        start, fits = start_of(record, adjustment, said.number)
        return start, () if fits else (frame_changed(said, frame),)

    def _remarks(self, said: SaidJob) -> Iterator[Finding]:
        if said.asset and not said.record_asset:
            says = f"The record of {said.asset} is of one chair, and this row is for {said.chairs}."
            yield Finding("asset-chairs", "chairs", says)
        told = self._frames.get(said.record_asset, {}) if said.record_asset else {}
        others = [words for frame, words in told.items() if frame != fold(said.frame)]
        if others:
            says = f"{said.asset} is a {said.frame} in this row; {'; '.join(others)}."
            yield Finding("asset-frames", "asset", says)


def adjustment_of(said: SaidJob, frame: Frame) -> Adjustment | None:
    named = fold(said.adjustment)
    return next((each for each in frame.adjustments if not named or fold(each.name) == named), None)


def frame_changed(said: SaidJob, frame: Frame) -> Finding:
    says = (
        f"The record of {said.asset} has steps or pieces that {frame.file or frame.code} no longer has;"
        " the size counts, and what does not fit it is not known: look first."
    )
    return Finding("asset-frame-changed", "asset", says)
