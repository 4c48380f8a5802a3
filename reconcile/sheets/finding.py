"""Where the files of a run are."""

import os
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from reconcile.sheets.request import Request
from reconcile.sheets.settings.file import read_settings
from reconcile.values.problem import COMMAND_LINE, Place, Problem, Unusable, problem
from reconcile.values.settings import Settings

BOOK_SUFFIXES = (".xlsx", ".xlsm", ".ods", ".xlsb", ".xls", ".csv")


FIRST_YEAR, LAST_YEAR = 1900, 9000
"""Of a day that a run may be about: around it a plan needs days before and after."""
SETTINGS_NAME = "reconcile.toml"


def overridden(settings: Settings, request: Request) -> Settings:
    """The settings of the file, but for what the request says itself."""
    if request.exact_only is not None:
        settings = replace(settings, exact_only=request.exact_only)
    if request.patience is not None:
        settings = replace(settings, patience=request.patience)
    return settings


@dataclass(frozen=True, slots=True)
class Located:
    """A request with its settings read, once, and so with the files that it is about."""

    request: Request
    settings: Settings
    """Those of the file, but for what the request says itself."""
    settings_path: Path | None

    @property
    def today(self) -> date:
        return self.request.today or date.today()

    @property
    def base(self) -> Path:
        """The folder that paths in the settings are seen from."""
        return self.settings_path.parent if self.settings_path else self.request.folder

    @property
    def jobs(self) -> Path:
        """Where the jobs workbook is. Raises Unusable (file-missing)."""
        return find_book("jobs", self.request.jobs, self.settings.jobs, self.base, self.request)

    @property
    def stock(self) -> Path:
        """Where the stock workbook is. Raises Unusable (file-missing)."""
        return find_book("stock", self.request.stock, self.settings.stock, self.base, self.request)

    @property
    def frames(self) -> Path:
        """The folder of frame files."""
        return find_frames(self.request, self.settings, self.base)

    def in_week(self, week: str) -> "Located":
        """The same files and settings, asked about for one week (``2026-W49``)."""
        return replace(self, request=replace(self.request, week=week))

    def on_all_days(self) -> "Located":
        """The same files and settings, asked about for every day there is."""
        return replace(self, request=replace(self.request, week=None, first=date.min, last=date.max))


Asking = Request | Located
"""What was asked for; located already where its settings have been read."""


def located(asking: Asking) -> Located:
    """The request with its settings. Raises Unusable as ``read_settings`` does."""
    if isinstance(asking, Located):
        return asking
    if asking.today is not None and not FIRST_YEAR <= asking.today.year <= LAST_YEAR:
        says = f"{asking.today} lies outside the years {FIRST_YEAR} to {LAST_YEAR}."
        raise Unusable(call_fault("--today", says))
    path = find_settings(asking)
    if path is not None and not os.path.lexists(path):
        says = f"There is no settings file {path}."
        raise Unusable(problem("file-missing", Place(path.name), says))
    settings = read_settings(path, asking.today or date.today())
    return Located(asking, overridden(settings, asking), path)


def located_by(settings: Settings, request: Request) -> Located:
    """The same by settings that were read for this request already."""
    return Located(request, settings, find_settings(request))


def jobs_path(asking: Asking) -> Path:
    """Where the jobs workbook is, as ``read_inputs`` finds it."""
    return located(asking).jobs


def settings_and_base(asking: Asking) -> tuple[Settings, Path]:
    """The settings, and the folder that paths in them are seen from."""
    found = located(asking)
    return found.settings, found.base


def frames_folder(asking: Asking) -> Path:
    """The folder of frame files, as a run finds it."""
    return located(asking).frames


def stock_path(asking: Asking) -> Path:
    """Where the stock workbook is, as ``read_inputs`` finds it; behind a link, the workbook itself.

    What is put in its place must not replace the link, and its ledger lies beside it.
    """
    path = located(asking).stock
    try:
        return path.resolve() if path.is_symlink() else path
    except (OSError, RuntimeError):  # a link that leads to itself: whoever opens it says so
        return path


def input_files(asking: Asking) -> list[Path]:
    """Every file that a request names, those of folders one by one. Raises as ``read_inputs`` does."""
    located_files = located(asking)
    named = [located_files.jobs, located_files.stock, located_files.frames]
    found = [path for path in (located_files.settings_path, located_files.request.accept) if path]
    for path in named:
        found += sorted(inside for inside in path.iterdir() if inside.is_file()) if path.is_dir() else [path]
    return found


def find_settings(request: Request) -> Path | None:
    if request.settings is not None:
        return request.settings
    beside = request.folder / SETTINGS_NAME
    return beside if os.path.lexists(beside) else None


def find_book(role: str, asked: Path | None, set_path: str | None, base: Path, request: Request) -> Path:
    """The path asked for, else that of the settings, else the first file of that name in the folder."""
    if asked is not None:
        return asked
    if set_path is not None:
        return base / set_path
    for suffix in BOOK_SUFFIXES:
        if os.path.lexists(path := request.folder / f"{role}{suffix}"):
            return path
    if (folder := request.folder / role).is_dir():
        return folder
    says = f"{request.folder} holds no {role} workbook ({role}.xlsx)."
    raise Unusable(problem("file-missing", Place(f"{role}.xlsx"), says, do=f"Give it with --{role}."))


def find_frames(request: Request, settings: Settings, base: Path) -> Path:
    if request.frames is not None:
        return request.frames
    return base / settings.frames if settings.frames is not None else request.folder / "frames"


def digest_of(path: Path | None) -> tuple[tuple[str, str], ...]:
    if path is None:
        return ()
    import hashlib

    return ((path.name, hashlib.sha256(path.read_bytes()).hexdigest()),)


def call_fault(option: str, says: str) -> Problem:
    return problem("call-unusable", Place(COMMAND_LINE, "", option), says)
