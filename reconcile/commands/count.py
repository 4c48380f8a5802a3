"""``reconcile count``: sheets to count the shelf by, and what was counted read back and booked."""

from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands import running
from reconcile.commands.close import Replace, Take, Who
from reconcile.commands.options import (
    Debug,
    Folder,
    FramesFolder,
    JobsFile,
    Quiet,
    SettingsFile,
    StockFile,
    Today,
)
from reconcile.commands.progress import stages
from reconcile.work.planning import request_of


def count(
    folder: Folder = Path(),
    week: Annotated[str, typer.Option("--week", help="The ISO week to count in, like 2026-W49.")] = "",
    show_book: Annotated[
        bool, typer.Option("--show-book", help="Print book quantities and reasons; default: a blind sheet.")
    ] = False,
    read: Annotated[
        list[Path] | None,
        typer.Option("--read", help="A sheet that was filled in. Give a second count after the first."),
    ] = None,
    recount: Annotated[
        bool, typer.Option("--recount", help="With --read: write a sheet of what must be counted again.")
    ] = False,
    accept: Annotated[
        bool, typer.Option("--trust-count", help="With --read: take differences beyond tolerance as counted.")
    ] = False,
    post: Annotated[
        bool, typer.Option("--post", help="With --read: book what is accepted into ledger and stock.")
    ] = False,
    replace: Replace = False,
    take_differences: Take = False,
    who: Who = "",
    out: Annotated[
        Path | None, typer.Option("--out", help="Folder for the sheets; default: reports in FOLDER.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace sheets that are there already.")] = False,
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
    Exit status: 0 fine; 1 something is to be counted again or was set aside; 2 unusable.
    """  # noqa: D301

    def run() -> int:
        from reconcile.work.count import Asked, read_back, write_sheet

        asked = Asked(
            request_of(folder, jobs, stock, frames, settings, today, week),
            tuple(read or ()), out or folder / "reports", force=force, blind=not show_book, recount=recount,
            accept=accept, post=post, in_place=replace, take=take_differences, who=who,
        )  # fmt: skip
        with stages(quiet) as stage:
            told, status = read_back(asked, stage) if asked.read else write_sheet(asked, stage)
        running.sayer(quiet)(told)
        return status

    running.guarded(run, debug, json=False)
