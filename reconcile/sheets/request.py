"""What a run was asked for."""

from datetime import date
from pathlib import Path

from reconcile.values.records import dataclass


@dataclass(frozen=True, slots=True)
class Request:
    """What was asked for on the command line; None where nothing was said."""

    folder: Path = Path()
    jobs: Path | None = None
    stock: Path | None = None
    frames: Path | None = None
    settings: Path | None = None
    today: date | None = None
    week: str | None = None
    first: date | None = None
    last: date | None = None
    exact_only: bool | None = None
    """Whether no bolt of another length than the one asked for serves a job; None: as the settings say."""
    patience: float | None = None
    """Seconds for the choice of kits; None: as the settings say."""
    for_kits_alone: bool = False
    """Only kits are asked for: suppliers, price breaks and usage are not read."""
    accept: Path | None = None
    """A file that says how lengths which became dates are to be read."""
    count_cells: bool = False
    """What became of every filled cell is asked for, of sheets that are not read as well."""
