# ruff: noqa: E501 (tables are read across)
"""Writes the demonstration workshop's workbooks and the list of what is planted in them.

Run by hand from the root of the project, after a change to a table below::

    python tests/make_demo_data.py

It writes ``jobs.xlsx``, ``stock.xlsx`` and ``README.md`` into ``data_demo``; the frame files and the settings
are written by hand. Everything is invented: the workshop, its frames, its suppliers, its figures. One seed
and fixed dates make two runs give the same bytes.

How the scarcity arises (all of it can be recomputed from the tables):

* Most tilt chairs of the week go from 16 in to 17 in. One such chair takes, both sides together, 4 screws
  1/4-20 x 2 1/2 in (upper joints), 4 of 3 in (lower front), 2 of 5/16-18 x 3 in and half-inch spacers: 8 of
  SP-050, 2 of SPL-050. It gives back 4 screws of 2 in and 2 of 5/16-18 x 2 1/2 in, which few others want.
* All jobs of the week together take 224 half-inch steps of spacers with a 1/4 bore. The shelf has 70 of SP-050
  (62 and 12 in two drawers, less 4 allocated) and 8 of SP-100, Wednesday brings 20, and chairs made narrower give
  back 8 on Tuesday, 4 on Wednesday and 16 on Thursday: 134 steps by Friday.
* Screws of 2 1/2 in: 72 are asked for; 28 are there, 12 come on Wednesday, 8 come off chairs. Of 3 in: 86 are
  asked for; 42 are there and 6 come off chairs; 12 of 3 1/4 in may stand in for them at the lower front.
* Three chairs early in the week (J-4106, J-4110, J-4143) are widened by three inches. Each takes 24 steps, as many
  as three ordinary chairs, and long screws besides. Served first come, first served, by priority, then day, then
  row, they leave at least ten jobs of 39 without a kit. The best choice gives up two of them and leaves six.
"""

import random
import re
import sys
import zipfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

SEED = 20261127
TODAY = date(2026, 11, 27)
MADE = datetime(2026, 11, 27, 7, 30)
WORKSHOP = "Ferrow Lane Chair Workshop"
NBSP = "\u00a0"

DAYS = {
    "Mon": date(2026, 11, 30),
    "Tue": date(2026, 12, 1),
    "Wed": date(2026, 12, 2),
    "Thu": date(2026, 12, 3),
    "Fri": date(2026, 12, 4),
    "Sat": date(2026, 12, 5),
    "Mon2": date(2026, 12, 7),
    "Wed2": date(2026, 12, 9),
    "Thu2": date(2026, 12, 10),
    "Fri2": date(2026, 12, 11),
}

# --------------------------------------------------------------------------------------------------------
# The jobs, as the clerk wrote them. A day that is no name above goes in as text.

JOB_HEADINGS = (
    "Job no", "Planned day", "Frame", "Adjustment", "Size now", "Size wanted", "Options", "Side", "Left now",
    "Right now", "Chairs", "Priority", "Technician", "Asset", "Notes",
)  # fmt: skip

JOBS = """
J-4101 | Mon | NQ-T1 |             | 16 in    | 17 in    | anti-tippers           |       |   |   |   | 2 | Bench 1 | WC-0412 |
J-4102 | Mon | NQ-T1 |             | 16"      | 17"      |                        | both  |   |   | 2 | 2 | Bench 2 | WC-0377 | pair for the day centre
J-4103 | Mon | VL-M2 | seat width  | 400 mm   | 425 mm   |                        |       |   |   |   | 3 | Bench 3 | WC-0518 |
J-4104 | Mon | NQ-T1 |             | 18 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0420 |
J-4105 | Mon | OS-X3 |             | 16 in    | 17 in    | cable brakes           |       |   |   |   | 3 | Bench 3 | WC-0602 |
J-4106 | Mon | NQ-T1 |             | 14 in    | 17 in    | solid seat             | both  |   |   |   | 3 | Bench 2 | WC-0399 | growth refit, three inches
J-4107 | Mon | BD-A4 | seat depth  | 15 in    | 16 in    | solid seat             |       |   |   |   | 2 | Bench 3 | WC-0711 |
J-4108 | Mon | NQ-T1 |             | 17 in    | 17 in    |                        |       |   |   |   | 4 | Bench 1 | WC-0431 | check only?
J-4109 | Tue | NQ-T1 |             | 16 in    | 17½"     |                        |       |   |   |   | 3 | Bench 1 | WC-0433 |
J-4110 | Tue | NQ-T1 |             | 16 in    | 19 in    | solid seat             | both  |   |   |   | 3 | Bench 2 | WC-0440 |
J-4111 | Tue | VL-M2 | seat width  | 375 mm   | 387,5 mm |                        |       |   |   |   | 3 | Bench 3 | WC-0522 | one step only
J-4112 | Tue | NQ-T1 |             | 16 in    | 17 in    | Anti-tippers           |       |   |   |   | 1 | Bench 1 | WC-0415 | discharge on Wednesday
J-4113 | Tue | BD-A4 | back height | 16 in    | 18 in    | push handles           |       |   |   |   | 3 | Bench 3 | WC-0713 |
J-4114 | Tue | NQ-T1 |             | 17 1/2"  | 17 in    |                        |       |   |   |   | 3 | Bench 2 | WC-0436 |
J-4115 | 3/12/2026 | NQ-T1 |       | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0438 | date as the ward wrote it
J-4116 | Tue | NQ-T11|             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0439 |
J-4117 | Tue | OS-X3 | seat width  | 17 in    | 16 in    |                        |       |   |   | 2 | 3 | Bench 3 | WC-0605 |
J-4118 | Wed | NQ-T1 |             | 16 in    | 17 in    | front rigging          |       |   |   |   | 2 | Bench 1 | WC-0441 |
J-4119 | Wed | NQ-T1 |             | 16½"     | 17 in    |                        | right | 3 | 2 |   | 3 | Bench 2 | WC-0442 |
J-4120 | Wed | NQ-T1 |             | 16 in    | 17 in    | anti-tippers           |       |   |   |   | 3 | Bench 1 | WC-0443 |
J-4121 | Wed | VL-M2 |             | 425 mm   | 400 mm   |                        |       |   |   |   | 3 | Bench 3 | WC-0525 |
J-4122 | Wed | VL-M2 |             | 400 mm   | 450 mm   | elevating leg rests    |       |   |   |   | 2 | Bench 3 | WC-0526 |
J-4123 | Wed | BD-A4 | seat depth  | 16 in    | 17 in    |                        |       |   |   | 2 | 3 | Bench 2 | WC-0714 |
J-4124 | Wed | NQ-T1 |             | 16 1/4"  | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0444 | measured over the side guards
J-4125 | Wed | NQ-T1 |             | 18 in    | 16 in    |                        |       | 5 | 3 |   | 4 | Bench 2 | WC-0445 | handed down to a smaller user
J-4126 | Thu | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0446 |
J-4127 | Thu | NQ-T1 |             | 406.4 mm | 17 in    | solid seat             |       |   |   |   | 3 | Bench 2 | WC-0447 |
J-4128 | Thu | NQ-T1 |             | 17 in    | 18 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0448 |
J-4129 | Thu | NQ-T1 |             | 16 in    | 17 in    | front riging           |       |   |   |   | 3 | Bench 2 | WC-0449 |
J-4130 | Thu | VL-M2 | Seat width  | 362.5 mm | 387.5 mm |                        |       |   |   |   | 3 | Bench 3 | WC-0527 |
J-4131 | Thu | OS-X3 |             | 15 1/2 in| 17 in    | cable brakes; cup holder |     |   |   |   | 3 | Bench 3 | WC-0608 |
J-4132 | Thu | BD-A4 | back height | 15 in    | 17 in    |                        |       |   |   |   | 4 | Bench 2 | WC-0716 |
J-4133 | Thu | NQ-T1 |             | 16 in    | 17 in    |                        | both  | 3 | 2 |   | 3 | Bench 1 | WC-0450 | left looks fuller
J-4134 | Fri | NQ-T1 |             | 16 in    | 17 in    | anti-tippers           |       |   |   |   | 2 | Bench 1 | WC-0451 |
J-4135 | Fri | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   | 2 | 3 | Bench 2 | WC-0452 |
J-4136 | Fri | NQ-T1 |             | 17 in    | 18 in    | solid seat             |       |   |   |   | 3 | Bench 1 | WC-0453 |
J-4137 | Fri | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0454 |
J-4138 | Fri | VL-M2 |             | 400 mm   | 425 mm   |                        |       |   |   | 2 | 3 | Bench 3 | WC-0529 |
J-4139 | Fri | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 5 | Bench 2 | WC-0455 |
J-4139 | Fri | NQ-T1 |             | 15 in    | 16 in    |                        |       |   |   |   | 3 | Bench 2 | WC-0456 | number typed twice?
J-4140 | Fri | NQ-T1 |             | 18 in    | 19 in    |                        |       |   |   |   | 4 | Bench 1 | WC-0457 |
J-4141 | Fri | BD-A4 | seat depth  | 17 in    | 16 in    |                        |       |   |   |   | 5 | Bench 3 | WC-0718 |
J-4142 | Sat | OS-X3 |             | 17 in    | 18 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0610 | user can only come on Saturday
J-4143 | Tue | NQ-T1 |             | 15 in    | 18 in    |                        |       |   |   |   | 3 | Bench 2 | WC-0458 | rang on Thursday
J-4144 | Thu | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0459 | added late
J-4145 | Wed | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0460 | added late
J-4151 | Mon2| NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0461 |
J-4152 | Mon2| NQ-T1 |             | 17 in    | 16 in    | anti-tippers           |       |   |   |   | 3 | Bench 2 | WC-0462 |
J-4153 | Mon2| VL-M2 |             | 450 mm   | 425 mm   |                        |       |   |   |   | 3 | Bench 3 | WC-0531 |
J-4154 | Mon2| OS-X3 |             | 16 in    | 17 in    | cable brakes           |       |   |   |   | 2 | Bench 3 | WC-0611 |
J-4155 | Wed2| NQ-T1 |             | 16 in    | 18 in    | solid seat             |       |   |   |   | 3 | Bench 1 | WC-0463 |
J-4156 | Wed2| NQ-T1 |             | 16 in    | 17 in    | front rigging; anti-tippers | |   |   |   | 2 | Bench 2 | WC-0464 |
J-4157 | Wed2| BD-A4 | seat depth  | 15½"     | 16½"     |                        |       |   |   |   | 3 | Bench 3 | WC-0720 |
J-4158 | Wed2| BD-A4 | back height | 14 in    | 16 in    | push handles           |       |   |   |   | 3 | Bench 3 | WC-0721 |
J-4159 | Wed2| NQ-T1 |             | 16"      | 17"      |                        |       |   |   | 2 | 3 | Bench 1 | WC-0465 |
J-4160 | Thu2| VL-M2 |             | 375 mm   | 400 mm   |                        |       |   |   |   | 3 | Bench 3 | WC-0533 |
J-4161 | Thu2| NQ-T1 |             | 19 in    | 18 in    |                        |       |   |   |   | 4 | Bench 2 | WC-0466 |
J-4162 | Thu2| NQ-T1 |             | 16 in    | 17 in    | solid seat             |       |   |   |   | 3 | Bench 1 | WC-0467 |
J-4163 | Fri2| OS-X3 |             | 18 in    | 17 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0613 |
J-4164 | Fri2| NQ-T1 |             | 16½ in   | 17½ in   |                        |       |   |   |   | 3 | Bench 2 | WC-0468 |
"""

# --------------------------------------------------------------------------------------------------------
# The stock.

STOCK_HEADINGS = {
    "part": "Part No.",
    "description": "Description",
    "kind": "Kind",
    "thread": "Thread",
    "length": "Length",
    "thread length": "Thread length",
    "head": "HEAD",
    "grade": "Grade",
    "finish": "Finish",
    "bin": "Drawer",
    "on hand": "Qty on hand",
    "allocated": "Allocated",
    "unit": "unit",
    "pack": "Pack",
    "minimum order": "Minimum order",
    "lead time days": "Lead time (days)",
    "supplier": "Supplier",
    "supplier part": "Supplier part",
    "price": "Price",
    "currency": "Currency",
    "safety stock": "Safety stock",
    "reorder point": "Reorder point",
    "order up to": "Order up to",
}

INCH = [
    *("1/2", "5/8", "3/4", "7/8", "1", "1 1/4", "1 1/2", "1 3/4", "2", "2 1/4"),
    *("2 1/2", "2 3/4", "3", "3 1/4", "3 1/2", "4", "4 1/2"),
]
METRIC = [str(length) for length in (10, 12, 16, *range(20, 71, 5), 80, 90, 100, 110)]


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
    Family("B14", "1/4-20 UNC", "socket cap", "SAE 8", "black oxide", "1/2", "4 1/2", "QUIL", 50, 5, "0.14", "ciaspc"),
    Family("B516", "5/16-18 UNC", "socket cap", "SAE 8", "black oxide", "3/4", "4 1/2", "QUIL", 50, 5, "0.21", "csia"),
    Family("H516", "5/16-18 UNC", "hex", "SAE 8", "zinc", "1", "3 1/2", "BRAC", 50, 7, "0.19", "ca"),
    Family("H516G5", "5/16-18 UNC", "hex", "SAE 5", "zinc", "1", "3 1/2", "BRAC", 100, 7, "0.12", "c"),
    Family("H14", "1/4-20 UNC", "hex", "SAE 5", "zinc", "3/4", "3", "BRAC", 100, 7, "0.08", "ac"),
    Family("SS14", "1/4-20 UNC", "socket cap", "18-8", "plain", "1/2", "3", "BRAC", 25, 10, "0.33", "ca"),
    Family("U14", "1/4-28 UNF", "socket cap", "SAE 8", "black oxide", "3/4", "2", "QUIL", 50, 12, "0.18", "cs"),
    Family("S1032", "10-32 UNF", "socket cap", "", "black oxide", "1/2", "1 3/4", "QUIL", 100, 5, "0.09", "cs"),
    Family("S1024", "10-24 UNC", "socket cap", "SAE 8", "black oxide", "1/2", "1 1/2", "QUIL", 100, 5, "0.09", "ca"),
    Family("S38", "3/8-16 UNC", "socket cap", "SAE 8", "black oxide", "1", "3", "QUIL", 25, 8, "0.38", "sa"),
    Family("BM5", "M5", "socket cap", "8.8", "zinc", "10", "45", "BRAC", 100, 6, "0.06", "omc"),
    Family("BM6", "M6", "socket cap", "8.8", "zinc", "12", "100", "BRAC", 50, 6, "0.09", "como"),
    Family("BM6X", "M6", "socket cap", "10.9", "black", "16", "70", "BRAC", 50, 9, "0.13", "cm"),
    Family("HM6", "M6", "hex", "8.8", "zinc", "25", "110", "BRAC", 50, 6, "0.08", "cmo"),
    Family("BM8", "M8", "socket cap", "12.9", "black", "16", "80", "BRAC", 25, 6, "0.24", "com"),
    Family("HM8", "M8", "hex", "8.8", "zinc", "20", "90", "BRAC", 50, 6, "0.17", "co"),
    Family("FM8", "M8x1", "socket cap", "10.9", "black", "25", "40", "BRAC", 25, 15, "0.48", "c"),
    Family("BM10", "M10", "socket cap", "8.8", "zinc", "25", "70", "BRAC", 25, 8, "0.41", "cm"),
)  # fmt: skip

# On hand of the bolts that the week turns on; the rest of a drawer is what the last pack left.
ON_HAND = {
    "B14-100": 61, "B14-150": 44, "B14-200": 22, "B14-225": 17, "B14-250": 26, "B14-275": 30, "B14-300": 38,
    "B14-325": 12, "B14-350": 14, "B14-400": 9, "B14-125": 58,
    "B516-250": 18, "B516-300": 26, "B516-350": 12, "B516-400": 6, "B516-200": 15, "HM6-65": 2,
}  # fmt: skip

# part | description | kind | unit | on hand | allocated | pack | min | lead | supplier | price | safety | reorder | up to
OTHERS = """
SP-050  | Spacer 1/2 thick, bore 1/4, aluminium     | spacer | each | 62  | 4 | 20  | 40  | 4  | TARN | 0.85 | 20 | 40  | 120
SP-100  | Spacer 1 thick, bore 1/4, aluminium       | spacer | each | 8   |   | 20  | 20  | 4  | TARN | 1.10 | 8  | 16  | 40
SPL-050 | Spacer 1/2 thick, bore 5/16, aluminium    | spacer | each | 44  |   | 20  | 20  | 4  | TARN | 0.95 | 8  | 16  | 60
SPL-100 | Spacer 1 thick, bore 5/16, aluminium      | spacer | each | 14  |   | 20  | 20  | 4  | TARN | 1.20 | 4  | 8   | 40
SPL-025 | Spacer 1/4 thick, bore 5/16, aluminium    | spacer | each | 6   |   | 20  | 20  | 4  | TARN | 0.80 |    |     |
SPM-125 | Spacer 12.5 thick, bore 6.4, aluminium    | spacer | each | 58  |   | 20  | 20  | 4  | TARN | 0.90 | 12 | 24  | 80
SPM-250 | Spacer 25 thick, bore 6.4, aluminium      | spacer | each | 22  |   | 20  | 20  | 4  | TARN | 1.15 | 6  | 12  | 40
CP-02   | Crossbar cover, 0 to 2 spacers            | cover  | each | 8   |   | 10  | 10  | 8  | LODE | 3.40 | 4  | 6   | 20
CP-34   | Crossbar cover, 3 to 4 spacers            | cover  | each | 34  |   | 10  | 10  | 8  | LODE | 3.60 | 4  | 8   | 30
CP-56   | Crossbar cover, 5 to 6 spacers            | cover  | each | 7   |   | 10  | 10  | 8  | LODE | 3.90 | 2  | 4   | 10
CPM-02  | Side plate cover, short                   | cover  | each | 9   |   | 10  | 10  | 8  | LODE | 2.80 | 2  | 4   | 20
CPM-35  | Side plate cover, long                    | cover  | each | 16  |   | 10  | 10  | 8  | LODE | 3.10 | 2  | 4   | 20
SGS-S   | Side guard strip, short                   | cover  | each | 6   |   | 10  | 10  | 8  | LODE | 1.90 | 2  | 4   | 20
SGS-L   | Side guard strip, long                    | cover  | each | 12  |   | 10  | 10  | 8  | LODE | 2.20 | 2  | 4   | 20
PAN-15  | Seat pan, 14 to 15 1/2                    | seat   | each | 2   |   | 1   |     | 12 | LODE | 41.50 | 1  |     |
PAN-17  | Seat pan, 16 to 17 1/2                    | seat   | each | 2   |   | 1   |     | 12 | LODE | 43.00 | 1  |     |
PAN-20  | Seat pan, 18 to 20                        | seat   | each | 2   |   | 1   |     | 12 | LODE | 46.80 | 1  |     |
BASE-15 | Seat base, short                          | seat   | each | 1   |   | 1   |     | 12 | LODE | 29.90 |    |     |
BASE-17 | Seat base, long                           | seat   | each | 2   |   | 1   |     | 12 | LODE | 31.20 | 1  |     |
SLG-35  | Seat sling 350 to 387.5                   | seat   | each | 4   |   | 1   |     | 6  | OSTW | 18.60 | 1  | 2   | 4
SLG-40  | Seat sling 400 to 437.5                   | seat   | each | 5   |   | 1   |     | 6  | OSTW | 19.40 | 1  | 2   | 6
SLG-45  | Seat sling 450 to 475                     | seat   | each | 3   |   | 1   |     | 6  | OSTW | 20.20 | 1  | 2   | 4
SLG-T15 | Seat sling, tube frame, 15 to 16 1/2      | seat   | each | 3   |   | 1   |     | 6  | OSTW | 18.10 | 1  | 2   | 4
SLG-T17 | Seat sling, tube frame, 17 to 19          | seat   | each | 4   |   | 1   |     | 6  | OSTW | 18.90 | 1  | 2   | 4
BU-15   | Back upholstery, low                      | seat   | each | 2   |   | 1   |     | 6  | OSTW | 24.00 | 1  |     |
BU-17   | Back upholstery, middle                   | seat   | each | 3   |   | 1   |     | 6  | OSTW | 25.50 | 1  |     |
BU-20   | Back upholstery, high                     | seat   | each | 2   |   | 1   |     | 6  | OSTW | 27.00 | 1  |     |
TL-MED  | Thread locker, medium, tube of 10 mL      | liquid | mL   | 46 mL |  | 10  | 20  | 3  | OSTW | 0.72 | 10 | 20  | 60
TL-HIGH | Thread locker, high, tube of 10 mL        | liquid | mL   | 7.5 |   | 10  | 10  | 3  | OSTW | 0.88 |    |     |
GR-LI   | Bearing grease, tub of 400 g              | liquid | g    | 610 |   | 400 |     | 3  | OSTW | 0.02 | 100 |    |
NUT-LK-14  | Lock nut 1/4-20, nylon insert          | nut    | each | 88  |   | 100 | 100 | 5  | BRAC | 0.05 | 40 | 60  | 200
NUT-LK-516 | Lock nut 5/16-18, nylon insert         | nut    | each | 1 gross | | 100 | 100 | 5  | BRAC | 0.07 | 40 | 60 | 200
NUT-LK-M5  | Lock nut M5                            | nut    | each | 130 |   | 100 | 100 | 5  | BRAC | 0.04 |    |     |
NUT-LK-M6  | Lock nut M6                            | nut    | each | 212 |   | 100 | 100 | 5  | BRAC | 0.04 | 40 | 60  | 200
NUT-LK-M8  | Lock nut M8                            | nut    | each | 95  |   | 100 | 100 | 5  | BRAC | 0.06 | 40 | 60  | 200
NUT-14     | Plain nut 1/4-20                       | nut    | each | 160 |   | 100 | 100 | 5  | BRAC | 0.03 |    |     |
NUT-M6     | Plain nut M6                           | nut    | each | 180 |   | 100 | 100 | 5  | BRAC | 0.03 |    |     |
NUT-BAR-14 | Barrel nut 1/4-20                      | nut    | each | 40  |   | 25  | 25  | 9  | QUIL | 0.62 |    |     |
NUT-BAR-M6 | Barrel nut M6                          | nut    | each | 26  |   | 25  | 25  | 9  | QUIL | 0.60 |    |     |
00417   | Washer 5/16, plain, zinc                  | washer | pack | 5   |   | 100 | 100 | 5  | BRAC | 0.02 | 50 | 100 | 300
00418   | Washer 1/4, plain, zinc                   | washer | pack | 9   |   | 100 | 100 | 5  | BRAC | 0.02 | 50 | 100 | 300
00422   | Washer 5/16, spring                       | washer | pack | 2   |   | 100 | 100 | 5  | BRAC | 0.02 |    |     |
WSH-M5  | Washer M5, plain                          | washer | each | 240 |   | 100 | 100 | 5  | BRAC | 0.01 |    |     |
WSH-M6  | Washer M6, plain                          | washer | each | 310 |   | 100 | 100 | 5  | BRAC | 0.01 | 50 | 100 | 300
WSH-M8  | Washer M8, plain                          | washer | each | 170 |   | 100 | 100 | 5  | BRAC | 0.02 | 50 | 100 | 300
WSH-NY  | Washer, nylon, bore 6.4                   | washer | each | 96  |   | 50  | 50  | 5  | LODE | 0.04 |    |     |
1E5     | Handle plug, rubber                       | plug   | each | 21  |   | 10  | 10  | 6  | LODE | 0.35 | 6  | 10  | 30
2E1     | Handle plug, rubber, large                | plug   | each | 9   |   | 10  | 10  | 6  | LODE | 0.41 |    |     |
TIE-200 | Cable tie 200, black                      | sundry | each | 2 gross | | 100 | 100 | 3 | OSTW | 0.02 | 50 | 100 | 300
TIE-300 | Cable tie 300, black                      | sundry | each | 140 |   | 100 | 100 | 3  | OSTW | 0.03 |    |     |
TAPE-25 | Edge tape, 25 wide                        | sundry | m    | 12.5 |  | 10  | 10  | 3  | OSTW | 0.44 |    |     |
HOSE-8  | Brake hose, bore 8                        | sundry | ft   | 30 ft |  | 10  | 10  | 3  | OSTW | 0.61 |    |     |
RVT-48  | Blind rivet 4.8 x 12                      | rivet  | each | 3 gross | | 144 | 144 | 5 | QUIL | 0.03 |    |     |
RVT-40  | Blind rivet 4.0 x 10                      | rivet  | each | 12 dozen | | 144 | 144 | 5 | QUIL | 0.03 |   |     |
CAS-5   | Castor wheel 5, solid                     | wheel  | each | 12  | 2 | 2   | 2   | 10 | TARN | 9.80 | 4  | 6   | 12
CAS-6   | Castor wheel 6, solid                     | wheel  | each | 8   |   | 2   | 2   | 10 | TARN | 10.40 | 4 | 6   | 12
CAS-8   | Castor wheel 8, air                       | wheel  | each | 4   |   | 2   | 2   | 10 | TARN | 14.90 | 2 | 4   | 8
FRK-5   | Castor fork for 5                         | wheel  | each | 5   |   | 2   | 2   | 15 | TARN | 22.10 | 2 |     |
FRK-8   | Castor fork for 8                         | wheel  | each | 3   |   | 2   | 2   | 15 | TARN | 24.60 | 2 |     |
BRG-608 | Bearing, bore 8                           | wheel  | each | 36  | 4 | 10  | 10  | 5  | QUIL | 1.15 | 8  | 16  | 40
BRG-R8  | Bearing, bore 1/2                         | wheel  | each | 22  |   | 10  | 10  | 5  | QUIL | 1.95 | 8  | 16  | 40
AXL-12  | Quick release axle, 12 dia                | wheel  | each | 6   |   | 1   |     | 15 | TARN | 19.50 | 2 | 4   | 8
AXL-12L | Quick release axle, 12 dia, long          | wheel  | each | 2   |   | 1   |     | 15 | TARN | 21.00 | 2 | 2   | 6
TYR-24  | Tyre 24, grey                             | wheel  | each | 9   |   | 2   | 2   | 7  | TARN | 12.30 | 4 | 6   | 12
TUB-24  | Inner tube 24                             | wheel  | each | 14  |   | 5   | 5   | 7  | TARN | 3.10 | 6  | 8   | 20
RIM-24  | Push rim 24, coated                       | wheel  | each | 3   |   | 2   | 2   | 15 | TARN | 33.00 |   |     |
BRK-L   | Brake, left                               | brake  | each | 5   |   | 1   |     | 12 | TARN | 16.40 | 2 | 3   | 6
BRK-R   | Brake, right                              | brake  | each | 4   |   | 1   |     | 12 | TARN | 16.40 | 2 | 3   | 6
BRK-TIP | Brake tip, rubber                         | brake  | each | 18  |   | 10  | 10  | 6  | LODE | 0.55 |    |     |
ARM-PAD | Arm pad, full                             | arm    | each | 11  | 2 | 2   | 2   | 8  | OSTW | 7.90 | 4  | 6   | 12
ARM-DSK | Arm pad, desk                             | arm    | each | 8   |   | 2   | 2   | 8  | OSTW | 6.80 | 4  | 6   | 12
ARM-TUB | Arm tube, plain                           | arm    | each | 4   |   | 1   |     | 15 | TARN | 13.70 |   |     |
FTP-L   | Footplate, left                           | foot   | each | 3   |   | 1   |     | 15 | LODE | 15.20 | 1 | 2   | 4
FTP-R   | Footplate, right                          | foot   | each | 4   |   | 1   |     | 15 | LODE | 15.20 | 1 | 2   | 4
FTP-STR | Heel strap                                | foot   | each | 12  |   | 5   | 5   | 6  | OSTW | 2.30 | 3  | 5   | 15
BLT-PEL | Pelvic belt                               | belt   | each | 7   | 1 | 1   |     | 6  | OSTW | 17.80 | 2 | 3   | 8
BLT-CLF | Calf strap                                | belt   | each | 6   |   | 1   |     | 6  | OSTW | 6.20 | 2  | 3   | 8
ANT-L   | Anti-tipper, left                         | frame  | each | 3   |   | 1   |     | 12 | TARN | 14.00 | 1 | 2   | 4
ANT-R   | Anti-tipper, right                        | frame  | each | 3   |   | 1   |     | 12 | TARN | 14.00 | 1 | 2   | 4
PLG-78  | Tube plug 7/8                             | plug   | each | 64  |   | 50  | 50  | 6  | LODE | 0.09 |    |     |
PLG-1   | Tube plug 1                               | plug   | each | 41  |   | 50  | 50  | 6  | LODE | 0.10 |    |     |
PLG-25  | Tube plug 25                              | plug   | each | 33  |   | 50  | 50  | 6  | LODE | 0.10 |    |     |
GRP-22  | Push handle grip 22                       | grip   | each | 16  |   | 10  | 10  | 6  | LODE | 1.45 | 4  | 8   | 20
CLP-22  | Tube clip 22                              | sundry | each | 27  |   | 25  | 25  | 6  | LODE | 0.31 |    |     |
LBL-SER | Service label                             | sundry | each | 380 |   | 500 |     | 3  | OSTW | 0.01 |    |     |
"""

# Rows with a fault, in parts that no job of the demonstration needs. The same columns as above; what is
# wrong stands in ``STOCK_FAULTS``.
FAULTY = """
TAPE-40 | Edge tape, 40 wide                        | sundry | blips | 12 |  | 10  | 10  | 3  | OSTW | 0.52 |    |     |
CLP-25  | Tube clip 25                              | sundry | each | #N/A |  | 25  | 25  | 6  | LODE | 0.33 |    |     |
PLG-30  | Tube plug 30                              | plug   | each | =12+21 | | 50 | 50  | 6  | LODE | 0.11 |    |     |
LBL-INS | Inspection label                          | sundry | each |     |   | 500 |     | 3  | OSTW | 0.01 |    |     |
GRP-25  | Push handle grip 25                       | grip   | each | about 20 | | 10 | 10 | 6  | LODE | 1.50 |   |     |
FTP-ANG | Footplate, angle adjustable               | foot   | each | -1  |   | 1   |     | 15 | LODE | 28.40 |  |     |
ARM-SHT | Arm tube, short                           | arm    | each | 4   | 6 | 1   |     | 15 | TARN | 13.10 |  |     |
NUT-BAR-516 | Barrel nut 5/16-18                    | nut    | each | 31  |   | 25  | 25  | 9  | QUIL | 0.70 |    |     |
BRG-R10 | Bearing, bore 5/8                         | wheel  | each | 12  |   | 10  | 10  | 5  | QUIL | 2.30 |    |     |
MIX-1   | SHCS 1/4 x 2, mixed tray                  | bolt   | each | 37  |   |     |     |    |      |      |    |     |
"""

# part | description | thread | length | head | grade
FAULTY_BOLTS = """
B14-038   | Socket cap screw, black oxide      | 1/4-20 UNC  | 8 March | socket cap | SAE 8
SS516-200 | SHCS 5/16-18 x 2-1/2 18-8          | 5/16-18 UNC | 2 in    | socket cap | 18-8
BM6F-30   | Socket cap screw, fine             | M6x0.9      | 30 mm   | socket cap | 8.8
"""

STOCK_FAULTS = {
    "TAPE-40": ("unit", "unit-unknown", "unit that nobody knows"),
    "CLP-25": ("on hand", "cell-error", "error value"),
    "PLG-30": ("on hand", "formula-not-calculated", "formula that was never calculated"),
    "LBL-INS": ("on hand", "cell-blank", "blank count"),
    "GRP-25": ("on hand", "number-unreadable", "count in words"),
    "FTP-ANG": ("on hand", "on-hand-negative", "less than nothing on hand"),
    "ARM-SHT": ("allocated", "allocated-above-on-hand", "more allocated than lies there"),
    "MIX-1": ("description", "bolt-unread", "bolt without pitch and grade"),
    "B14-038": ("length", "length-is-date", "3/8 turned into 8 March"),
    "SS516-200": ("length", "bolt-contradicted", "length 2 in, description 2-1/2"),
    "BM6F-30": ("thread", "thread-unknown", "pitch that no standard lists"),
    "B14-15": ("length", "length-is-date", "1-1/2 turned into 1 January 2002"),
    "BRG-6O8": ("part", "part-near-twin", "letter O for the nought of BRG-608"),
    "--- counted again on Monday ---": ("part", "row-is-note", "a remark among the rows"),
    "Total": ("part", "row-is-total", "the sum of the column below the rows"),
}

# A second drawer of a part: part | drawer | on hand | allocated | unit | lead time. Other columns are blank.
SECOND_BINS = """
B14-250     | D-31 | 6  |   | each |
B14-300     | D-31 | 8  | 4 | each |
SP-050      | D-40 | 12 |   | each |
HM6-50      | D-32 | 15 |   | each |
BM6-40      | D-32 | 9  |   | each |
WSH-M6      | D-33 | 45 |   | each |
NUT-LK-14   | D-33 | 12 |   | each |
BRG-608     | D-34 | 6  |   | each |
TUB-24      | D-35 | 3  |   | each |
GRP-22      | D-35 | 4  |   | each |
NUT-BAR-516 | D-36 | 1  |   | pack |
BRG-R10     | D-34 | 5  |   | each | 9
"""

SECOND_BIN_FAULTS = {
    "NUT-BAR-516": ("unit", "part-unit-differs", "counted in each and in packs"),
    "BRG-R10": ("lead time days", "part-differs", "lead time 5 and 9"),
}

# Below everything else, as the clerk left it: part | description | kind | thread | length | head | on hand | unit.
BELOW = """
--- counted again on Monday --- |           |       |            |           |            |   |
B14-15  | Socket cap screw, black oxide | bolt  | 1/4-20 UNC | 1 January | socket cap | 9 | each
BRG-6O8 | Bearing, bore 8               | wheel |            |           |            | 3 | each
"""

# order | part | quantity | due
ON_ORDER = """
PO-0871 | CAS-5       | 4   | 2026-11-20
PO-0876 | B14-250     | 12  | Wed
PO-0876 | SP-050      | 20  | Wed
PO-0877 | BM6X-45     | 50  | Thu
PO-0878 | RIM-24      | 2   |
PO-0879 | B14-520     | 50  | Fri
PO-0880 | PAN-17      | 1   | Thu
PO-0881 | TL-MED      | 20 mL | Fri
PO-0882 | 00422       | 1   | Fri
PO-0883 | TYR-24      | 4   | Wed2
PO-0884 | B14-300     | 50  | Wed2
PO-0885 | SLG-T17     | 2   | Mon2
"""

ORDER_FAULTS = {
    "CAS-5": ("Due", "due-past", "overdue order"),
    "RIM-24": ("Due", "due-blank", "order without a due date"),
    "B14-520": ("Part no", "due-part-unknown", "order for a part that stock does not list"),
}

# supplier | name | minimum order value | delivery charge | free delivery from | email
SUPPLIERS = """
QUIL | Quillmere Fixings      | 50  | 9.50 | 150 | orders@quillmere.example
TARN | Tarnock Wheel and Tube | 100 | 14   | 250 | sales@tarnock.example
LODE | Lodevale Mouldings     | 75  | 12   | 200 | desk@lodevale.example
BRAC | Brackenhythe Bolt Loft | 40  | 7.90 | 120 | loft@brackenhythe.example
OSTW | Ostwickle Sundries     |     | 5    |     | post@ostwickle.example
"""

# part | from quantity | price
PRICE_BREAKS = """
B14-250 | 100 | 0.21
B14-250 | 500 | 0.18
B14-300 | 100 | 0.23
B14-300 | 500 | 0.20
B516-300 | 100 | 0.33
SP-050 | 100 | 0.74
SP-050 | 250 | 0.66
SPM-125 | 100 | 0.79
BM6-40 | 200 | 0.10
HM6-50 | 200 | 0.09
NUT-LK-14 | 500 | 0.04
TIE-200 | 1000 | 0.015
"""

# job | heading | code | what is wrong
JOB_FAULTS = """
J-4108 | Size wanted | no-change           | nothing to change
J-4109 | Size wanted | sides-differ        | odd number of steps wanted
J-4111 | Size wanted | sides-differ        | odd number of steps wanted
J-4114 | Size now    | split-assumed       | odd number of steps now, split not given
J-4115 | Planned day | date-ambiguous      | date that two countries read differently
J-4116 | Frame       | frame-unknown       | frame code with a 1 too many
J-4124 | Size now    | size-between-steps  | size between two steps
J-4125 | Left now    | sides-far-apart     | sides now two steps apart
J-4129 | Options     | option-misspelt     | option misspelt
J-4130 | Size now    | split-assumed       | odd number of steps now, split not given
J-4130 | Size wanted | sides-differ        | odd number of steps wanted
J-4131 | Size now    | split-assumed       | odd number of steps now, split not given
J-4131 | Options     | option-unused       | option that changes nothing
J-4133 | Left now    | sides-do-not-add-up | left and right do not add up
J-4139 | Job no      | job-doubled         | job number used twice
J-4142 | Planned day | day-not-worked      | job on a Saturday
"""

# --------------------------------------------------------------------------------------------------------
# From tables to rows.


def table(text: str) -> list[list[str]]:
    """The cells of a table written with bars, one list a line."""
    return [[cell.strip() for cell in line.split("|")] for line in text.strip().splitlines()]


def number(text: str) -> Any:
    """A number where the text is one, the text itself where it is not, None where it is blank."""
    if re.fullmatch(r"-?\d+", text):
        return int(text)
    return float(text) if re.fullmatch(r"\d+\.\d+", text) else text or None


def inches(text: str) -> Fraction:
    return sum((Fraction(piece) for piece in text.split()), Fraction(0))


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
        return self.family.grade.replace("SAE ", "GR")

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
    words = (size.head_letters, size.screw, "x", size.dashed, size.finish_letters, size.grade_letters)
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

Row = dict[str, Any]


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
        "unit": luck.choice(("each", "each", "EA", "pcs")),
        "pack": family.pack,
        "minimum order": family.pack,
        "lead time days": family.lead,
        "supplier": family.supplier,
        "supplier part": f"{family.supplier[0]}{luck.randint(10000, 99999)}",
        "price": price,
        "currency": luck.choice(("EUR", "", "")),
        "safety stock": luck.choice((None, None, 10)),
    }


def bolt_rows(luck: random.Random) -> list[Row]:
    rows = []
    for family in FAMILIES:
        every = METRIC if family.thread.startswith("M") else INCH
        lengths = every[every.index(family.shortest) : every.index(family.longest) + 1]
        rows += [bolt_row(Size(family, length), at, luck) for at, length in enumerate(lengths)]
    return [row | LEVELS.get(row["part"], {}) for row in rows]


LEVELS = {
    "B14-250": {"allocated": 4, "safety stock": 12, "reorder point": 24, "order up to": 150},
    "B14-300": {"safety stock": 12, "reorder point": 24, "order up to": 150},
    "B516-300": {"safety stock": 6, "reorder point": 12, "order up to": 60},
    "BM6-55": {"safety stock": 10, "reorder point": 20, "order up to": 100},
}

OTHER_COLUMNS = (
    "part", "description", "kind", "unit", "on hand", "allocated", "pack", "minimum order", "lead time days",
    "supplier", "price", "safety stock", "reorder point", "order up to",
)  # fmt: skip


def other_rows(text: str, luck: random.Random) -> list[Row]:
    """Rows of a table of parts that are no bolts; part numbers stay text."""
    rows = []
    for cells in table(text):
        row: Row = dict(zip(OTHER_COLUMNS, map(number, cells), strict=True))
        row |= {"part": cells[0], "bin": f"{'DEF'[luck.randint(0, 2)]}-{luck.randint(1, 40):02d}"}
        row["supplier part"] = (
            f"{row['supplier'][0]}{luck.randint(10000, 99999)}" if row["supplier"] else None
        )
        rows.append(row)
    return rows


def faulty_bolt_rows() -> list[Row]:
    rows = []
    for part, description, thread, length, head, grade in table(FAULTY_BOLTS):
        row: Row = {"part": part, "description": description, "thread": thread, "head": head, "grade": grade}
        # What a spreadsheet program makes of 3/8 typed into a cell that is not formatted as text.
        row["length"] = date(2026, 3, 8) if length == "8 March" else length
        rows.append(row | {"kind": "bolt", "on hand": 14, "unit": "each", "bin": "A-09"})
    return rows


def second_bin_rows() -> list[Row]:
    headings = ("part", "bin", "on hand", "allocated", "unit", "lead time days")
    rows = []
    for cells in table(SECOND_BINS):
        padded = cells + [""] * (len(headings) - len(cells))
        rows.append({**dict(zip(headings, map(number, padded), strict=True)), "part": cells[0]})
    return rows


def rows_below(above: list[Row | None]) -> list[Row]:
    """What stands below the stock, and at last the sum of the counts, as a spreadsheet adds them up."""
    headings = ("part", "description", "kind", "thread", "length", "head", "on hand", "unit")
    rows: list[Row] = []
    for cells in table(BELOW):
        row: Row = {**dict(zip(headings, map(number, cells), strict=True)), "part": cells[0]}
        # What a spreadsheet program makes of 1-1/2 typed into a cell that is not formatted as text.
        row["length"] = date(2002, 1, 1) if row["length"] == "1 January" else row["length"]
        rows.append(row)
    counts = (row.get("on hand") for row in [*above, *rows] if row is not None)
    total = sum(count for count in counts if isinstance(count, int | float))
    return [*rows, {"part": "Total", "on hand": round(total, 1)}]


def untidied(rows: list[Row], luck: random.Random) -> list[Row]:
    """The small untidiness of a sheet kept by hand: counts typed as text, blanks before and after."""
    for row in rows:
        chance = luck.random()
        if chance < 0.08 and isinstance(row["on hand"], int):
            row["on hand"] = f"{row['on hand']} "
        elif chance < 0.14:
            row["part"] = f"{row['part']} "
        elif chance < 0.20 and row.get("description"):
            row["description"] = row["description"].replace(", ", f",{NBSP}", 1)
        elif chance < 0.24 and row.get("unit") == "each":
            row["unit"] = " Each"
    return rows


def stock_rows() -> list[Row | None]:
    """The stock sheet, top to bottom; None is a blank row between two lots."""
    luck = random.Random(SEED)
    bolts, others = bolt_rows(luck), other_rows(OTHERS, luck)
    faulty = [*faulty_bolt_rows(), *other_rows(FAULTY, luck)]
    rows = [*untidied(bolts, luck), None, *untidied(others, luck), None, *faulty, *second_bin_rows()]
    return [*rows, None, *rows_below(rows)]


def day(text: str) -> Any:
    """A day by its name in ``DAYS`` or in ISO form; other text stays as it was typed."""
    if text in DAYS:
        return DAYS[text]
    return date.fromisoformat(text) if re.fullmatch(r"\d{4}-\d\d-\d\d", text) else text or None


def job_rows() -> list[list[Any]]:
    rows = []
    for cells in table(JOBS):
        numbers = [number(cell) for cell in cells[8:12]]
        rows.append([cells[0], day(cells[1]), *(cell or None for cell in cells[2:8]), *numbers, *cells[12:]])
    return [[cell if cell != "" else None for cell in row] for row in rows]


def order_rows() -> list[list[Any]]:
    return [[order, part, number(quantity), day(due)] for order, part, quantity, due in table(ON_ORDER)]


USED_OFTEN = (
    "B14-250", "B14-300", "B14-200", "B14-100", "B516-300", "B516-250", "SP-050", "SPL-050", "BM6-40", "BM6-55",
    "HM6-50", "HM6-65", "S1032-100", "NUT-LK-14", "NUT-LK-516", "00417", "TL-MED", "TIE-200", "SPM-125", "CP-34",
)  # fmt: skip
USED_SELDOM = (
    "B14-350", "B14-400", "B516-350", "B516-400", "SP-100", "SPL-100", "BM6-70", "BM6-80", "HM6-80", "HM6-90",
    "CP-56", "CPM-35", "SGS-L", "PAN-17", "PAN-20", "SLG-40", "SLG-T17", "BU-17", "CAS-5", "CAS-6", "CAS-8", "BRG-608",
    "TYR-24", "TUB-24", "ARM-PAD", "BRK-L", "BRK-R", "BLT-PEL", "FTP-R", "1E5", "GRP-22", "AXL-12",
)  # fmt: skip


def used(part: str, luck: random.Random) -> float | int:
    """What one job takes of a part: by twos and fours for what is fitted on both sides."""
    if part == "TL-MED":
        return luck.choice((0.6, 0.8, 1.2))
    if part in USED_SELDOM:
        return luck.choice((1, 1, 2))
    return luck.choice((2, 4, 4, 8)) if not part.startswith("SP-") else luck.choice((8, 8, 16))


def usage_rows() -> list[list[Any]]:
    """A year of what was taken, to the day before today: often nothing, now and then a handful."""
    luck = random.Random(SEED + 1)
    rows, job, today = [], 3200, date(2025, 11, 27)
    while today < TODAY:
        if today.weekday() < 5:
            often = [part for part in USED_OFTEN if luck.random() < 0.21]
            seldom = [part for part in USED_SELDOM if luck.random() < 0.045]
            rows += [[today, part, used(part, luck), f"J-{job}"] for part in often]
            rows += [[today, part, used(part, luck), luck.choice((f"J-{job}", None))] for part in seldom]
            job += luck.randint(2, 4)
        today += timedelta(days=1)
    return rows


# --------------------------------------------------------------------------------------------------------
# From rows to sheets, noting where each planted fault has come to stand.


@dataclass(frozen=True)
class Planted:
    """A fault that was put in on purpose."""

    kind: str
    file: str
    sheet: str
    cell: str
    code: str
    what: str

    @property
    def where(self) -> str:
        return f"{self.file}!{self.sheet}!{self.cell}"


@dataclass
class Sheet:
    """A sheet being written: title above, headings, then rows from ``first`` on."""

    file: str
    tab: Worksheet
    headings: list[str]
    planted: list[Planted] = field(default_factory=list)
    row: int = 0

    def head(self, title: str) -> None:
        if title:
            self.tab.append([title])
            self.tab["A1"].font = Font(bold=True, size=13)
            self.tab.append([])
        self.tab.append(self.headings)
        self.row = self.tab.max_row
        for cell in self.tab[self.row]:
            cell.font = Font(bold=True)
            cell.fill = PatternFill("solid", fgColor="E7E6E0")
            cell.border = Border(bottom=Side(style="thin"))
            cell.alignment = Alignment(wrap_text=True, vertical="top")
        self.tab.freeze_panes = f"A{self.row + 1}"

    def add(self, cells: Iterable[Any]) -> None:
        self.row += 1
        for column, value in enumerate(cells, 1):
            if value is None:
                continue
            cell = self.tab.cell(self.row, column, value)
            if isinstance(value, date):
                cell.number_format = "ddd dd mmm yyyy" if column < 5 else "d mmm"
            elif isinstance(value, str) and not value.startswith(("=", "#")):
                # A part number such as 00417 or 1E5 stays what was typed.
                cell.number_format = "@"

    def plant(self, fault: tuple[str, str, str]) -> None:
        """Notes that the row just written holds a fault, under the heading named."""
        heading, code, what = fault
        column = get_column_letter(self.headings.index(heading) + 1)
        where = f"{column}{self.row}"
        self.planted.append(Planted(severity(code), self.file, self.tab.title, where, code, what))

    def widen(self) -> None:
        for at in range(1, len(self.headings) + 1):
            texts = [str(self.tab.cell(row, at).value or "") for row in range(3, self.tab.max_row + 1)]
            widest = max((len(text) for text in texts), default=8)
            self.tab.column_dimensions[get_column_letter(at)].width = min(max(widest + 2, 8), 42)


def severity(code: str) -> str:
    from reconcile.values.catalogue import CODES

    return CODES[code].severity


def jobs_book() -> tuple[Workbook, list[Planted]]:
    book = new_book()
    sheet = Sheet("jobs.xlsx", book.create_sheet("Jobs"), list(JOB_HEADINGS))
    sheet.head(f"{WORKSHOP} – planned refits, weeks 49 and 50")
    for cells in job_rows():
        sheet.add(cells)
        for heading, code, what in (fault[1:] for fault in table(JOB_FAULTS) if fault[0] == cells[0]):
            sheet.plant((heading, code, what))
    sheet.widen()
    return book, sheet.planted


def stock_book() -> tuple[Workbook, list[Planted]]:
    book = new_book()
    sheet = Sheet("stock.xlsx", book.create_sheet("Stock"), list(STOCK_HEADINGS.values()))
    sheet.head(f"{WORKSHOP} – count of Friday 27 November 2026")
    seen: set[str] = set()
    for row in stock_rows():
        if row is None:
            sheet.row += 1
            continue
        sheet.add(row.get(heading) for heading in STOCK_HEADINGS)
        plant_stock(sheet, row["part"].strip(), seen)
    sheet.widen()
    orders = orders_sheet(book)
    plain_sheet(book, "Suppliers", SUPPLIER_HEADINGS, table(SUPPLIERS))
    plain_sheet(book, "Price breaks", ("Part no", "From quantity", "Price"), table(PRICE_BREAKS))
    plain_sheet(book, "Usage", ("Date", "Part no", "Quantity", "Job"), usage_rows())
    return book, sheet.planted + orders.planted


SUPPLIER_HEADINGS = (
    "Supplier", "Name", "Minimum order value", "Delivery charge", "Free delivery from", "Email",
)  # fmt: skip


def plant_stock(sheet: Sheet, part: str, seen: set[str]) -> None:
    """A fault of two rows stands in the second of them."""
    faults = SECOND_BIN_FAULTS if part in seen else STOCK_FAULTS
    if part in faults:
        heading, code, what = faults[part]
        sheet.plant((STOCK_HEADINGS[heading], code, what))
    seen.add(part)


def orders_sheet(book: Workbook) -> Sheet:
    sheet = Sheet("stock.xlsx", book.create_sheet("On order"), ["Order", "Part no", "Quantity", "Due"])
    sheet.head("Open orders")
    for cells in order_rows():
        sheet.add(cells)
        if cells[1] in ORDER_FAULTS:
            sheet.plant(ORDER_FAULTS[cells[1]])
    sheet.widen()
    return sheet


def plain_sheet(book: Workbook, name: str, headings: Iterable[str], rows: Iterable[list[Any]]) -> None:
    sheet = Sheet("stock.xlsx", book.create_sheet(name), list(headings))
    sheet.head("")
    texts = {0, *(at for at, heading in enumerate(sheet.headings) if heading == "Part no")}
    for cells in rows:
        # Codes and part numbers stay text: 00417 as a number would be another part.
        read = (
            number(cell) if isinstance(cell, str) and at not in texts else cell
            for at, cell in enumerate(cells)
        )
        sheet.add(read)
    sheet.widen()


def new_book() -> Workbook:
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = WORKSHOP
    book.properties.created = MADE
    return book


def saved(book: Workbook) -> bytes:
    """The workbook's bytes with every time in it fixed, so that equal tables give equal files."""
    buffer, fixed = BytesIO(), BytesIO()
    book.save(buffer)
    stamp = MADE.strftime("%Y-%m-%dT%H:%M:%SZ")
    with zipfile.ZipFile(buffer) as made, zipfile.ZipFile(fixed, "w", zipfile.ZIP_DEFLATED) as out:
        for name in made.namelist():
            content = made.read(name)
            if name == "docProps/core.xml":
                pattern = rb"(<dcterms:modified[^>]*>)[^<]*"
                content = re.sub(pattern, rb"\g<1>" + stamp.encode(), content)
            entry = zipfile.ZipInfo(name, MADE.timetuple()[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            out.writestr(entry, content)
    return fixed.getvalue()


README_HEAD = f"""# The demonstration workshop

{WORKSHOP} does not exist. Its frames, build sheets, suppliers, torques and prices are invented,
and so is every job. Use no figure of them on a chair. Today is taken as 2026-11-27; the week to plan is 2026-W49.

    reconcile week data_demo --week 2026-W49 --today 2026-11-27

| file | what it holds |
|---|---|
| `reconcile.toml` | settings: currency, working days, one holiday, the workshop's own word for a bin |
| `frames/` | four frames: bolted tilt frame in inches, folding frame in 12.5 mm steps, telescoping frame, rigid frame with two adjustments |
| `jobs.xlsx` | planned jobs of weeks 49 and 50 |
| `stock.xlsx` | the count, what is on order, suppliers, price breaks and a year of use |

## What is planted

The cells below hold faults on purpose, as real sheets do. An *error* sets its row aside; a *notice* is only said.
This list is written by `tests/make_demo_data.py` together with the workbooks, so its cells are true.

"""

README_TAIL = """
## What is scarce, and why

Most tilt chairs of the week go from 16 in to 17 in, and so two things run low together: the screw 1/4-20 x 2 1/2 in
(`B14-250`) and the half-inch spacer (`SP-050`). One delivery of both comes on Wednesday; chairs made narrower give
back spacers and longer screws, to be used a working day later.

Early in the week three chairs are to be widened by three inches (J-4106, J-4110, J-4143). Each takes as many spacers
as three ordinary chairs. Served first come, first served, at least ten jobs of 39 would go without a kit; the
best choice gives up two of the three and leaves six jobs short, so four more chairs are done.

The steps of the folding frame `VL-M2` are 12.5 mm, and no bolt is sold in most of the lengths that follow. Its bolts
are therefore often substitutes within what grip and engagement allow, and are marked so.
"""


def readme(planted: list[Planted]) -> str:
    by_kind = sorted(planted, key=lambda fault: (fault.kind, fault.code))
    lines = [f"| {each.kind} | `{each.where}` | `{each.code}` | {each.what} |" for each in by_kind]
    return "\n".join(
        (README_HEAD + "| kind | cell | code | what |", "|---|---|---|---|", *lines, README_TAIL)
    )


def made() -> dict[str, bytes]:
    """Every file that this script writes, by name."""
    jobs, in_jobs = jobs_book()
    stock, in_stock = stock_book()
    text = readme(in_jobs + in_stock)
    return {"jobs.xlsx": saved(jobs), "stock.xlsx": saved(stock), "README.md": text.encode()}


def main() -> None:
    folder = Path(__file__).resolve().parent.parent / "data_demo"
    for name, content in made().items():
        (folder / name).write_bytes(content)
        print(f"{name}: {len(content)} bytes")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
    main()
