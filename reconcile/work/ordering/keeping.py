"""Suppliers' answers that were handed over, kept in the workshop's folder: none is written over."""

from functools import partial
from pathlib import Path

from reconcile.ledger.files import free_path
from reconcile.reports.writing.csv_files import safe_file_name
from reconcile.reports.writing.files import write_all
from reconcile.sheets.finding import call_fault
from reconcile.values.problem import Unusable
from reconcile.work.planning import REPORTS

ANSWERS = "answers"
ENDINGS = (".xml", ".csv", ".xlsx", ".xlsm", ".ods", ".xls", ".xlsb")
LONGEST_NAME = 80


def answers_kept(folder: Path) -> dict[str, Path]:
    """Every answer that is kept, by its name: plain files of that one folder; no link, no other place."""
    place = folder / REPORTS / ANSWERS
    if place.is_symlink() or not place.is_dir():
        return {}
    found = (path for path in sorted(place.iterdir()) if path.is_file() and not path.is_symlink())
    return {path.name: path for path in found if is_answer(path.name)}


def is_answer(name: str) -> bool:
    return not name.startswith((".", "~")) and Path(name).suffix.lower() in ENDINGS


def keep_answer(folder: Path, name: str, data: bytes) -> Path:
    """Writes what was handed over under a safe name of its own. Raises Unusable (call-unusable) for another
    kind of file than an answer can be; and as ``write_all`` does.
    """
    base = name.replace("\\", "/").rpartition("/")[2]
    ending = Path(base).suffix.lower()
    if ending not in ENDINGS:
        raise Unusable(call_fault("file", f"{base or 'The file'} is none of {', '.join(ENDINGS)}."))
    stem = safe_file_name(Path(base).stem)[:LONGEST_NAME].strip(". ") or "answer"
    path = free_path(folder / REPORTS / ANSWERS / f"{stem}{ending}")
    write_all([(path, partial(_write, data))])
    return path


def _write(data: bytes, path: Path) -> None:
    path.write_bytes(data)
