"""Begin with own sheets: settle what is open, write settings and an example frame, plan the week dry."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

from reconcile.reports.writing.files import Writer, write_all, write_text
from reconcile.sheets.beginning.looking import look
from reconcile.sheets.beginning.settling import Ask, settle, take_what_is_sure
from reconcile.sheets.beginning.text import difference, settings_text
from reconcile.sheets.blanks import frame as blank_frame
from reconcile.sheets.finding import SETTINGS_NAME
from reconcile.sheets.request import Request
from reconcile.values.beginning import Begun, DryRun, Looked, OpenQuestion, SettledSheets
from reconcile.values.catalogue import ERROR
from reconcile.values.problem import Problem, Unusable
from reconcile.work.planning import plan
from reconcile.work.stages import Stage, unwatched

__all__ = ["begin", "begin_with", "look", "put_questions", "take_what_is_sure"]
FRAMES = "frames"


def begin(looked: Looked, today: date, ask: Ask = take_what_is_sure, stage: Stage = unwatched) -> Begun:
    """Settles what was looked at, writes what is not there yet, and plans the week without writing.

    ``ask`` answers each question. A settings file that is there stays as it is, and the difference is given.
    Raises Unusable as ``write_all`` does.
    """
    settled = settle(looked, ask)
    text = settings_text(settled)
    there = looked.folder / SETTINGS_NAME
    outputs: list[tuple[Path, Writer]] = []
    differs: tuple[str, ...] = ()
    if there.exists():
        differs = difference(there.read_text("utf-8", "replace"), text)
    elif settled.used:
        outputs.append((there, partial(write_text, text)))
    frames = looked.folder / FRAMES
    if settled.used and not any(frames.glob("*.toml")):
        outputs.append((frames / blank_frame.NAME, partial(write_text, blank_frame.TEXT)))
    write_all(outputs)
    begun = Begun(looked, settled, text, tuple(path for path, _ in outputs), differs)
    return replace(begun, dry=dry_run(looked.folder, settled, today, stage)) if settled.used else begun


def put_questions(
    looked: Looked, answers: Mapping[str, str]
) -> tuple[list[tuple[OpenQuestion, str]], SettledSheets]:
    """Every question with its answer so far, in order, and what comes of them. Nothing is written.

    ``answers``: by what is asked; one that is not there yet is taken as offered, for it may lead to others.
    """
    put: list[tuple[OpenQuestion, str]] = []

    def ask(question: OpenQuestion) -> str:
        answer = answers.get(question.asks, question.offered)
        known = {choice for choice, _ in question.choices}
        answer = answer if answer in known else ""
        put.append((question, answer))
        return answer

    return put, settle(looked, ask)


def begin_with(looked: Looked, today: date, answers: Mapping[str, str]) -> Begun:
    """Begins by answers that were given beforehand; what was not answered stays open."""
    return begin(looked, today, lambda question: answers.get(question.asks, ""))


def dry_run(folder: Path, settled: SettledSheets, today: date, stage: Stage = unwatched) -> DryRun | None:
    """The week planned by the settings as they lie there; None where jobs or stock are not found."""
    kinds = {sheet.kind for sheet in settled.used}
    if not {"Jobs", "Stock"} <= kinds:
        return None
    try:
        week = plan(Request(folder, today=today), stage, remember=False)
    except Unusable as why:
        return DryRun(refused=why.problems)
    return DryRun(dict(week.rows), _commonest(week.problems))


def _commonest(problems: tuple[Problem, ...]) -> tuple[tuple[Problem, int], ...]:
    """The first fault of each code with how many there are, the commonest first."""
    faults = [fault for fault in problems if fault.severity == ERROR]
    counts = Counter(fault.code for fault in faults)
    firsts = {fault.code: fault for fault in reversed(faults)}
    return tuple((firsts[code], count) for code, count in counts.most_common())
