# ruff: noqa: E501 (tables are read across)
"""Bolts: families that differ in length only, each described in the dialects of several clerks."""

import random
from collections.abc import Callable
from dataclasses import dataclass

from demo.tables import NBSP, Row, inches, supplier_part

INCH = [
    *("1/2", "5/8", "3/4", "7/8", "1", "1 1/4", "1 1/2", "1 3/4", "2", "2 1/4"),
    *("2 1/2", "2 3/4", "3", "3 1/4", "3 1/2", "4", "4 1/2"),
]
METRIC = [str(length) for length in (10, 12, 16, *range(20, 71, 5), 80, 90, 100, 110, 120)]


@dataclass(frozen=True)
class Family:
    """Bolts that differ in length only."""

    prefix: str
    thread: str
    head: str
    grade: str
    finish: str
    shortest: str
    longest: str
    supplier: str
    pack: int
    lead: int
    price: str
    """Of the shortest, in euro; each further length costs a twelfth more."""
    dialects: str
    """How the clerk described them, in turn: see ``DIALECTS``."""


FAMILIES = (
    Family("B14", "1/4-20 UNC", "socket cap", "ASTM A574", "black oxide", "1/2", "4 1/2", "QUIL", 50, 3, "0.14", "ciasmp"),
    Family("B516", "5/16-18 UNC", "socket cap", "ASTM A574", "black oxide", "3/4", "4 1/2", "QUIL", 50, 3, "0.21", "csiam"),
    Family("H516", "5/16-18 UNC", "hex", "SAE 8", "zinc", "1", "3 1/2", "BRAC", 50, 4, "0.19", "ca"),
    Family("H516G5", "5/16-18 UNC", "hex", "SAE 5", "zinc", "1", "3 1/2", "BRAC", 100, 4, "0.12", "c"),
    Family("H14", "1/4-20 UNC", "hex", "SAE 5", "zinc", "3/4", "3", "BRAC", 100, 4, "0.08", "ac"),
    Family("SS14", "1/4-20 UNC", "socket cap", "18-8", "plain", "1/2", "3", "BRAC", 25, 5, "0.33", "ca"),
    Family("U14", "1/4-28 UNF", "socket cap", "ASTM A574", "black oxide", "3/4", "2", "QUIL", 50, 5, "0.18", "cs"),
    Family("S1032", "10-32 UNF", "socket cap", "", "black oxide", "1/2", "1 3/4", "QUIL", 100, 3, "0.09", "cs"),
    Family("S1024", "10-24 UNC", "socket cap", "ASTM A574", "black oxide", "1/2", "1 1/2", "QUIL", 100, 3, "0.09", "ca"),
    Family("S38", "3/8-16 UNC", "socket cap", "ASTM A574", "black oxide", "1", "3", "QUIL", 25, 5, "0.38", "sa"),
    Family("BM5", "M5", "socket cap", "8.8", "zinc", "10", "45", "BRAC", 100, 4, "0.06", "omc"),
    Family("BM6", "M6", "socket cap", "8.8", "zinc", "12", "60", "BRAC", 50, 4, "0.09", "como"),
    Family("BM6X", "M6", "socket cap", "12.9", "black", "16", "60", "BRAC", 50, 4, "0.13", "cm"),
    Family("HM6", "M6", "hex", "8.8", "zinc", "25", "70", "BRAC", 50, 4, "0.08", "cmo"),
    Family("BM8", "M8", "socket cap", "12.9", "black", "16", "110", "BRAC", 25, 4, "0.24", "com"),
    Family("BM8Z", "M8", "socket cap", "8.8", "zinc", "45", "100", "BRAC", 25, 4, "0.22", "oc"),
    Family("HM8", "M8", "hex", "8.8", "zinc", "20", "120", "BRAC", 50, 4, "0.17", "co"),
    Family("HM8X", "M8", "hex", "10.9", "black", "70", "120", "BRAC", 25, 4, "0.29", "cm"),
    Family("FM8", "M8x1", "socket cap", "12.9", "black", "25", "40", "BRAC", 25, 8, "0.48", "c"),
    Family("BM10", "M10", "socket cap", "8.8", "zinc", "25", "70", "BRAC", 25, 4, "0.41", "cm"),
)  # fmt: skip

# On hand of the bolts that the week turns on; the rest of a drawer is what the last pack left.
ON_HAND = {
    "B14-100": 61, "B14-150": 44, "B14-200": 22, "B14-225": 17, "B14-250": 30, "B14-275": 30, "B14-300": 50,
    "B14-325": 12, "B14-350": 18, "B14-400": 9, "B14-125": 58,
    "B516-250": 18, "B516-300": 26, "B516-350": 12, "B516-400": 6, "B516-200": 15,
    "HM8-70": 8, "HM8-80": 22, "HM8-100": 18, "HM8-110": 14, "BM8-70": 12, "BM8-90": 14, "BM8-100": 8,
    "H516-275": 10, "H516-325": 4, "S1032-100": 46,
}  # fmt: skip
ALLOCATED = {"B14-250": 4}
LEVELS = {
    "B14-200": (10, 20, 100), "B14-250": (12, 40, 150), "B14-300": (12, 40, 150), "B14-350": (6, 12, 60),
    "B14-125": (6, 20, 100), "B516-300": (6, 12, 60), "B516-350": (4, 8, 50), "HM8-80": (4, 10, 60),
    "HM8-100": (4, 10, 60), "BM8-70": (2, 5, 30), "BM8-90": (2, 5, 30), "S1032-100": (4, 10, 100),
}  # fmt: skip
"""Safety stock, reorder point, order up to: as the stores clerk once set them."""


def glyphs(text: str) -> str:
    """``2 1/2`` with the fraction as one character, where there is one: ``2½``."""
    for plain, one in (("1/2", "½"), ("1/4", "¼"), ("3/4", "¾")):
        text = text.replace(f" {plain}", one) if " " in text else text
    return text


@dataclass(frozen=True)
class Size:
    """A bolt of a family: its length as the clerk would say it, and what the part number makes of it."""

    family: Family
    text: str

    @property
    def metric(self) -> bool:
        return self.family.thread.startswith("M")

    @property
    def part(self) -> str:
        if self.metric:
            return f"{self.family.prefix}-{self.text}"
        return f"{self.family.prefix}-{int(inches(self.text) * 100):03d}"

    @property
    def column(self) -> str:
        return f"{self.text} mm" if self.metric else f"{self.text} in"

    @property
    def dashed(self) -> str:
        return self.text.replace(" ", "-")

    @property
    def decimal(self) -> str:
        return f"{float(inches(self.text)):.3f}".removesuffix("0")

    @property
    def screw(self) -> str:
        """The thread without its series: ``1/4-20``."""
        return self.family.thread.split()[0]

    @property
    def head_letters(self) -> str:
        return "SHCS" if self.family.head == "socket cap" else "HEX"

    @property
    def grade_letters(self) -> str:
        """``GR8`` or ``A574``: the grade as it is written on a bag."""
        return self.family.grade.replace("SAE ", "GR").removeprefix("ASTM ")

    @property
    def finish_letters(self) -> str:
        return {"black oxide": "BLK OX", "black": "BLK", "zinc": "ZP"}.get(self.family.finish, "")

    @property
    def standard(self) -> str:
        """Partly threaded hex bolts begin at 30 mm (M6) and 40 mm (M8); shorter ones are threaded all along."""
        if self.family.head == "socket cap":
            return "ISO 4762"
        return "ISO 4014" if int(self.text) >= 40 else "ISO 4017"


def in_columns(size: Size) -> dict[str, str]:
    head = "Socket cap screw" if size.family.head == "socket cap" else "Hex bolt"
    return {
        "description": f"{head}, {size.family.finish}",
        "thread": size.family.thread,
        "length": size.column,
        "thread length": stated_thread(size),
        "head": size.family.head,
        "grade": size.family.grade,
    }


def stated_thread(size: Size) -> str:
    """The thread of a longer inch socket cap screw, twice the diameter and half an inch (ASME B18.3)."""
    threaded = {"1/4-20": "1 in", "5/16-18": "1 1/8 in"}.get(size.screw, "")
    longer = threaded and inches(size.text) > inches(threaded.removesuffix(" in"))
    return threaded if longer and size.family.head == "socket cap" else ""


def in_glyphs(size: Size) -> dict[str, str]:
    """Fractions as one character, a prime for the inch, a blank that does not break."""
    plain = in_columns(size)
    thread = size.family.thread.replace(" ", NBSP)
    return plain | {"thread": thread, "length": glyphs(size.text) + "″", "thread length": ""}


def in_letters(size: Size) -> dict[str, str]:
    words = (size.head_letters, size.screw, "x", size.dashed, size.grade_letters, size.finish_letters)
    return {"description": " ".join(word for word in words if word), "grade": size.family.grade}


def in_words(size: Size) -> dict[str, str]:
    described = f"Screw, socket head cap,{NBSP}{size.family.thread}-3A x {size.decimal}"
    return {"description": described, "grade": size.family.grade}


def with_prime(size: Size) -> dict[str, str]:
    described = f'{size.screw} x {size.text}" {size.head_letters}'
    return {"description": described, "head": size.family.head, "grade": size.family.grade}


def in_capitals(size: Size) -> dict[str, str]:
    grade = size.family.grade
    return {
        "description": f"{size.family.thread}X{size.text} {size.head_letters} {grade} {size.finish_letters}"
    }


def by_standard(size: Size) -> dict[str, str]:
    return {"description": f"{size.standard} - {size.family.thread} x {size.text} - {size.family.grade}"}


DIALECTS: dict[str, Callable[[Size], dict[str, str]]] = {
    "c": in_columns,
    "i": in_glyphs,
    "a": in_letters,
    "s": in_words,
    "p": with_prime,
    "m": in_capitals,
    "o": by_standard,
}


def bolt_row(size: Size, at: int, luck: random.Random) -> Row:
    family = size.family
    row: Row = dict(DIALECTS[family.dialects[at % len(family.dialects)]](size))
    price = round(float(family.price) * (1 + at / 12), 2)
    return row | {
        "part": size.part,
        "kind": "bolt",
        "finish": family.finish,
        "bin": f"{'ABC'[at % 3]}-{luck.randint(1, 40):02d}",
        "on hand": ON_HAND.get(size.part, luck.choice((0, 4, 11, 18, 23, 31, 37, 46, 52))),
        "allocated": ALLOCATED.get(size.part),
        "unit": luck.choice(("each", "each", "EA", "pcs")),
        "pack": family.pack,
        "minimum order": family.pack,
        "lead time days": family.lead,
        "supplier": family.supplier,
        "supplier part": supplier_part(family.supplier, luck),
        "price": price,
        "currency": luck.choice(("EUR", "", "")),
    }


def bolt_rows(luck: random.Random) -> list[Row]:
    rows = []
    for family in FAMILIES:
        every = METRIC if family.thread.startswith("M") else INCH
        lengths = every[every.index(family.shortest) : every.index(family.longest) + 1]
        rows += [bolt_row(Size(family, length), at, luck) for at, length in enumerate(lengths)]
    kept = ("safety stock", "reorder point", "order up to")
    return [row | dict(zip(kept, LEVELS.get(row["part"], ()), strict=False)) for row in rows]
