"""By what a workbook and its ledger know that they belong together."""

import re
from dataclasses import dataclass

LONGEST_WEEK = 60
"""Characters of a week's name in a mark: a spreadsheet program shows 255 of a property."""

_TOLD = re.compile(r"([0-9a-f-]{1,40}) ([0-9]{1,12}) ([0-9a-f]{16})(?: (.{1,60}))?")


@dataclass(frozen=True, slots=True)
class Mark:
    """The ledger's own identity and the number of a closing in it; on a workbook, of the one it came from."""

    identity: str
    """Drawn once at random when the ledger is made; "" for a ledger of a format that has none."""
    counter: int
    """Of the closing, in the order of posting; 0 before the first."""
    token: str = ""
    """Drawn at random for that closing: two that went on from one copy differ in it. "" of a ledger alone."""
    week: str = ""
    """The last week whose closing stood then; "" where there was none."""

    def __str__(self) -> str:
        week = self.week if len(self.week) <= LONGEST_WEEK else ""
        return f"{self.identity} {self.counter} {self.token} {week}".rstrip()


def mark_of(text: str) -> Mark | None:
    """A mark from what ``str`` made of it; None for any other text."""
    found = _TOLD.fullmatch(text)
    return Mark(found[1], int(found[2]), found[3], found[4] or "") if found else None


FITS = "fits"
"""The workbook is that of the ledger's last closing; or neither says, and balances must judge."""
UNMARKED = "unmarked"
"""The workbook has no mark: balances judge where there is a ledger."""
BEFORE = "before"
"""The workbook is from before the ledger's last closing."""
LOST, EMPTY, OLDER, FOREIGN = "lost", "empty", "older", "foreign"
"""The ledger that the workbook was closed into is not there; or what lies there has no closing, lacks the
last ones, or is another."""
APART = (LOST, EMPTY, OLDER, FOREIGN)
"""What forbids every booking."""
