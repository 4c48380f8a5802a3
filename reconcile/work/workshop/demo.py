"""Set up the demo workshop: its input files in a folder."""

import shutil
from pathlib import Path

from reconcile.reports.writing.files import clear_forgotten, name_aside
from reconcile.sheets.blanks.demo import demo_folder
from reconcile.values.problem import Place, Unusable, problem


def copy_demo(folder: Path, force: bool) -> None:
    """Copies the demo inputs into a new folder; into one that is there only with ``force``.

    A new one is there whole or not at all, and what a killed run left aside is cleared by the next. Raises
    Unusable: output-exists, output-locked.
    """
    if folder.exists() and not force:
        says = f"{folder} is there already."
        raise Unusable(
            problem("output-exists", Place(str(folder)), says, do="Name a new folder, or give --force.")
        )
    new = not folder.exists()
    clear_forgotten(folder.absolute().parent)
    target = name_aside(folder.absolute(), "new") if new else folder
    try:
        shutil.copytree(
            demo_folder(), target, dirs_exist_ok=force, ignore=shutil.ignore_patterns("*.py", "__pycache__")
        )
        if new:
            target.rename(folder)
    except OSError as fault:
        if new:
            shutil.rmtree(target, ignore_errors=True)
        says = f"{folder} cannot be written: {_reason(fault)}."
        did = "" if new else "Some of its files may be there by now."
        raise Unusable(problem("output-locked", Place(str(folder)), says, did=did)) from fault


def _reason(fault: OSError) -> str:
    """Why a file could not be copied; of several, the first."""
    if isinstance(fault, shutil.Error) and fault.args and fault.args[0]:
        return str(fault.args[0][0][-1])
    return fault.strerror or str(fault)
