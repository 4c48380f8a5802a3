"""What a supplier answers, and what came in: shown first, then booked."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from starlette.responses import Response

from reconcile.page.asked import Asked, call_unusable, see_other
from reconcile.page.shown import link, page, planned
from reconcile.page.views.booked import BookedShown, booked_page, posted_text, takes
from reconcile.reports.orders.screen import answered_text, events_screen, kit_text
from reconcile.values.measure import quantity_text
from reconcile.values.orders.lines import UNPLACED
from reconcile.values.orders.listed import OpenLine
from reconcile.values.problem import Unusable
from reconcile.work.booking import post
from reconcile.work.ordering.answering import AnswerToBook, book_answer, prepare_answer
from reconcile.work.ordering.arriving import NOTHING_ORDERED, Typed, prepare_received
from reconcile.work.ordering.keeping import answers_kept, keep_answer
from reconcile.work.reading_typed import day_typed, quantity_typed


@dataclass(frozen=True, slots=True)
class LineChoice:
    """An open line as it is named in a form, and its words."""

    name: str
    words: str
    line: OpenLine | None = None


# --- an answer ----------------------------------------------------------------------------------------


def answer(asked: Asked) -> Response:
    """The form to hand a file over; with a file, what it changes. Nothing is booked by showing it."""
    kept = answers_kept(asked.desk.folder)
    name, prepared = asked.typed("file"), None
    if name and not asked.refused:
        name = asked.one_of("file", kept, "file")
        prepared = prepare_answer(asked.desk.asking, kept[name], asked.who)
    return answer_page(asked, kept, name, prepared)


def answer_page(asked: Asked, kept: Mapping[str, Path], name: str, prepared: AnswerToBook | None) -> Response:
    return page(asked, "answer.html", "orders", {
        "kept": list(kept), "file": name, "prepared": prepared,
        "answered": [answered_text(answered_line) for answered_line in prepared.answered] if prepared else [],
        "kits": [kit_text(kit_change) for kit_change in prepared.kits] if prepared else [],
    })  # fmt: skip


def read_answer(asked: Asked) -> Response:
    """Keeps the file that was handed over, in the folder, and shows what it changes."""
    if asked.upload is None:
        asked = replace(asked, refused=(call_unusable("file", "Choose a file first."),))
        return answer_page(asked, answers_kept(asked.desk.folder), "", None)
    kept = keep_answer(asked.desk.folder, asked.upload.name, asked.upload.data)
    return see_other(link("/orders/answer", file=kept.name))


def book(asked: Asked) -> Response:
    """Books an answer that was shown."""
    kept = answers_kept(asked.desk.folder)
    name = asked.one_of("file", kept, "file")
    try:
        prepared = prepare_answer(asked.desk.asking, kept[name], asked.who)
        posted = book_answer(prepared, in_place=True, take_differences=takes(asked))
    except Unusable as unusable:
        return answer_page(replace(asked, refused=unusable.problems), kept, name, None)
    told = [*map(answered_text, prepared.answered), *map(kit_text, prepared.kits),
            posted_text(prepared.posting.closing, (), posted)]  # fmt: skip
    remarks = (*prepared.remarks, *posted.remarks)
    then = [("/orders", "To the orders"), ("/today", "Today")]
    return booked_page(asked, "orders", BookedShown(f"The answer {name} is booked.", told, remarks, then))


# --- a delivery ---------------------------------------------------------------------------------------


def receive(asked: Asked) -> Response:
    """The form for what came in. One line is chosen by who comes from it."""
    week = planned(asked)
    choices = lines_to_come(week.open_orders.lines)
    number, line, part = asked.typed("n"), asked.typed("line"), asked.typed("part")
    chosen = asked.typed("what") or next(
        (
            choice.name
            for choice in choices
            if choice.line
            and (choice.line.order, choice.line.line) == (number, line)
            and part in ("", choice.line.part)
        ),
        "",
    )
    due = next((choice.line for choice in choices if choice.name == chosen and choice.line), None)
    bins = (
        [bin_.name for bin_ in week.stock.parts[due.part].bins]
        if due and due.part in week.stock.parts
        else []
    )
    return page(asked, "receive.html", "orders", {
        "choices": choices, "chosen": chosen, "due": due, "today": week.today, "bins": bins,
        "to_come": quantity_text(due.to_come) if due else "", "nothing_ordered": NOTHING_ORDERED,
    })  # fmt: skip


def lines_to_come(lines: tuple[OpenLine, ...]) -> list[LineChoice]:
    """Every line that something may come of, and goods that nobody ordered."""
    found = [
        LineChoice(
            f"{line.order}/{line.line or line.part}",
            f"{line.order or 'no number'}{f', line {line.line}' if line.line else ''}: "
            f"{quantity_text(line.to_come)} {line.unit} of {line.part}",
            line,
        )
        for line in lines
        if line.standing != UNPLACED
    ]
    return [*found, LineChoice(NOTHING_ORDERED, "goods that nobody ordered")]


def book_receipt(asked: Asked) -> Response:
    """Books what came in; refused, the form stands as it was typed."""
    week = planned(asked)
    try:
        names = [line.name for line in lines_to_come(week.open_orders.lines)]
        what = asked.one_of("what", names, "order line")
        prepared = prepare_received(asked.desk.asking, what, typed_of(asked), asked.who, files=False)
        posted = post(prepared.desk, prepared.posting, in_place=True, take_differences=takes(asked))
    except Unusable as unusable:
        return receive(replace(asked, refused=unusable.problems))
    posting = prepared.posting
    told = [
        events_screen(posting.beside.orders),
        posted_text(posting.closing, tuple(posting.movements), posted),
    ]
    remarks = (*prepared.remarks, *posted.remarks)
    then = [("/receive", "Receive more"), ("/orders", "To the orders"), ("/today", "Today")]
    return booked_page(asked, "orders", BookedShown("It is booked as received.", told, remarks, then))


def typed_of(asked: Asked) -> Typed:
    """Raises Unusable with what cannot be read."""
    settings = planned(asked).settings
    quantity: Fraction | None = quantity_typed(asked.typed("quantity"), "quantity", settings)
    day: date | None = day_typed(asked.typed("day"), "day")
    return Typed(
        quantity=quantity, came=asked.typed("came"), bin=asked.typed("bin"),
        finished=asked.typed("finished") == "yes", reason=asked.typed("reason"), day=day,
    )  # fmt: skip
