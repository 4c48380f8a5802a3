"""``reconcile orders``: what is on its way, and all that happens to an order until it is on the shelf."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import (
    AsJson,
    Debug,
    Folder,
    FramesFolder,
    JobsFile,
    Replace,
    SettingsFile,
    StockFile,
    TakeDifferences,
    Today,
    Who,
    request_of,
)
from reconcile.commands.shell.progress import stages
from reconcile.commands.shell.terminal import Status, report, say

if TYPE_CHECKING:
    from reconcile.sheets.request import Request
    from reconcile.work.ordering.arriving import OrdersToBook, Typed

Placed = Annotated[
    str,
    typer.Option(
        "--placed",
        metavar="ORDER",
        help="Place an order by number, all of the last workbook, or a workbook.",
    ),
]
Answer = Annotated[
    Path | None,
    typer.Option(
        "--answer",
        metavar="FILE",
        help="What the supplier sent back: OrderResponse (UBL 2.1), workbook or csv.",
    ),
]
PostAnswer = Annotated[bool, typer.Option("--post", help="With --answer: book it.")]
Cancel = Annotated[
    str,
    typer.Option(
        "--cancel",
        metavar="LINE",
        help="Cancel ORDER or ORDER/LINE; give up one never placed.",
    ),
]
Received = Annotated[
    str,
    typer.Option(
        "--received",
        metavar="LINE",
        help="What came: ORDER, ORDER/LINE, a workbook or csv; - if unasked.",
    ),
]
SendBack = Annotated[
    str,
    typer.Option(
        "--send-back",
        metavar="LINE",
        help="Send goods of ORDER/LINE back.",
    ),
]
Expecting = Annotated[
    str,
    typer.Option(
        "--expect",
        metavar="WHAT",
        help="With --send-back: replacement (default) or credit.",
    ),
]
Credited = Annotated[
    str,
    typer.Option(
        "--credited",
        metavar="LINE",
        help="The credit for ORDER/LINE came.",
    ),
]
WriteOff = Annotated[
    str,
    typer.Option(
        "--write-off",
        metavar="LINE",
        help="No credit for ORDER/LINE is expected any more.",
    ),
]
Quantity = Annotated[
    str,
    typer.Option(
        "--quantity",
        metavar="NUMBER",
        help="How many, in the part's unit; default: all.",
    ),
]
Came = Annotated[
    str,
    typer.Option(
        "--came",
        metavar="PART",
        help="With --received: the part that came instead, or unasked.",
    ),
]
IntoBin = Annotated[
    str,
    typer.Option(
        "--bin",
        metavar="BIN",
        help="The bin it goes into or comes from; default: the first.",
    ),
]
Finished = Annotated[
    bool, typer.Option("--finished", help="With --received: nothing more will come of the line.")
]
Reason = Annotated[
    str,
    typer.Option(
        "--reason",
        metavar="TEXT",
        help="Why, in a few words.",
    ),
]
OnDay = Annotated[
    str,
    typer.Option(
        "--on",
        metavar="DAY",
        help="With --received: the day it came; default: today.",
    ),
]
Record = Annotated[bool, typer.Option("--record", help="How suppliers kept their word, line by line.")]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Say what would be booked; write nothing.")]
ACTIONS = (
    "--placed",
    "--answer",
    "--cancel",
    "--received",
    "--send-back",
    "--credited",
    "--write-off",
    "--record",
)


def orders(
    folder: Folder = Path(),
    placed: Placed = "",
    answer: Answer = None,
    post: PostAnswer = False,
    cancel: Cancel = "",
    received: Received = "",
    send_back: SendBack = "",
    expect: Expecting = "replacement",
    credited: Credited = "",
    write_off: WriteOff = "",
    quantity: Quantity = "",
    came: Came = "",
    bin_: IntoBin = "",
    finished: Finished = False,
    reason: Reason = "",
    on: OnDay = "",
    record: Record = False,
    replace: Replace = False,
    take_differences: TakeDifferences = False,
    who: Who = "",
    dry_run: DryRun = False,
    json: AsJson = False,
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    debug: Debug = False,
) -> None:
    """List what is on order and what hangs on it; place, answer, cancel, receive, send back.

    \b
    For example:
      reconcile orders workshop
      reconcile orders workshop --placed 2026-W49-QUIL --replace
      reconcile orders workshop --answer answer.xml --post --replace
      reconcile orders workshop --received 2026-W49-QUIL/2 --quantity 20 --replace
    Exit status: 0 fine; 1 a line comes too late for a job, is overdue or not
      placed; 2 nothing was booked.
    """  # noqa: D301

    def run() -> int:
        request = request_of(folder, jobs, stock, frames, settings, today)
        given = (placed, answer, cancel, received, send_back, credited, write_off, record)
        refuse_several([name for name, value in zip(ACTIONS, given, strict=True) if value])
        how = How(replace, take_differences, dry_run)
        if placed:
            return say_placed(request, placed, who, how)
        if answer is not None:
            return say_answer(request, answer, who, how, post=post)
        if record:
            return say_record(request)
        what = typed(quantity, came, bin_, finished, reason, on)
        to_book = prepared(request, what, who, expect, cancel, received, send_back, credited, write_off)
        return say_list(request, json) if to_book is None else say_booked(to_book, how)

    terminal.guarded(run, debug, json)


class How:
    """Where the new stock workbook goes, and whether anything is written at all."""

    def __init__(self, replace: bool, take_differences: bool, dry_run: bool) -> None:
        self.replace, self.take_differences, self.dry_run = replace, take_differences, dry_run


def refuse_several(given: list[str]) -> None:
    """Raises Unusable (call-unusable) where more than one thing is to be done."""
    from reconcile.sheets.finding import call_fault
    from reconcile.values.problem import Unusable

    if len(given) > 1:
        raise Unusable(call_fault(given[1], f"{' and '.join(given)} are two runs; do one after the other."))


def typed(quantity: str, came: str, bin_: str, finished: bool, reason: str, on: str) -> "Typed":
    """What was typed beside an order's number. Raises Unusable (call-unusable) for what cannot be read."""
    from reconcile.sheets.figures.numbers import read_number
    from reconcile.sheets.figures.text import Unreadable
    from reconcile.sheets.finding import call_fault
    from reconcile.sheets.jobs.question import read_day
    from reconcile.values.problem import Unusable
    from reconcile.work.ordering.arriving import Typed

    try:
        count = read_number(quantity) if quantity else None
    except Unreadable as why:
        raise Unusable(call_fault("--quantity", why.says)) from why
    if count is not None and count <= 0:
        raise Unusable(call_fault("--quantity", f"{quantity} is not above zero."))
    return Typed(count, came, bin_, finished, reason, read_day(on, "--on") if on else None)


def prepared(
    request: "Request", what: "Typed", who: str, expect: str, cancel: str, received: str, send_back: str,
    credited: str, write_off: str,
) -> "OrdersToBook | None":  # fmt: skip
    """What is to be booked; None where nothing is asked for but the list."""
    from reconcile.sheets.finding import call_fault
    from reconcile.values.ledger.orders import CREDIT, CREDITED, REPLACEMENT, WRITTEN_OFF
    from reconcile.values.problem import Unusable
    from reconcile.work.ordering import arriving

    if expect not in (REPLACEMENT, CREDIT):
        raise Unusable(call_fault("--expect", f"{expect!r} is neither {REPLACEMENT} nor {CREDIT}."))
    if cancel:
        return arriving.prepare_cancelling(request, cancel, what, who)
    if received:
        return arriving.prepare_received(request, received, what, who)
    if send_back:
        return arriving.prepare_sending_back(request, send_back, what, expect, who)
    if credited or write_off:
        how = CREDITED if credited else WRITTEN_OFF
        return arriving.prepare_credit(request, credited or write_off, how, what, who)
    return None


def say_list(request: "Request", json: bool) -> int:
    """Prints the list; the exit status says whether anything is to be chased."""
    from reconcile.reports.orders.chase import to_chase
    from reconcile.reports.orders.screen import list_json, list_screen
    from reconcile.work.ordering.listing import list_orders

    with stages(json) as stage:
        listed = list_orders(request, stage)
    report(listed.problems)
    say(list_json(listed.orders) if json else list_screen(listed.orders))
    return Status.SHORT if any(map(to_chase, listed.orders.lines)) else Status.FINE


def say_placed(request: "Request", which: str, who: str, how: How) -> int:
    """Shows what a buyer changed, then places."""
    from reconcile.commands.entries.close import posted_text
    from reconcile.reports.orders.screen import changes_screen
    from reconcile.reports.writing.text import written_lines
    from reconcile.work.ordering.placing import book_placing, prepare_placing

    prepared_orders = prepare_placing(request, which, who)
    report(prepared_orders.remarks)
    say(changes_screen([each.written for each in prepared_orders.orders]))
    if how.dry_run:
        return Status.FINE
    done = book_placing(prepared_orders, in_place=how.replace, take_differences=how.take_differences)
    report(done.posted.remarks)
    say(written_lines(done.files))
    say(posted_text(prepared_orders.posting, done.posted))
    return Status.FINE


def say_answer(request: "Request", path: Path, who: str, how: How, *, post: bool) -> int:
    """Shows what an answer changes, and books it where that is asked for."""
    from reconcile.commands.entries.close import posted_text
    from reconcile.reports.orders.screen import answer_screen
    from reconcile.work.ordering.answering import book_answer, prepare_answer

    found = prepare_answer(request, path, who)
    report(found.remarks)
    books = post and not how.dry_run
    say(answer_screen(found.answered, found.kits, posted=books))
    if books:
        posted = book_answer(found, in_place=how.replace, take_differences=how.take_differences)
        report(posted.remarks)
        say(posted_text(found.posting, posted))
    return Status.FINE


def say_booked(to_book: "OrdersToBook", how: How) -> int:
    """Books what was typed, or says what would be booked."""
    from reconcile.commands.entries.close import posted_text
    from reconcile.reports.closing.ledger_screen import to_book_screen
    from reconcile.reports.orders.screen import events_screen
    from reconcile.work.booking import post

    report(to_book.remarks)
    posting = to_book.posting
    say(events_screen(posting.beside.orders))
    if how.dry_run:
        say(to_book_screen(posting.closing, posting.movements))
        return Status.FINE
    posted = post(to_book.desk, posting, in_place=how.replace, take_differences=how.take_differences)
    report(posted.remarks)
    say(posted_text(posting, posted))
    return Status.FINE


def say_record(request: "Request") -> int:
    """Prints every supplier's record."""
    from reconcile.reports.orders.screen import records_screen
    from reconcile.work.ordering.listing import suppliers_recorded

    found = suppliers_recorded(request)
    report(found.problems)
    say(records_screen(found.suppliers))
    return Status.FINE
