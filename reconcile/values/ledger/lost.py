"""What is lost where a new ledger is begun in the place of one that is gone."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Lost:
    """As the workbook's mark and its sheets tell it; nobody else knows any more."""

    identity: str = ""
    """Of the ledger that is gone; "" where the workbook bears no mark."""
    closings: int = 0
    """How many it had when the workbook was last closed into it."""
    week: str = ""
    """The last week whose closing stood; it stays closed in the new ledger."""
    jobs: tuple[str, ...] = ()
    """Jobs that Usage names: the new ledger takes them as done, so that they are not booked again."""
    bins: int = 0
    """How many bins the new ledger opens, by what the sheet says."""
