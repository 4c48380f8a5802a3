"""The workshop's settings, all optional, each with the default that the formats page gives."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from reconcile.values.days import WorkDays
from reconcile.values.rules import Buying, Counting, LevelRules

MEGABYTE = 1_000_000
DEFAULT_PATIENCE = 10.0
"""Seconds that the choice of kits may take, unless said otherwise."""


@dataclass(frozen=True, slots=True)
class Limits:
    """How much of a file is read at most, so that a damaged or hostile one ends soon."""

    expanded_mb: int = 200
    """Most megabytes (a million bytes each) of a csv file, or of a workbook once it is expanded."""
    cells: int = 2_000_000
    """Most cells that a sheet spans from its first to its last filled one, blank ones between included."""

    @property
    def expanded(self) -> int:
        """The same in bytes."""
        return self.expanded_mb * MEGABYTE


@dataclass(frozen=True, slots=True)
class CsvForm:
    """What is declared of the csv files; None is found out of each file itself."""

    delimiter: str | None = None
    encoding: str | None = None
    """A name that Python knows the encoding by."""


@dataclass(frozen=True, slots=True)
class Workshop:
    """Who orders, as it stands at the head of an order; "" or nothing where the settings do not say."""

    name: str = ""
    address: tuple[str, ...] = ()
    """Street and house, in as many lines as it has."""
    city: str = ""
    postal_code: str = ""
    country: str = ""
    """ISO 3166-1 alpha-2."""
    contact: str = ""
    phone: str = ""
    email: str = ""
    vat_id: str = ""
    tax_id: str = ""
    """The number of another tax than VAT."""
    deliver_to: tuple[str, ...] = ()
    """The whole address in lines, where it is not the one above."""

    @property
    def complete(self) -> bool:
        """Whether a supplier can tell who orders, and where to deliver."""
        return bool(self.name and (self.deliver_to or (self.address and self.city)))


DEFAULT_LIMITS, NOTHING_DECLARED = Limits(), CsvForm()


@dataclass(frozen=True, slots=True)
class Settings:
    """All that the settings file may say, with what holds where it says nothing."""

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
    look_ahead_weeks: int = 8
    """Weeks of seven days after today whose jobs count beside those of the period."""
    lead_time_days: int | None = None
    """Working days from order to delivery of parts that name none; None: such parts cannot be had in time."""
    closing: bool = True
    """Whether this workshop closes its weeks; else days before today are taken as done."""
    exact_only: bool = False
    """No bolt of another length than the one asked for serves a job."""
    patience: float = DEFAULT_PATIENCE
    """Seconds that the choice of kits may take before it settles for the best found."""
    unit: str = ""
    """Unit of parts whose row names none; "" makes that an error."""
    headings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Our heading to the shop's own spellings of it."""
    ignored: tuple[str, ...] = ()
    """Headings of the shop whose columns are left out on purpose."""
    sheets: Mapping[str, str] = field(default_factory=dict)
    """Our name of a sheet, folded, to the shop's own name for it."""
    jobs: str | None = None
    stock: str | None = None
    frames: str | None = None
    """Paths of the inputs, relative to the settings file."""
    country: str | None = None
    """ISO 3166 country whose public holidays are added."""
    subdivision: str | None = None
    limits: Limits = field(default_factory=Limits)
    workshop: Workshop = field(default_factory=Workshop)
    buying: Buying = field(default_factory=Buying)
    counting: Counting = field(default_factory=Counting)
    levels: LevelRules = field(default_factory=LevelRules)
    csv_delimiter: str | None = None
    """The mark between the cells of every csv file; None: found file by file."""
    csv_encoding: str | None = None
    """The encoding of every csv file; None: found file by file."""

    @property
    def csv_form(self) -> CsvForm:
        """What is declared of the csv files."""
        return CsvForm(self.csv_delimiter, self.csv_encoding)
