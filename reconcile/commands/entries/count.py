"""``reconcile count``: sheets to count the shelf by, and what was counted read back and booked."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import (
    Debug,
    Folder,
    ForceSheets,
    FramesFolder,
    JobsFile,
    PostCount,
    Quiet,
    Recount,
    Replace,
    SettingsFile,
    SheetsOut,
    SheetsRead,
    ShowBook,
    StockFile,
    TakeDifferences,
    Today,
    TrustCount,
    WeekCounted,
    Who,
    request_of,
)
from reconcile.commands.shell.progress import stages
from reconcile.commands.shell.terminal import Status, report
from reconcile.values.problem import Unusable

if TYPE_CHECKING:
    from reconcile.work.entries.count import CountBooked, CountJudged, CountRequest, SheetToCount
    from reconcile.work.stages import Stage


def count(
    folder: Folder = Path(),
    week: WeekCounted = "",
    show_book: ShowBook = False,
    read: SheetsRead = None,
    recount: Recount = False,
    trust: TrustCount = False,
    post: PostCount = False,
    replace: Replace = False,
    take_differences: TakeDifferences = False,
    who: Who = "",
    out: SheetsOut = None,
    force: ForceSheets = False,
    today: Today = "",
    jobs: JobsFile = None,
    stock: StockFile = None,
    frames: FramesFolder = None,
    settings: SettingsFile = None,
    quiet: Quiet = False,
    debug: Debug = False,
) -> None:
    """Write a week's count sheet, or read one back, show the differences, and book them.

    \b
    For example:
      reconcile count workshop
      reconcile count workshop --read count-2026-W49.xlsx
      reconcile count workshop --read count-2026-W49.xlsx --post --who Stores
    Exit status: 0 fine; 1 something is to be counted again or was set aside;
      2 unusable.
    """  # noqa: D301

    def run() -> int:
        from reconcile.work.entries.count import CountRequest, write_sheet

        request = request_of(folder, jobs, stock, frames, settings, today, week)
        wanted = CountRequest(
            request, out or folder / "reports", tuple(read or ()), who=who, force=force, blind=not show_book,
            trust=trust, recount=recount, post=post, in_place=replace, take_differences=take_differences,
        )  # fmt: skip
        with stages(quiet) as stage:
            if wanted.read:
                text, status = read_back(wanted, stage)
            else:
                refuse_unread({"--post": post, "--trust-count": trust, "--recount": recount})
                text, status = sheet_text(write_sheet(wanted, stage)), Status.FINE
        terminal.sayer(quiet)(text)
        return status

    terminal.guarded(run, debug, json=False)


def read_back(wanted: "CountRequest", stage: "Stage") -> tuple[str, Status]:
    """What was counted and what became of it; the exit status. Remarks are told as soon as there are any."""
    from reconcile.work.entries.count import book_count, judge_sheets, open_table, write_again

    table = open_table(wanted, stage)
    report(table.remarks)
    judged = judge_sheets(wanted, table)
    booked = book_count(judged, table, wanted)
    report(booked.posted.remarks if booked else ())
    again = write_again(judged.result, wanted, table.shelves, booked)
    text = read_back_text(judged, booked, again, post=wanted.post)
    return text, Status.FINE if judged.whole else Status.SHORT


def refuse_unread(options: Mapping[str, bool]) -> None:
    """Raises Unusable (call-unusable) for the first option given that needs a sheet to read."""
    from reconcile.sheets.finding import call_fault

    for name, given in options.items():
        if given:
            raise Unusable(call_fault(name, f"{name} needs a sheet that was filled in: --read SHEET."))


def sheet_text(made: "SheetToCount") -> str:
    """What is to be counted, and where the sheet is."""
    from reconcile.reports.counts.screen import sheet_screen
    from reconcile.reports.writing.text import written_lines

    screen = sheet_screen(
        made.sheet, made.by_class, made.rules, set_aside=made.set_aside, unplanned=made.unplanned
    )
    return "\n\n".join((screen, written_lines([made.file]))) if made.file else screen


def read_back_text(
    judged: "CountJudged", booked: "CountBooked | None", again: Path | None, *, post: bool
) -> str:
    """What was counted, what was booked of it, where the sheet of open lines is, and what to do next."""
    from reconcile.reports.closing.ledger_screen import posted_screen
    from reconcile.reports.counts.screen import next_steps, result_screen
    from reconcile.reports.writing.text import written_lines

    result = judged.result
    sections = [result_screen(result, judged.accuracy, posted=booked is not None)]
    if booked:
        posted = booked.posted
        sections.append(
            posted_screen(
                booked.closing, booked.movements, posted.written, posted.kept, posted.taken,
                finished=posted.finished,
            )
        )  # fmt: skip
    elif post:
        sections.append("Nothing is booked: no line is settled that was not booked before.")
    if again:
        sections.append(written_lines([again]))
    steps = next_steps(result, posted=booked is not None, written=again is not None)
    return "\n\n".join(filter(None, (*sections, steps)))
