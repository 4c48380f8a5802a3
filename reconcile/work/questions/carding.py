"""One job's card as a file, for who asks about one job and opens the chair."""

from functools import partial
from pathlib import Path

from reconcile.reports.bench.batches import Batch
from reconcile.reports.bench.book import write_bench
from reconcile.reports.bench.page import write_page
from reconcile.reports.outputs import same_file
from reconcile.reports.writing.files import write_all
from reconcile.sheets.finding import call_fault, input_files, located_by
from reconcile.sheets.request import Request
from reconcile.values.problem import Place, Unusable, problem
from reconcile.values.week.results import DONE, Answer

WRITERS = {".html": write_page, ".htm": write_page, ".xlsx": write_bench}


def write_card(answer: Answer, path: Path, request: Request, *, force: bool = False) -> None:
    """Writes the card of the job that was asked about, whole or not at all.

    Raises Unusable: call-unusable for a job that is done, or a name of another kind; output-is-input; and as
    ``write_all`` does.
    """
    writer = WRITERS.get(path.suffix.lower())
    if writer is None:
        raise Unusable(call_fault("--card", f"{path} is no name for a card: end it in .html or .xlsx."))
    if answer.result.kit == DONE:
        raise Unusable(call_fault("--card", f"{answer.result.job.number} is done; there is no card of it."))
    inputs = input_files(located_by(answer.week.settings, request))
    if any(same_file(path, read) for read in inputs):
        raise Unusable(problem("output-is-input", Place(path.name), f"{path} is one of the inputs."))
    batch = Batch((answer.result,), first=False, alone=True)
    write_all([(path, partial(writer, answer.week, batch=batch))], force)
