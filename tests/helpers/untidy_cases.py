"""What people keep in a sheet beside data, as data: a few rows, and the (cell, code) list that they give.

Every case goes through a workbook and, unless it says otherwise, through csv as well, where a date is the
text that it is shown as.
"""

from dataclasses import dataclass, field
from datetime import date, time
from typing import Any

from reconcile.values.settings import Settings

TUESDAY = date(2026, 12, 1)
INCHES = Settings(length_unit="in")
STOCK = ["part", "on hand", "unit", "thread", "length", "head"]
JOBS = ["job", "date", "frame", "from", "to"]
ORDERS = ["order", "part", "quantity", "due"]
USAGE = ["date", "part", "quantity", "job"]
NBSP, ZERO_WIDTH, SOFT_HYPHEN, RIGHT_TO_LEFT = "\u00a0", "\u200b", "\u00ad", "\u200f"


@dataclass(frozen=True)
class Case:
    """Rows below ``headings`` (in row 1), and what comes of them: problems, and who is used, by number."""

    name: str
    rows: list[list[Any]]
    expected: list[tuple[str, str]]
    used: list[str]
    sheet: str = "Stock"
    headings: list[str] = field(default_factory=lambda: STOCK)
    settings: Settings = INCHES
    csv: bool = True
    """Whether a csv file can hold it, too."""


def bolt(number: Any, length: Any) -> list[Any]:
    return [number, 5, "each", "1/4-20", length, "hex"]


def bin_(number: Any, on_hand: Any = 5, unit: str | None = "each") -> list[Any]:
    return [number, on_hand, unit]


def job(number: Any, size_from: Any = "16 in", size_to: Any = "17 in") -> list[Any]:
    return [number, TUESDAY, "NQ-T1", size_from, size_to]


TURNED = [
    Case("3/8, month first", [bolt("B-1", date(2026, 3, 8))], [("E2", "length-is-date")], []),
    Case("3/8, day first", [bolt("B-1", date(2026, 8, 3))], [("E2", "length-is-date")], []),
    Case("3/16 or 1 3/16 or 3 1/16", [bolt("B-1", date(2016, 3, 1))], [("E2", "length-is-date")], []),
    Case("1 1/2", [bolt("B-1", date(2002, 1, 1))], [("E2", "length-is-date")], []),
    Case("a date that no fraction becomes", [bolt("B-1", date(2026, 3, 31))], [("E2", "length-is-date")], []),
    Case(
        "sizes of a job",
        [job("J-1", size_to=date(2026, 3, 8)), job("J-2")],
        [("E2", "length-is-date")],
        ["J-2"],
        "Jobs",
        JOBS,
    ),
    Case("shown as 8-Mar in csv", [bolt("B-1", "8-Mar")], [("E2", "length-is-date")], []),
    Case("shown as Mar-16 in csv", [bolt("B-1", "Mar-16")], [("E2", "length-is-date")], []),
    Case("shown as 3/8/2026 in csv", [bolt("B-1", "3/8/2026")], [("E2", "length-is-date")], []),
    Case("a fraction that stayed one", [bolt("B-1", "3/8"), bolt("B-2", 0.375)], [], ["B-1", "B-2"]),
]

# Names that spreadsheet programs turn into dates silently: M. Ziemann, Y. Eren and A. El-Osta, "Gene name
# errors are widespread in the scientific literature", Genome Biology 17:177 (2016), names SEPT2 and MARCH1.
GENES = ["MARCH1", "SEPT2", "MAR1", "3-8"]
NAMES = [
    Case("names of genes as text stay", [bin_(name) for name in GENES], [], GENES),
    Case(
        "names of genes that became dates",
        [bin_(date(2026, 3, 1)), bin_(date(2026, 9, 2)), bin_("B-1")],
        [("A2", "part-is-date"), ("A3", "part-is-date")],
        ["B-1"],
        csv=False,
    ),
    Case(
        "an order for a part that became a date",
        [["PO-1", date(2026, 3, 1), 3, TUESDAY]],
        [("B2", "part-is-date")],
        [],
        "On order",
        ORDERS,
        csv=False,
    ),
]

TOTALS = [
    *(
        Case(f"a row that says {word}", [bin_("B-1"), bin_(word, 5, None)], [("A3", "row-is-total")], ["B-1"])
        for word in ("Total", "total:", "TOTALS", "Subtotal", "sub-total", "Sub total:", "Grand Total", "Sum")
    ),
    Case("a total with a unit", [bin_("B-1"), bin_("Total", 5)], [("A3", "row-is-total")], ["B-1"]),
    Case("a total of something", [bin_("B-1"), ["Total of screws", 5]], [("A3", "row-is-total")], ["B-1"]),
    Case(
        "parts that only begin so",
        [bin_("TOTAL-3"), bin_("SUM-1"), bin_("Sumpf")],
        [],
        ["TOTAL-3", "SUM-1", "Sumpf"],
    ),
    Case(
        "a total with its word elsewhere",
        [bin_("B-1"), [None, 5, None, "Total screws"]],
        [("D3", "row-is-total")],
        ["B-1"],
    ),
    Case(
        "sums without a word, each since the last, and one of all",
        [
            bin_("B-1", 3),
            bin_("B-2", 4),
            [None, 7],
            bin_("C-1", 0.1),
            bin_("C-2", 0.2),
            [None, 0.3],
            [None, 7.3],
        ],
        [("B4", "row-is-total"), ("B7", "row-is-total"), ("B8", "row-is-total")],
        ["B-1", "B-2", "C-1", "C-2"],
    ),
    Case(
        "a number that is no sum is a row without a part",
        [bin_("B-1", 3), bin_("B-2", 4), [None, 8]],
        [("A4", "cell-blank"), ("C4", "cell-blank")],
        ["B-1", "B-2"],
    ),
    Case(
        "the same number as the only one above is no sum",
        [bin_("B-1", 3), bin_(None, 3)],
        [("A3", "cell-blank")],
        ["B-1"],
    ),
    Case(
        "jobs",
        [job("J-1"), ["Total", None, None, None, None]],
        [("A3", "row-is-total")],
        ["J-1"],
        "Jobs",
        JOBS,
    ),
    Case(
        "orders",
        [["PO-1", "B-1", 3, TUESDAY], ["PO-2", "B-1", 4, TUESDAY], ["Total", None, 7, None], [None, None, 7]],
        [("A4", "row-is-total"), ("C5", "row-is-total")],
        ["PO-1", "PO-2"],
        "On order",
        ORDERS,
    ),
    Case(
        "usage",
        [[TUESDAY, "B-1", 3, None], [None, "Total", 3, None]],
        [("B3", "row-is-total")],
        ["B-1"],
        "Usage",
        USAGE,
    ),
]

NOTES = [
    *(
        Case(f"the text {text}", [bin_("B-1"), [text], bin_("B-2")], [("A3", "row-is-note")], ["B-1", "B-2"])
        for text in ("--- Screws ---", "Metric", "counted on 27 November", f"{NBSP}see the shelf")
    ),
    Case("a note elsewhere", [bin_("B-1"), [None, "see below"]], [("B3", "row-is-note")], ["B-1"]),
    Case(
        "a part with all else left out is no note",
        [bin_("B-1"), ["B-14-300"], ["M6"]],
        [("B3", "cell-blank"), ("C3", "cell-blank"), ("B4", "cell-blank"), ("C4", "cell-blank")],
        ["B-1"],
    ),
    Case("a part with one needed cell left out", [bin_("Metric", None)], [("B2", "cell-blank")], []),
    Case(
        "jobs",
        [["Week 49"], job("J-1"), [None, None, None, None, "ask the ward"]],
        [("A2", "row-is-note"), ("E4", "row-is-note")],
        ["J-1"],
        "Jobs",
        JOBS,
    ),
    Case(
        "orders", [["from the first supplier"]], [("A2", "row-is-note")], [], "On order", ORDERS,
    ),
]  # fmt: skip

TABLES = [
    Case(
        "the headings again",
        [bin_("B-1"), [], STOCK, bin_("B-2")],
        [("A4", "heading-repeated")],
        ["B-1", "B-2"],
    ),
    Case(
        "the headings again, spelt otherwise",
        [bin_("B-1"), ["Part no.", "Qty on hand", "U.o.M."], bin_("B-2")],
        [("A3", "heading-repeated")],
        ["B-1", "B-2"],
    ),
    Case(
        "the same headings in another order",
        [bin_("B-1"), ["unit", "part", "on hand"], ["each", "B-2", 4], [], ["each", "B-3", 4]],
        [("A3", "table-second")],
        ["B-1"],
    ),
    Case(
        "a table with fewer headings",
        [bin_("B-1"), ["part", "supplier", "price"], ["B-1", "S-1", 0.4]],
        [("A3", "table-second")],
        ["B-1"],
    ),
    Case(
        "a table whose lengths are in another unit",
        [bolt("B-1", 2), ["part", "on hand", "unit", "thread", "length (mm)", "head"], bolt("B-2", 50)],
        [("A3", "table-second")],
        ["B-1"],
    ),
    Case(
        "a line of other words for the headings",
        [["part no", None, "units"], bin_("B-1")],
        [("A2", "heading-repeated")],
        ["B-1"],
    ),
    Case(
        "a table that has something else in one of our columns",
        [bin_("B-1"), ["part", "shelf life", "unit"], ["B-1", 4, "years"]],
        [("A3", "table-second")],
        ["B-1"],
    ),
    Case("jobs", [job("J-1"), JOBS, job("J-2")], [("A3", "heading-repeated")], ["J-1", "J-2"], "Jobs", JOBS),
    Case(
        "usage",
        [
            [TUESDAY, "B-1", 3, None],
            USAGE,
            [TUESDAY, "B-1", 4, None],
            ["part", "date", "quantity"],
            ["B-1", TUESDAY, 3],
        ],
        [("B3", "heading-repeated"), ("B5", "table-second")],
        ["B-1", "B-1"],
        "Usage",
        USAGE,
    ),
]

ALIKE = [
    ("SP-050", "SP-O50"),
    ("SP-050", "SP-05O"),
    ("SP-050", "SP-О50"),  # a Cyrillic letter
    ("B-1l4", "B-114"),
    ("B-I14", "B-114"),
    ("B-155", "B-1S5"),
    ("C-188", "C-1B8"),
    ("b-1", "B-1"),
    ("SP 050", "SP-050"),
    ("SP_050", "SP-050"),
]
NOT_ALIKE = ["B14-250", "B14-260", "814-25", "CAS-5", "CAS-S", "FTP-L", "FTP-R", "SP050", "SP-050"]
THE_SAME = ["SP-050", " SP–050 ", "ＳＰ-050", f"SP{ZERO_WIDTH}-050", f"SP{SOFT_HYPHEN}-050"]
TWINS = [
    *(
        Case(
            f"{first} and {second}",
            [bin_(first), bin_("X"), bin_(second)],
            [("A4", "part-near-twin")],
            [first, "X", second],
        )
        for first, second in ALIKE
    ),
    Case(
        "one notice for three",
        [bin_("SP-050"), bin_("SP-O50"), bin_("sp-050")],
        [("A4", "part-near-twin")],
        ["SP-050", "SP-O50", "sp-050"],
    ),
    Case("no twins", [bin_(each) for each in NOT_ALIKE], [], NOT_ALIKE),
    Case(
        "one part, however its blanks and dashes are typed", [bin_(each) for each in THE_SAME], [], ["SP-050"]
    ),
]

POINT, COMMA = Settings(length_unit="in", decimal="."), Settings(length_unit="in", decimal=",")


def on_hand(text: str, codes: dict[str, str | None]) -> list[Case]:
    """A count as text under no, a point's and a comma's setting, with the code that it gives or None."""
    return [
        Case(
            f"{text!r}, decimal {mark or 'not said'}",
            [bin_("B-1", text)],
            [("B2", code)] if code else [],
            [] if code else ["B-1"],
            settings={"": INCHES, ".": POINT, ",": COMMA}[mark],
        )
        for mark, code in codes.items()
    ]


AMBIGUOUS, UNREADABLE = "number-ambiguous", "number-unreadable"
DRESSES = ["1½", "1⁄2", f"1{NBSP}1/2″", "1–1/2 in", "38,1 mm", "１½″", f"1½{SOFT_HYPHEN} in{ZERO_WIDTH}"]
HYGIENE = [
    *on_hand("1,5", {"": None, ".": UNREADABLE, ",": None}),
    *on_hand("1.234,5", {"": AMBIGUOUS, ".": UNREADABLE, ",": None}),
    *on_hand("1,234", {"": AMBIGUOUS, ".": None, ",": None}),
    *on_hand("1 000", {"": None, ".": None, ",": None}),
    *on_hand(f"1{NBSP}000", {"": None, ".": None, ",": None}),
    *on_hand("1'000", {"": UNREADABLE, ".": UNREADABLE, ",": UNREADABLE}),
    *on_hand("1’000", {"": UNREADABLE, ".": UNREADABLE, ",": UNREADABLE}),
    *on_hand("١٢", {"": UNREADABLE}),
    *on_hand("१२", {"": UNREADABLE}),
    *on_hand("１２", {"": None}),
    *on_hand(f"12{ZERO_WIDTH}", {"": None}),
    *on_hand(f"{RIGHT_TO_LEFT}12{RIGHT_TO_LEFT}", {"": None}),
    *on_hand(f"1{SOFT_HYPHEN}2", {"": None}),
    *on_hand("12\u0301", {"": "unit-unknown"}),
    Case("lengths in every dress", [bolt(f"B-{n}", text) for n, text in enumerate(DRESSES)], [],
         [f"B-{n}" for n, _ in enumerate(DRESSES)]),
    Case("a letter and its accent are one letter", [bin_("E\u0301-1"), bin_("É-1")], [], ["É-1"]),
]  # fmt: skip

SHELVES = [
    Case("two units", [bin_("B-1"), bin_("B-1", 1, "pack")], [("C3", "part-unit-differs")], ["B-1"]),
    Case(
        "bolts that differ, and are described so",
        [["B-1", count, "each", f"SHCS M6 x {length}"] for count, length in ((1, 30), (1, 35), (2, 35))],
        [("D3", "part-differs"), ("D4", "part-differs")],
        ["B-1"],
        headings=["part", "on hand", "unit", "description"],
    ),
    Case(
        "lengths that differ",
        [bolt("B-1", "2 in"), bolt("B-1", "3 in")],
        [("E3", "part-differs")],
        ["B-1"],
    ),
    Case(
        "less than nothing, and more allocated than is there",
        [["B-1", -2, "each", None], ["C-1", 1, "each", 2], ["C-1", 1, "each", 3]],
        [("B2", "on-hand-negative"), ("D3", "allocated-above-on-hand")],
        ["B-1", "C-1"],
        headings=["part", "on hand", "unit", "allocated"],
    ),
    Case(
        "use of less than nothing, and of how much nobody says",
        [[TUESDAY, "B-1", -3, None], [TUESDAY, "C-1", None, None], [TUESDAY, "D-1", 3, None]],
        [("C2", "number-negative"), ("C3", "cell-blank")],
        ["D-1"],
        "Usage",
        USAGE,
    ),
]  # fmt: skip

GRADED = [*STOCK, "grade", "description"]
AUGUST = date(2026, 8, 8)


def graded(grade: Any = "8.8", head: Any = "hex", description: Any = None) -> list[Any]:
    return ["B-1", 5, "each", "M6", "30 mm", head, grade, description]


SPOILT = [
    Case("the grade 8.8 as a day", [graded(AUGUST)], [("G2", "text-spoilt")], [], headings=GRADED),
    Case("a head that is a day", [graded(head=AUGUST)], [("F2", "text-spoilt")], [], headings=GRADED),
    Case("a description that is a day", [graded(description=AUGUST)], [("H2", "text-spoilt")], [],
         headings=GRADED),
    Case("a time for a head", [graded(head=time(9, 30))], [("F2", "text-spoilt")], [], headings=GRADED,
         csv=False),
    Case("TRUE for a head", [graded(head=True)], [("F2", "text-spoilt")], [], headings=GRADED, csv=False),
    Case("TRUE for a part", [bin_(True), bin_("B-1")], [("A2", "text-spoilt")], ["B-1"], csv=False),
    Case("TRUE for a job", [job(True), job("J-2")], [("A2", "text-spoilt")], ["J-2"], "Jobs", JOBS,
         csv=False),
    Case("TRUE as a text", [bin_("TRUE")], [], ["TRUE"]),
    Case("a head that is not known", [graded(head="soket cap")], [("F2", "head-unknown")], ["B-1"],
         headings=GRADED),
    Case("a grade that no standard lists", [graded("8.9")], [("G2", "grade-unknown")], ["B-1"],
         headings=GRADED),
    Case("grades that standards list", [graded("class 8.8")], [], ["B-1"], headings=GRADED),
    Case("figures left over in a description",
         [["B-1", 5, "each", None, None, None, None, "SHCS M6 x 30 qty 100"]],
         [("H2", "description-unread")], ["B-1"], headings=GRADED),
    Case("a steel by its number", [graded("18-8")], [], ["B-1"], headings=GRADED),
    Case("a head that is known", [graded(head="Hexagon head"), graded(head="SHCS")], [("F3", "part-differs")],
         ["B-1"], headings=GRADED),
]  # fmt: skip

ERRORS = ("#N/A", "#REF!", "#DIV/0!", "#VALUE!", "#NAME?", "#NULL!", "#NUM!", "#BEZUG!", "#NV", "Err:502")
ERRORS_AS_TEXT = [
    *(Case(f"{each} for a part", [bin_(f" {each}"), bin_("B-1")], [("A2", "cell-error")], ["B-1"])
      for each in ERRORS),
    *(Case(f"{each} on hand", [bin_("B-1", each)], [("B2", "cell-error")], []) for each in ERRORS),
    Case("in a description", [graded(description="#N/A")], [("H2", "cell-error")], [], headings=GRADED),
    Case("what only begins so", [bin_("#10-32"), bin_("#N/A-1"), bin_("#7")], [], ["#10-32", "#N/A-1", "#7"]),
]  # fmt: skip

CASES = {
    "turned": TURNED, "names": NAMES, "totals": TOTALS, "notes": NOTES, "tables": TABLES, "twins": TWINS,
    "hygiene": HYGIENE, "shelves": SHELVES, "spoilt": SPOILT, "errors as text": ERRORS_AS_TEXT,
}  # fmt: skip
