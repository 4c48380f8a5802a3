"""Where the files of a run are."""

from dataclasses import replace
from datetime import date
from pathlib import Path

from reconcile.sheets.request import Request
from reconcile.sheets.settings.file import read_settings
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import Settings

BOOK_SUFFIXES = (".xlsx", ".xlsm", ".ods", ".xlsb", ".xls", ".csv")


SETTINGS_NAME = "reconcile.toml"


def overridden(settings: Settings, request: Request) -> Settings:
    """The settings of the file, but for what the request says itself."""
    if request.exact_only is not None:
        settings = replace(settings, exact_only=request.exact_only)
    if request.patience is not None:
        settings = replace(settings, patience=request.patience)
    return settings


def jobs_path(request: Request) -> Path:
    """Where the jobs workbook is, as ``read_inputs`` finds it."""
    settings, base = settings_and_base(request)
    return find_book("jobs", request.jobs, settings.jobs, base, request)


def settings_and_base(request: Request) -> tuple[Settings, Path]:
    """The settings, and the folder that paths in them are seen from."""
    path = find_settings(request)
    settings, _ = read_settings(path, request.today or date.today())
    return settings, path.parent if path else request.folder


def frames_folder(request: Request) -> Path:
    """The folder of frame files, as a run finds it."""
    settings, base = settings_and_base(request)
    return find_frames(request, settings, base)


def stock_path(request: Request) -> Path:
    """Where the stock workbook is, as ``read_inputs`` finds it; behind a link, the workbook itself.

    What is put in its place must not replace the link, and its ledger lies beside it.
    """
    settings_path = find_settings(request)
    settings, _ = read_settings(settings_path, request.today or date.today())
    base = settings_path.parent if settings_path else request.folder
    path = find_book("stock", request.stock, settings.stock, base, request)
    return path.resolve() if path.is_symlink() else path


def input_files(request: Request) -> list[Path]:
    """Every file that a request names, those of folders one by one. Raises as ``read_inputs`` does."""
    settings_path = find_settings(request)
    settings, base = settings_and_base(request)
    named = [
        find_book("jobs", request.jobs, settings.jobs, base, request),
        find_book("stock", request.stock, settings.stock, base, request),
        find_frames(request, settings, base),
    ]
    found = [path for path in (settings_path, request.accept) if path]
    for path in named:
        found += sorted(each for each in path.iterdir() if each.is_file()) if path.is_dir() else [path]
    return found


def find_settings(request: Request) -> Path | None:
    if request.settings is not None:
        return request.settings
    beside = request.folder / SETTINGS_NAME
    return beside if beside.is_file() else None


def find_book(role: str, asked: Path | None, set_path: str | None, base: Path, request: Request) -> Path:
    """The path asked for, else that of the settings, else the first file of that name in the folder."""
    if asked is not None:
        return asked
    if set_path is not None:
        return base / set_path
    for suffix in BOOK_SUFFIXES:
        if (path := request.folder / f"{role}{suffix}").is_file():
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
    return problem("call-unusable", Place("command line", "", option), says)
