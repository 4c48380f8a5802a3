"""What a workbook says of a sheet beside its values: faults, what is hidden, what is merged.

The readers of each kind of file fill these in; ``remarks`` turns them into words.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

ERROR_VALUE, NOT_CALCULATED = "cell-error", "formula-not-calculated"

GIVES_NOTHING = "a formula that gives nothing"
"""What a cell holds whose file does not say whether the formula in it was ever calculated."""

CODES_OF_ERRORS = {
    0x00: "#NULL!",
    0x07: "#DIV/0!",
    0x0F: "#VALUE!",
    0x17: "#REF!",
    0x1D: "#NAME?",
    0x24: "#NUM!",
    0x2A: "#N/A",
    0x2B: "#GETTING_DATA",
}
"""Error values as the binary kinds of file number them ([MS-XLS] and [MS-XLSB], BErr)."""


_ERROR_TEXT = re.compile(r"#(?:N/A|N/D|NV|GETTING_DATA|[^\W\d_]+ ?(?:/0)?[!?])|(?:Err|Fehler):[0-9]{3}")
"""How error values read once they are text, as in a csv file, also in some other tongues (from memory)."""


def error_in_text(text: str) -> str:
    """The error value that a text is, "" where it is none.

    >>> error_in_text(" #DIV/0! "), error_in_text("#10-32")
    ('#DIV/0!', '')
    """
    stripped = text.strip() if "#" in text or "rr:" in text or "er:" in text else ""
    return stripped if _ERROR_TEXT.fullmatch(stripped) else ""


ODS_CONTENT = "content.xml"
"""The part by which an ods file is told from other archives, and which holds its sheets."""


class OtherVersion(Exception):
    """The workbook is of a version before BIFF8, whose records are not read here."""


@dataclass(frozen=True, slots=True)
class CellFault:
    """Why a cell that reads as empty or as nothing is none: ``code`` of the catalogue, what it holds."""

    code: str
    holds: str
    """``#N/A``, the formula ``=SUM(C2:C9)``, or ``a formula`` where its text is not kept."""


@dataclass(frozen=True, slots=True, order=True)
class Block:
    """A merged range; rows and columns from 1, both ends within."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int


@dataclass(frozen=True, slots=True)
class Marks:
    """All that one sheet says beside its values. Rows and columns count from 1."""

    faults: Mapping[str, CellFault] = field(default_factory=dict)
    """By address, ``B2``."""
    hidden_rows: tuple[range, ...] = ()
    hidden_columns: tuple[range, ...] = ()
    sheet_hidden: bool = False
    merged: tuple[Block, ...] = ()
    unsure: tuple[str, ...] = ()
    """Addresses of formulas that give nothing or zero, of which the file does not say whether they were
    ever calculated."""
    untold: str = ""
    """Why nothing of this could be read of the sheet; "" where it could."""


NO_MARKS = Marks()


def joined(ranges: Iterable[range]) -> tuple[range, ...]:
    """Ranges in order, those that touch made one; they may be long, so their numbers are not looked at.

    >>> joined([range(4, 5), range(5, 6), range(9, 10)])
    (range(4, 6), range(9, 10))
    """
    whole: list[range] = []
    for span in sorted(ranges, key=lambda one: one.start):
        if whole and span.start <= whole[-1].stop:
            whole[-1] = range(whole[-1].start, max(whole[-1].stop, span.stop))
        else:
            whole.append(span)
    return tuple(whole)


def ranges_of(numbers: Iterable[int]) -> tuple[range, ...]:
    """Numbers as ranges of neighbours, in order.

    >>> ranges_of([22, 14, 15, 16])
    (range(14, 17), range(22, 23))
    """
    return joined(range(number, number + 1) for number in set(numbers))
