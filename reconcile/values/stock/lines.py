"""Which line of a job: the words by which movements, returns and the ledger name it."""

from dataclasses import dataclass

from reconcile.values.words import fold

FIT, REMOVE = "fit", "remove"
BOLT, SPACER = "bolt", "spacer"
REPLACE = "replace on reassembly"
"""What is used up because it stands in the way."""

TRADE_WORDS = {
    BOLT: BOLT, SPACER: SPACER, "cover": "cover", "sized": "part by size",
    "extra": "used with the bolt", "disturbed": REPLACE,
}  # fmt: skip
"""The kinds of lines, as the trade says them."""


def what_of(word: str) -> str:
    """The kind of line that a sheet names, by the trade's word or by ours; other words as they are."""
    return next((kind for kind, said in TRADE_WORDS.items() if fold(said) == fold(word)), word)


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
