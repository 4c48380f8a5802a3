"""Where a run's files are, by settings that were read already: they are read once a run."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from reconcile.sheets.finding import find_book, find_frames, find_settings, settings_and_base
from reconcile.sheets.request import Request
from reconcile.values.settings import Settings


@dataclass(frozen=True, slots=True)
class Places:
    """The files of a request as its settings name them. Raises Unusable (file-missing) for one not there."""

    request: Request
    settings: Settings
    base: Path
    """The folder that paths in the settings are seen from."""

    @property
    def today(self) -> date:
        """The day taken as today."""
        return self.request.today or date.today()

    def jobs(self) -> Path:
        """The jobs workbook."""
        return find_book("jobs", self.request.jobs, self.settings.jobs, self.base, self.request)

    def stock(self) -> Path:
        """The stock workbook; behind a link, the workbook itself.

        What is put in its place must not replace the link, and its ledger lies beside it.
        """
        path = find_book("stock", self.request.stock, self.settings.stock, self.base, self.request)
        return path.resolve() if path.is_symlink() else path

    def inputs(self) -> list[Path]:
        """Every file that the request names, those of folders one by one: no output may replace one."""
        request = self.request
        named = [
            find_book("jobs", request.jobs, self.settings.jobs, self.base, request),
            find_book("stock", request.stock, self.settings.stock, self.base, request),
            find_frames(request, self.settings, self.base),
        ]
        found = [path for path in (find_settings(request), request.accept) if path]
        for path in named:
            inside = path.iterdir() if path.is_dir() else ()
            found += sorted(file for file in inside if file.is_file()) if path.is_dir() else [path]
        return found


def read_places(request: Request) -> Places:
    """Reads the settings. Raises Unusable as ``read_settings`` does."""
    return Places(request, *settings_and_base(request))


def places_by(settings: Settings, request: Request) -> Places:
    """The places by settings that were read for this request; nothing is read again."""
    path = find_settings(request)
    return Places(request, settings, path.parent if path else request.folder)
