"""``reconcile open``: the page for those who don't type commands, on this machine alone."""

from pathlib import Path
from typing import Annotated

import typer

from reconcile.commands.shell import terminal
from reconcile.commands.shell.options import AcceptFile, Debug, Folder, Today, request_of
from reconcile.commands.shell.terminal import Status, say


def open_page(
    folder: Folder = Path(),
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Say the address; open nothing.")] = False,
    port: Annotated[
        int,
        typer.Option(
            "--port", metavar="NUMBER", help="The port to listen on; 0 takes a free one.", min=0, max=65535
        ),
    ] = 0,
    shortcut: Annotated[
        bool, typer.Option("--shortcut", help="Write files to double-click into the folder; open nothing.")
    ] = False,
    today: Today = "",
    accept: AcceptFile = None,
    debug: Debug = False,
) -> None:
    """Open the workshop in the browser: the same answers, without typing.

    \b
    For example:
      reconcile open workshop
      reconcile open workshop --no-browser
      reconcile open workshop --shortcut
    It ends with its button Stop, or with Ctrl-C. Other machines are not let in.
    Exit status: 0 stopped; 2 it could not be started.
    """  # noqa: D301

    def run() -> int:
        from dataclasses import replace

        refuse_no_folder(folder)
        if shortcut:
            return write_shortcuts(folder)
        request = replace(request_of(folder, today=today), accept=accept)
        from reconcile.page.serving import serve

        try:
            serve(request, port, lambda address: tell(address, browser=not no_browser))
        except OSError as fault:
            refuse("--port", f"The port {port} cannot be listened on: {fault.strerror or fault}.")
        say("Stopped.")
        return Status.FINE

    terminal.guarded(run, debug, json=False)


def tell(address: str, *, browser: bool) -> None:
    """Says the address, and opens it in the browser that the system knows."""
    say(f"The page is at {address}\nIt ends with its button Stop, or here with Ctrl-C.")
    if browser:
        import webbrowser

        if not webbrowser.open(address):
            say("No browser could be opened: copy the address into one.", "stderr")


def write_shortcuts(folder: Path) -> Status:
    """Writes the three files, none over one that is there; those that are run may be run."""
    from functools import partial

    from reconcile.page.shortcut import refused, shortcuts
    from reconcile.reports.writing.files import write_all
    from reconcile.reports.writing.text import written_lines

    if why := refused(folder):
        refuse("FOLDER", why)
    texts = {folder / name: text for name, text in shortcuts(folder).items()}
    write_all([(path, partial(write_exactly, text)) for path, text in texts.items()])
    for path in texts:
        if path.suffix in (".command", ".desktop"):
            path.chmod(path.stat().st_mode | 0o100)
    say(written_lines(list(texts)))
    return Status.FINE


def write_exactly(text: str, path: Path) -> None:
    """In UTF-8, with the line ends that the text has."""
    path.write_bytes(text.encode("utf-8"))


def refuse_no_folder(folder: Path) -> None:
    """Raises Unusable where there is no such folder."""
    if not folder.is_dir():
        refuse("FOLDER", f"{folder} is no folder.")


def refuse(option: str, says: str) -> None:
    """Raises Unusable (call-unusable)."""
    from reconcile.sheets.finding import call_fault
    from reconcile.values.problem import Unusable

    raise Unusable(call_fault(option, says))
