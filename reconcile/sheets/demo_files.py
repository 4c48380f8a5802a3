"""The demo workshop's input files, wherever the package keeps them."""

import shutil
from pathlib import Path

from reconcile.values.problem import Place, Unusable, problem


def demo_folder() -> Path:
    """Inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    packed = package / "data_demo"
    return packed if packed.is_dir() else package.parent / "data_demo"


def copy_demo(folder: Path, force: bool) -> None:
    """Copies the demo inputs into a new folder; into one that is there only with ``force``."""
    if folder.exists() and not force:
        says = f"{folder} is there already."
        raise Unusable(
            problem("output-exists", Place(str(folder)), says, do="Name a new folder, or give --force.")
        )
    try:
        shutil.copytree(
            demo_folder(), folder, dirs_exist_ok=force, ignore=shutil.ignore_patterns("*.py", "__pycache__")
        )
    except OSError as fault:
        says = f"{folder} cannot be written: {fault.strerror or fault}."
        raise Unusable(problem("output-locked", Place(str(folder)), says)) from fault
