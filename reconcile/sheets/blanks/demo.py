"""The demo workshop's input files, wherever the package keeps them."""

import secrets
import shutil
from pathlib import Path

from reconcile.values.problem import Place, Unusable, problem


def demo_folder() -> Path:
    """Inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parents[2]
    packed = package / "data_demo"
    return packed if packed.is_dir() else package.parent / "data_demo"


def copy_demo(folder: Path, force: bool) -> None:
    """Copies the demo inputs into a new folder; into one that is there only with ``force``."""
    if folder.exists() and not force:
        says = f"{folder} is there already."
        raise Unusable(
            problem("output-exists", Place(str(folder)), says, do="Name a new folder, or give --force.")
        )
    new = not folder.exists()
    # Aside first, so that a demo is there whole or not at all.
    target = folder.with_name(f".{folder.name}-{secrets.token_hex(8)}") if new else folder
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
