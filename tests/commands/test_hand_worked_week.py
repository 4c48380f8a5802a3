"""A week of three jobs on two frames, worked by hand, from real workbooks to the JSON result.

Today is Friday 2026-11-27; the week is 2026-W49, Monday 2026-11-30 to Friday 2026-12-04.

J-1, Mon, HW-A 14 to 15 in, with anti-tippers. Steps (14 - 14)/0.5 = 0 and (15 - 14)/0.5 = 2, so each
    side goes 0 -> 1. A side: bolt out 1 1/2 + 0 x 1/2 = 1 1/2 in, bolt in 1 1/2 + 1 x 1/2 = 2 in, one
    spacer of 1/2 in, 0.1 mL. Covers: CP-2 serves 0 and 1 steps, no change. Seat pan: PAN-15 serves 14
    and 15 in, no change. Anti-tippers: 4 NUT-1.
J-2, Tue, HW-A 16 to 15 in. Steps 4 -> 2, each side 2 -> 1. A side: bolt out 2 1/2 in, in 2 in, one piece
    of 1/2 in spacer off, 0.1 mL. Seat pan: PAN-18 off, PAN-15 on.
J-3, Wed, HW-B 400 to 412.5 mm, two chairs. One stack, 0 -> 1 step. A chair: 2 bolts of 30 mm out, 2 of
    30 + 12.5 = 42.5 mm in, 2 stacks of 12.5 mm. Window: grip 20 + 12.5 = 32.5, so 38.5 to 48.5 mm. Stock
    has M6 x 40 and M6 x 45, both 2.5 mm off: the longer, 45, comes first, and is a substitute. Its plain
    shank is 45 - (2 x 6 + 6) = 27 mm, not more than the grip.

B-200   4 on the shelf; Mon 2, Tue 2, so 0 left. Safety stock 2: want 2, one pack of 10. Required by the
        last day, Fri 12-04; three working days earlier is Tue 12-01.
SP-050  2 on the shelf, Mon 2; Tue gives 2 back, usable Wed. End 2.
TL-MED  50 mL; 0.2 and 0.2. End 49.6.
NUT-1   10 less 3 allocated; Mon 4. End 3.
PAN-15  none; order PO-1 brings 1 on Tue, so J-2 waits for it. End 0.
B6-45   2 on the shelf; Wed 4, so 2 short on Wed. Pack 100. Lead time 5: Wed 12-02 less 5 working days
        (12-01, 11-30, 11-27, 11-26, 11-25) is Wed 11-25, before today: late. J-3 is short of 2, and can
        be done five working days from today (11-30, 12-01, 02, 03, 04): Fri 12-04.
SP-125  4 on the shelf; Wed 4. End 0.
"""

import gc
import json
import signal
import sys
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from reconcile.cli import main

FRAMES = Path(__file__).parents[1] / "cases" / "hand_week" / "frames"
JOB_HEADINGS = ("job", "date", "frame", "from", "to", "options", "chairs", "priority")
JOBS = (
    ("J-1", date(2026, 11, 30), "HW-A", "14 in", "15 in", "anti-tippers", None, 2),
    ("J-2", date(2026, 12, 1), "HW-A", "16 in", "15 in", None, None, None),
    ("J-3", date(2026, 12, 2), "HW-B", "400 mm", "412.5 mm", None, 2, None),
)
STOCK_HEADINGS = (
    "part", "description", "thread", "length", "head", "grade", "on hand", "allocated", "unit", "pack",
    "lead time days", "safety stock",
)  # fmt: skip
STOCK = (
    ("B-150", "", "1/4-20 UNC", "1 1/2 in", "socket cap", "SAE 8", 0, None, "each", None, None, None),
    ("B-200", "SHCS 1/4-20 x 2", None, None, None, "SAE 8", 4, None, "each", 10, 3, 2),
    ("B-250", "", "1/4-20 UNC", "2 1/2 in", "socket cap", "SAE 8", 0, None, "each", None, None, None),
    ("SP-050", "spacer 1/2 in", None, None, None, None, 2, None, "each", None, None, None),
    ("TL-MED", "thread locker", None, None, None, None, 50, None, "mL", None, None, None),
    ("CP-2", "cover plate", None, None, None, None, 5, None, "each", None, None, None),
    ("PAN-15", "seat pan", None, None, None, None, 0, None, "each", None, None, None),
    ("NUT-1", "lock nut", None, None, None, None, 10, 3, "each", None, None, None),
    ("B6-40", "", "M6", "40 mm", "hex", "8.8", 0, None, "each", None, None, None),
    ("B6-45", "", "M6", "45 mm", "hex", "8.8", 2, None, "each", 100, 5, None),
    ("SP-125", "spacer 12.5 mm", None, None, None, None, 4, None, "each", None, None, None),
)
DUE_HEADINGS = ("order", "part", "quantity", "due")
DUE = (("PO-1", "PAN-15", 1, date(2026, 12, 1)),)


def line(do, what, name, side, quantity, length, parts, unit="each", substitute=False):  # noqa: PLR0917
    return {
        "do": do, "what": what, "name": name, "side": side, "quantity": quantity, "unit": unit,
        "length": length, "parts": parts, "substitute": substitute,
    }  # fmt: skip


def widening_side(side):
    return [
        line("remove", "bolt", "front", side, 1, "1 1/2 in", {"B-150": 1}),
        line("fit", "bolt", "front", side, 1, "2 in", {"B-200": 1}),
        line("fit", "spacer", "front", side, 1, "1/2 in", {"SP-050": 1}),
        line("fit", "extra", "front", side, 0.1, None, {"TL-MED": 0.1}, unit="mL"),
    ]


def narrowing_side(side):
    return [
        line("remove", "bolt", "front", side, 1, "2 1/2 in", {"B-250": 1}),
        line("fit", "bolt", "front", side, 1, "2 in", {"B-200": 1}),
        line("remove", "spacer", "front", side, 1, "1/2 in", {"SP-050": 1}),
        line("fit", "extra", "front", side, 0.1, None, {"TL-MED": 0.1}, unit="mL"),
    ]


EXPECTED_JOBS = [
    {
        "job": "J-1", "date": "2026-11-30", "priority": 2, "kit": "complete",
        "steps": {"left": [0, 1], "right": [0, 1]},
        "lines": [
            *widening_side("left"),
            *widening_side("right"),
            line("fit", "disturbed", "NUT-1", "", 4, None, {"NUT-1": 4}),
        ],
        "missing": [], "awaits": [], "earliest": None, "notices": [],
    },
    {
        "job": "J-2", "date": "2026-12-01", "priority": 3, "kit": "waits",
        "steps": {"left": [2, 1], "right": [2, 1]},
        "lines": [
            *narrowing_side("left"),
            *narrowing_side("right"),
            line("remove", "sized", "seat pan", "", 1, None, {}),
            line("fit", "sized", "seat pan", "", 1, None, {"PAN-15": 1}),
        ],
        "missing": [],
        "awaits": [{"part": "PAN-15", "quantity": 1, "date": "2026-12-01", "from": "order PO-1"}],
        "earliest": None, "notices": [],
    },
    {
        "job": "J-3", "date": "2026-12-02", "priority": 3, "kit": "short",
        "steps": {"single": [0, 1]},
        "lines": [
            line("remove", "bolt", "rail", "", 4, "30 mm", {}),
            line("fit", "bolt", "rail", "", 4, "42.5 mm", {"B6-45": 4}, substitute=True),
            line("fit", "spacer", "rail", "", 4, "12.5 mm", {"SP-125": 4}),
        ],
        "missing": [{"part": "B6-45", "quantity": 2, "in_time": False}],
        "awaits": [], "earliest": "2026-12-04", "notices": [],
    },
]  # fmt: skip


def part(number, on_hand, needed, end, jobs, **others):
    """A part with nothing on order, recovered or short, needed later or ordered, unless said otherwise.

    The look-ahead is eight weeks from Friday 27 November: to Friday 22 January. That far an order of
    this week must last where no lead time is known; else until one of next week can be there.
    """
    plain = {
        "part": number, "new": False, "unit": "each", "on_hand": on_hand, "allocated": 0, "on_order": 0,
        "needed": needed, "needed_later": 0, "recovered": 0, "shortfall": 0, "beyond": 0, "to_come": [],
        "first_short": None,
        "end": end, "position": end, "reach": "2027-01-22", "order": 0, "packs": 0,
        "required_by": None, "order_by": None, "late": False, "jobs": jobs, "at_risk": [],
    }  # fmt: skip
    return {**plain, **others}


EXPECTED_PARTS = [
    part(
        "B-200", 4, 4, 0, ["J-1", "J-2"], order=10, packs=1, required_by="2026-12-04", order_by="2026-12-01",
        reach="2026-12-09",  # three working days after Friday 4 December
    ),
    part("SP-050", 2, 2, 2, ["J-1"], recovered=2),
    part("TL-MED", 50, 0.4, 49.6, ["J-1", "J-2"], unit="mL"),
    part("PAN-15", 0, 1, 0, ["J-2"], on_order=1),
    part("NUT-1", 10, 4, 3, ["J-1"], allocated=3),
    part(
        "B6-45", 2, 4, -2, ["J-3"], shortfall=2, first_short="2026-12-02", order=100, packs=1,
        required_by="2026-12-02", order_by="2026-11-25", late=True, reach="2026-12-11",
        at_risk=[{"job": "J-3", "date": "2026-12-02", "quantity": 2}],
    ),
    part("SP-125", 4, 4, 0, ["J-3"]),
]  # fmt: skip


@pytest.fixture
def workshop(tmp_path):
    write_book(tmp_path / "jobs.xlsx", Jobs=(JOB_HEADINGS, *JOBS))
    write_book(
        tmp_path / "stock.xlsx", **{"Stock": (STOCK_HEADINGS, *STOCK), "On order": (DUE_HEADINGS, *DUE)}
    )
    return tmp_path


def write_book(path, **sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)


@contextmanager
def as_in_a_process_of_its_own():
    """What the console command sets for a process that ends with it is undone: these tests go on."""
    numbers = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    handlers = {number: signal.getsignal(number) for number in numbers}
    try:
        yield
    finally:
        gc.unfreeze()
        gc.enable()
        for number, handler in handlers.items():
            signal.signal(number, handler)


def run(capsys, monkeypatch, *words):
    monkeypatch.setattr(sys, "argv", ["reconcile", *map(str, words)])
    with as_in_a_process_of_its_own(), pytest.raises(SystemExit) as stop:
        main()
    return stop.value.code, capsys.readouterr()


def test_the_json_result_agrees_line_by_line(workshop, capsys, monkeypatch):
    status, output = run(
        capsys, monkeypatch, "week", workshop, "--frames", FRAMES, "--today", "2026-11-27", "--json"
    )
    result = json.loads(output.out)
    # No chair is named, every stack is empty, and there is no ledger.
    plain = {
        "look_first": False, "asset": None, "after": [], "order_by": None, "standing": "open", "held": False,
    }  # fmt: skip
    assert result["jobs"] == [job | plain for job in EXPECTED_JOBS]
    assert result["parts"] == EXPECTED_PARTS
    assert result["period"] == {"from": "2026-11-30", "to": "2026-12-04"}
    assert result["today"] == "2026-11-27"
    assert result["solution"] == {"proven": True, "gap": 0}
    assert result["rows"]["jobs"] == {
        "read": 3, "used": 3, "set_aside": 0, "outside_period": 0, "done": 0, "beside": 0,
    }  # fmt: skip
    assert result["rows"]["stock"] == {"read": 11, "used": 11, "set_aside": 0}
    assert [(each["code"], each["where"]) for each in result["problems"]] == []
    assert status == 1
