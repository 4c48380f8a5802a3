"""By what a workbook and its ledger know that they belong together."""

from reconcile.values.records import dataclass


@dataclass(frozen=True, slots=True)
class Mark:
    """The ledger's own identity and the number of a closing in it."""

    identity: str
    """Drawn once at random when the ledger is made; "" for a ledger of a format that has none."""
    counter: int
    """Of the closing, in the order of posting; 0 before the first."""
