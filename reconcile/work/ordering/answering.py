"""A supplier's answer: what it changes and what that does to kits, and booked where that is asked for."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from reconcile.ledger.book import Beside
from reconcile.plan.ordering.answering import Answering, with_answers
from reconcile.sheets.finding import Located, located
from reconcile.sheets.orders.answers import read_answer
from reconcile.sheets.request import Request
from reconcile.values.orders.answers import AnsweredLine, KitChange
from reconcile.values.problem import Problem, Unusable
from reconcile.values.stock.movements import ORDERS, Closing, StockChange
from reconcile.values.stock.parts import Due
from reconcile.values.week.results import COMPLETE, SHORT, WAITS, Inputs, JobResult, Week
from reconcile.week import plan_week
from reconcile.work.book import inputs_by, read_book
from reconcile.work.booking import Posted, Posting, StockDesk, open_desk, post, refuse_old
from reconcile.work.chair import with_chairs
from reconcile.work.ordering.beside import orders_there
from reconcile.work.ordering.placing import closing_name


@dataclass(frozen=True, slots=True)
class AnswerToBook:
    """What an answer comes to. Nothing is booked yet."""

    desk: StockDesk
    answered: tuple[AnsweredLine, ...]
    kits: tuple[KitChange, ...]
    posting: Posting
    remarks: tuple[Problem, ...]


def prepare_answer(request: Request, path: Path, who: str = "") -> AnswerToBook:
    """Reads an answer and holds it against what was placed.

    Raises Unusable with every fault of the file and of its lines, and as ``open_desk`` and planning do.
    """
    places = located(request)
    desk = open_desk(places, who)
    refuse_old(desk)
    stock = desk.read.stock
    read = read_answer(path, places.settings, stock)
    lines = orders_there(desk.ledger, stock, desk.workbook.name).now(stock, desk.today, desk.who)
    answering = Answering(lines, stock, places.settings.workshop.name, desk.today, desk.who)
    answering.hold(read)
    if answering.problems:
        raise Unusable(*answering.problems)
    named = list(dict.fromkeys(event.order for event in answering.events))
    closing = Closing(
        closing_name("answer to", named or [path.stem], desk), ORDERS, desk.today, desk.who,
        details={"answer": path.name},
    )  # fmt: skip
    posting = Posting(closing, (), StockChange(), beside=Beside(orders=tuple(answering.events)), marks=True)
    after = with_answers(stock, answering.answered, lines)
    kits = kit_changes(places, after.due)
    return AnswerToBook(desk, tuple(answering.answered), kits, posting, desk.remarks)


def book_answer(prepared: AnswerToBook, *, in_place: bool, take_differences: bool = False) -> Posted:
    """Books it. Raises Unusable, with nothing changed, as ``post`` does."""
    return post(prepared.desk, prepared.posting, in_place=in_place, take_differences=take_differences)


def kit_changes(places: Located, due: tuple[Due, ...]) -> tuple[KitChange, ...]:
    """What becomes of kits if this is what is on order: all jobs that count are planned before and after."""
    inputs = with_chairs(inputs_by(places, read_book(places)), places)
    after = replace(inputs, stock=replace(inputs.stock, due=due))
    return changes_between(planned(inputs), planned(after))


def planned(inputs: Inputs) -> Week:
    return plan_week(inputs, datetime.now())


def changes_between(before: Week, after: Week) -> tuple[KitChange, ...]:
    """Jobs whose kit, or the day of it, is another one, in order of day."""
    then = {each.job.number: each for each in (*before.jobs, *before.others)}
    now = sorted((*after.jobs, *after.others), key=lambda each: (each.job.day, each.job.place.row))
    return tuple(
        KitChange(each.job.number, each.job.day, old.kit, each.kit, ready(each))
        for each in now
        if (old := then.get(each.job.number)) is not None and (old.kit, ready(old)) != (each.kit, ready(each))
    )


def ready(result: JobResult) -> date | None:
    """The day on which the kit is complete; None where nobody can tell."""
    if result.kit == WAITS:
        return max(each.day for each in result.awaited)
    if result.kit == COMPLETE:
        return result.planned_for
    return result.earliest if result.kit == SHORT else None
