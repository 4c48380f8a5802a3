"""What the pages of a printed workbook say at their foot, and the paper that they are for."""

from datetime import datetime

from reconcile.values.days import Period
from reconcile.values.records import dataclass


@dataclass(frozen=True, slots=True)
class PageFoot:
    """The days and the time that a workbook is of; its country decides on the paper ("" for none named)."""

    period: Period
    as_of: datetime
    country: str = ""
