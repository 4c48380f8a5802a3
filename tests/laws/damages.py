"""A small sound workshop as rows, and every way in which one of its cells may be damaged.

``KINDS`` says what each column may hold, and so which damage is only another value that somebody may well
have meant: another number for a number, another text for a text, nothing where nothing is needed.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from raw_book import Xml

BUYER = """[workshop]
name = "Tern Lane Frame Workshop"
address = ["12 Tern Lane"]
city = "Ostwick"
"""
"""Settings: who orders."""

MON, TUE, WED = date(2026, 11, 30), date(2026, 12, 1), date(2026, 12, 2)

CODE, TEXT, NUMBER, LENGTH, DAY, WORD = "code", "text", "number", "length", "day", "word"
"""A name by which things are found; any text; a number; a length; a day; one word of a list."""
KINDS: dict[str, dict[str, tuple[str, bool]]] = {
    "Jobs": {
        "job": (CODE, True), "date": (DAY, True), "frame": (CODE, True), "from": (LENGTH, True),
        "to": (LENGTH, True), "adjustment": (CODE, False), "options": (CODE, False), "side": (WORD, False),
        "left now": (NUMBER, False), "right now": (NUMBER, False), "chairs": (NUMBER, False),
        "priority": (NUMBER, False), "technician": (TEXT, False), "asset": (CODE, False),
        "notes": (TEXT, False),
    },
    "Stock": {
        "part": (CODE, True), "description": (TEXT, False), "kind": (TEXT, False), "thread": (WORD, False),
        "length": (LENGTH, False), "thread length": (LENGTH, False), "head": (WORD, False),
        "grade": (TEXT, False), "finish": (TEXT, False), "bin": (TEXT, False), "on hand": (NUMBER, True),
        "allocated": (NUMBER, False), "unit": (WORD, True), "pack": (NUMBER, False),
        "minimum order": (NUMBER, False), "lead time days": (NUMBER, False), "supplier": (CODE, False),
        "supplier part": (CODE, False), "price": (NUMBER, False), "currency": (TEXT, False),
        "safety stock": (NUMBER, False), "reorder point": (NUMBER, False), "order up to": (NUMBER, False),
    },
    "On order": {
        "order": (CODE, False), "part": (CODE, True), "quantity": (NUMBER, True), "due": (DAY, True),
    },
    "Suppliers": {
        "supplier": (CODE, True), "name": (TEXT, False), "minimum order value": (NUMBER, False),
        "delivery charge": (NUMBER, False), "free delivery from": (NUMBER, False), "email": (TEXT, False),
    },
    "Price breaks": {"part": (CODE, True), "from quantity": (NUMBER, True), "price": (NUMBER, True)},
    "Usage": {"date": (DAY, True), "part": (CODE, True), "quantity": (NUMBER, True), "job": (CODE, False)},
}  # fmt: skip
NAMES = (CODE, TEXT)
"""Kinds of column in which any text may be meant."""

SOUND: dict[str, list[list[Any]]] = {
    "Jobs": [
        ["J-1", MON, "HW-A", "14 in", "15 in", "seat width", "anti-tippers", "both", 0, 0, 1, 2, "N",
         "W-1", "x"],
        ["J-2", TUE, "HW-A", "16 in", "15 in", None, None, None, None, None, None, None, None, None, None],
        ["J-3", WED, "HW-B", "400 mm", "412.5 mm", None, None, None, None, None, 2, 1, "M", None, "y"],
    ],
    "Stock": [
        ["B-150", "socket screw", "bolt", "1/4-20 UNC", "1 1/2 in", "1 1/2 in", "socket cap", "SAE 8", "zinc",
         "A1", 3, 1, "each", 10, 20, 3, "S-1", "77-1", 0.45, "EUR", 2, 4, 30],
        ["B-200", "SHCS 1/4-20 x 2", None, None, None, None, None, "SAE 8", None, "A2",
         4, None, "each", 10, None, 3, "S-1", "77-2", 0.5, "EUR", 2, None, None],
        ["B-250", None, None, "1/4-20 UNC", "2 1/2 in", None, "socket cap", "SAE 8", None, "A3",
         0, None, "each", None, None, None, "S-2", None, 0.6, "EUR", None, None, None],
        ["SP-050", "spacer 1/2 in", "spacer", None, None, None, None, None, None, "B1",
         2, 0, "each", 5, 10, 4, "S-2", "SP", 1.25, "EUR", 3, 5, 20],
        ["TL-MED", "thread locker", None, None, None, None, None, None, None, "F1",
         50.5, None, "mL", None, None, None, None, None, None, None, None, None, None],
        ["PAN-15", "seat pan", None, None, None, None, None, None, None, None,
         0, None, "each", None, None, 2, None, None, None, None, None, None, None],
        ["NUT-1", "lock nut", None, None, None, None, None, None, None, None,
         10, 3, "each", None, None, None, None, None, None, None, None, None, None],
        ["B6-45", "hex screw", "bolt", "M6", "45 mm", None, "hex", "8.8", "black", "C1",
         2, 0, "each", 100, None, 5, "S-1", "99", 0.2, "EUR", None, None, None],
        ["SP-125", "spacer 12.5 mm", None, None, None, None, None, None, None, None,
         4, None, "each", None, None, None, None, None, None, None, None, None, None],
    ],
    "On order": [["PO-1", "PAN-15", 1, TUE], ["PO-2", "B6-45", 1, WED]],
    "Suppliers": [["S-1", "First", 20, 5, 60, "a@first.example"], ["S-2", "Second", None, 3.5, None, None]],
    "Price breaks": [["B6-45", 100, 0.15], ["SP-050", 10, 1.1]],
    "Usage": [[date(2026, 10, 1), "SP-050", 2, "J-9"]],
}  # fmt: skip


def sound_sheets() -> dict[str, list[list[Any]]]:
    """The workshop's sheets, each with its headings in row 1."""
    return {name: [list(KINDS[name]), *(row.copy() for row in rows)] for name, rows in SOUND.items()}


@dataclass(frozen=True)
class Damage:
    """One way to damage a cell: what it becomes (None: nothing; raises ``Spared`` where it makes no sense),
    the kinds of column in which it is only another value, and whether a csv file can show it.
    """

    name: str
    change: Callable[[Any], Any]
    meant_in: tuple[str, ...] = ()
    csv: bool = True
    meant_in_csv: tuple[str, ...] = ()
    """Kinds of column in which it is another value in a csv file alone, where a day is a text."""


class Spared(Exception):
    """The damage makes no sense for this cell."""


def a_number(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Spared
    return value


def a_text(value: Any) -> str:
    if value is None or isinstance(value, date):
        raise Spared
    return str(value)


def full_width(text: str) -> str:
    return "".join(chr(ord(mark) + 0xFEE0) if mark.isdecimal() else mark for mark in text)


def within(text: str, mark: str) -> str:
    return f"{text[:1]}{mark}{text[1:]}{mark}"


def spare_blank(value: Any) -> None:
    if value is None:
        raise Spared


def blanked(value: Any) -> None:
    spare_blank(value)


ERRORS = ("#N/A", "#REF!", "#DIV/0!", "#VALUE!", "#NAME?")
DAMAGES = [
    Damage("blanked", blanked),
    Damage("blanks alone", lambda value: "  \u00a0"),
    *(Damage(f"error value {each}", lambda value, each=each: Xml(' t="e"', f"<v>{each}</v>"), csv=False)
      for each in ERRORS[:3]),
    *(Damage(f"text {each}", lambda value, each=each: each) for each in ERRORS),
    Damage("formula not calculated", lambda value: Xml("", "<f>B2*2</f>"), csv=False),
    Damage("formula that gives nothing", lambda value: Xml(' t="str"', '<f>""</f><v></v>'), csv=False),
    Damage("true", lambda value: True, csv=False),
    Damage("false", lambda value: False, csv=False),
    Damage("text TRUE", lambda value: "TRUE", NAMES),
    Damage("date", lambda value: date(2026, 3, 8), (DAY,), meant_in_csv=(CODE,)),
    Damage("far date", lambda value: date(2002, 1, 1), (DAY,), meant_in_csv=(CODE,)),
    Damage("time", lambda value: time(9, 30), csv=False),
    Damage("text", lambda value: "about twenty", NAMES),
    Damage("number", lambda value: 417, (*NAMES, NUMBER)),
    Damage("number as text", lambda value: str(a_number(value))),
    Damage("text with a digit", lambda value: "7B", NAMES),
    Damage("stray unit", lambda value: f"{a_text(value)} blips", NAMES),
    Damage("unit of another kind", lambda value: f"{a_number(value)} kg"),
    Damage("no-break spaces", lambda value: f"\u00a0{a_text(value)}\u00a0"),
    Damage("zero width", lambda value: within(a_text(value), "\u200b")),
    Damage("soft hyphen", lambda value: within(a_text(value), "\u00ad")),
    Damage("mark of direction", lambda value: f"\u200e{a_text(value)}"),
    Damage("full-width digits", lambda value: full_width(a_text(value))),
    Damage("decimal comma", lambda value: f"{a_number(value)},0"),
    Damage("1E5", lambda value: "1E5", NAMES),
    Damage("1.23E+15", lambda value: "1.23E+15", (TEXT,)),
    Damage("negative number", lambda value: -3, NAMES),
    Damage("negative text", lambda value: "-3", NAMES),
    Damage("huge", lambda value: 1e300, (TEXT, NUMBER), meant_in_csv=(CODE,)),
    Damage("huge text", lambda value: "9" * 39, (*NAMES, NUMBER)),
    Damage("tiny", lambda value: 1e-300, (*NAMES, NUMBER)),
    *(Damage(f"text {each}", lambda value, each=each: each, NAMES) for each in ("nan", "inf", "-inf", "NA")),
    Damage("long text", lambda value: "x7 " * 13_334, NAMES),
    Damage("long number", lambda value: "7" * 40_000, NAMES),
    Damage("control character", lambda value: f"{a_text(value)}\x07"),
    Damage("control character within", lambda value: within(a_text(value), "\x1f")),
    Damage("line break", lambda value: f"{a_text(value)}\n"),
    Damage("apostrophe", lambda value: f"'{a_text(value)}", NAMES),
    Damage("formula as text", lambda value: "=B2*2", NAMES),
    Damage("fraction", lambda value: "3/8", (*NAMES, LENGTH, NUMBER)),
    Damage("grouped", lambda value: "1,234", NAMES),
    Damage("ambiguous day", lambda value: "3/12/2026", NAMES),
    Damage("another dash", lambda value: a_text(value).replace("-", "–")),
]  # fmt: skip


# headings


def misspelt(text: str) -> str:
    """Two letters in the middle the wrong way round."""
    middle = len(text) // 2
    return f"{text[: middle - 1]}{text[middle]}{text[middle - 1]}{text[middle + 1 :]}"


HEADING_DAMAGES = [
    Damage("capitals", str.upper),
    Damage("dressed", lambda text: f"\u00a0{text[:1]}\u200b{text[1:].replace(' ', '_')}:"),
    Damage("control character", lambda text: f"{text}\x07"),
    Damage("misspelt", misspelt),
    Damage("blanked", lambda text: None),
    Damage("blanks alone", lambda text: "  "),
    Damage("error value", lambda text: Xml(' t="e"', "<v>#REF!</v>"), csv=False),
    Damage("formula not calculated", lambda text: Xml("", "<f>A9</f>"), csv=False),
    Damage("text of an error", lambda text: "#REF!"),
    Damage("number", lambda text: 2026),
    Damage("date", lambda text: date(2026, 3, 8)),
    Damage("true", lambda text: True, csv=False),
    Damage("another word", lambda text: "shelf life"),
    Damage("long text", lambda text: "x7 " * 13_334),
    Damage("part", lambda text: "part"),
    Damage("unit beside it", lambda text: f"{text} (blips)"),
]
DRESSES = ("capitals", "dressed", "control character")
"""A heading damaged so is the same heading."""
