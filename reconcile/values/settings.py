"""The workshop's settings, all optional, each with the default that the formats page gives."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from reconcile.values.days import WorkDays


@dataclass(frozen=True, slots=True)
class Settings:
    length_unit: str | None = None
    """Unit of a bare length where its heading names none: "in", "mm" or None (then an error)."""
    date_order: str | None = None
    """"dmy" or "mdy": how text like 3/12/2026 is read; None makes it an error."""
    decimal: str | None = None
    """"." or ",": how 1,234 and 1.234 are read; None makes an ambiguous one an error."""
    currency: str = ""
    """ISO 4217 code for prices whose row names none."""
    days: WorkDays = field(default_factory=WorkDays)
    inspection_days: int = 1
    """Working days until a recovered part may be used; at least 1, never the same day."""
    use_recovered: bool = True
    exact_only: bool = False
    """No bolt of another length than the one asked for serves a job."""
    patience: float = 10
    """Seconds that the choice of kits may take before it settles for the best found."""
    headings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Our heading to the shop's own spellings of it."""
    jobs: str | None = None
    stock: str | None = None
    frames: str | None = None
    """Paths of the inputs, relative to the settings file."""
    country: str | None = None
    """ISO 3166 country whose public holidays are added."""
    subdivision: str | None = None
