"""Which line of a job: the words by which movements, returns and the ledger name it."""

from reconcile.values.records import dataclass

FIT, REMOVE = "fit", "remove"
BOLT, SPACER = "bolt", "spacer"


@dataclass(frozen=True, slots=True)
class LineKey:
    """What is done with what, where. Blank where a row does not say."""

    do: str = ""
    """FIT or REMOVE."""
    what: str = ""
    """"bolt", "spacer", "cover", "sized", "extra" or "disturbed"."""
    name: str = ""
    side: str = ""
    """"left", "right", or "" for a single stack or the whole chair."""

    @property
    def fits(self) -> bool:
        return self.do == FIT
