"""A bookkeeping law: whatever is closed, counted, edited, corrected or written back, in any order,

    on hand = opening + movements,

bin by bin, in the stock workbook, in the ledger, and in a plain sum that this test keeps for itself.
"""

import shutil
import tempfile
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from books import workbook
from closing_shop import on_hand
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from reconcile.ledger.book import open_ledger
from reconcile.plan.closing.movements import sums_by_bin
from reconcile.sheets.finding import located
from reconcile.sheets.request import Request
from reconcile.values.problem import RowPlace, Unusable
from reconcile.values.stock.movements import COUNT, COUNTED, WEEK, Closing, Movement, StockChange
from reconcile.values.stock.parts import Usage
from reconcile.work.booking import Posting, StockDesk, open_desk, post
from reconcile.work.entries.undoing import undoing

TODAY = date(2026, 12, 1)
KEYS = (("CLIP", "A1"), ("CLIP", "A2"), ("GLUE", "B1"), ("TIE", "C1"))
UNITS = {"CLIP": "each", "GLUE": "mL", "TIE": "each"}
QUANTITIES = st.sampled_from(
    [Fraction(n) for n in ("1", "2", "5", "12", "0.1", "1/3", "7/8", "0", "-3", "-1/3")]
)
BOOKED = st.dictionaries(st.sampled_from(KEYS), QUANTITIES, min_size=1)


class Books(RuleBasedStateMachine):
    """A stock workbook with its ledger, and beside them the plain sum of what was done."""

    @initialize(
        clips=st.integers(0, 50), glue=st.sampled_from(["25 mL", 4, "0.5 L"]), packs=st.integers(0, 9)
    )
    def open(self, clips: int, glue: object, packs: int) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="books-"))
        rows = [
            ("part", "bin", "on hand", "unit", "pack"),
            ("CLIP", "A1", clips, "each", None),
            ("GLUE", "B1", glue, "mL", None),
            ("CLIP", "A2", 3, "each", None),
            ("TIE", "C1", packs, "pack", 12),
        ]
        usage = [("date", "part", "quantity", "job")]
        workbook(self.folder / "stock.xlsx", Stock=rows, Usage=usage)
        self.sum = on_hand(self.folder / "stock.xlsx")
        self.standing: dict[str, dict[tuple[str, str], Fraction]] = {}
        self.number = 0

    def teardown(self) -> None:
        if hasattr(self, "folder"):
            shutil.rmtree(self.folder)

    @property
    def stock(self) -> Path:
        return self.folder / "stock.xlsx"

    def desk(self) -> StockDesk:
        return open_desk(located(Request(self.folder, today=TODAY)), "clerk")

    def booked(self, kind: str, what: dict[tuple[str, str], Fraction], *, in_place: bool) -> None:
        self.number += 1
        name = f"{kind} {self.number}"
        moves = [
            Movement(
                part, bin_, quantity, UNITS[part], COUNTED if kind == COUNT else "issued", TODAY, "clerk"
            )
            for (part, bin_), quantity in what.items()
        ]
        used = tuple(
            Usage(TODAY, part, -quantity, name, RowPlace("", "", 0))
            for (part, _), quantity in what.items()
            if quantity < 0
        )
        rows = [[TODAY.isoformat(), each.part, str(each.quantity), each.job] for each in used]
        closing = Closing(name, kind, TODAY, "clerk", details={"usage": rows})
        posted = post(
            self.desk(),
            Posting(closing, moves, StockChange(sums_by_bin(moves), used=used)),
            in_place=in_place,
        )
        if not in_place and posted.changed:
            posted.workbook.replace(self.stock)  # as the clerk does
        self.standing[name] = what
        for key, quantity in what.items():
            self.sum[key] += quantity

    @rule(what=BOOKED, in_place=st.booleans())
    def close(self, what, in_place) -> None:
        self.booked(WEEK, what, in_place=in_place)

    @rule(what=BOOKED)
    def count(self, what) -> None:
        self.booked(COUNT, what, in_place=True)

    @rule(cell=st.sampled_from([2, 3, 4, 5]), found=st.integers(0, 40))
    def edit_the_sheet_and_take_it_over(self, cell: int, found: int) -> None:
        import openpyxl

        book = openpyxl.load_workbook(self.stock)
        book["Stock"][f"C{cell}"] = found
        book.save(self.stock)
        after = on_hand(self.stock)
        self.number += 1
        closing = Closing(f"nothing {self.number}", WEEK, TODAY, "clerk")
        posting = Posting(closing, [], StockChange())
        desk = self.desk()
        differs = desk.ledger is not None and after != self.sum
        try:
            post(desk, posting, in_place=True)
            assert not differs
        except Unusable as unusable:
            assert differs
            assert {each.code for each in unusable.problems} == {"ledger-differs"}
            post(self.desk(), posting, in_place=True, take_differences=True)
        self.sum = after

    @precondition(lambda self: self.standing)
    @rule(data=st.data(), in_place=st.booleans())
    def write_back(self, data, in_place) -> None:
        name = data.draw(st.sampled_from(sorted(self.standing)))
        posted = post(self.desk(), undoing(name, self.desk()), in_place=in_place)
        if not in_place and posted.changed:
            posted.workbook.replace(self.stock)
        for key, quantity in self.standing.pop(name).items():
            self.sum[key] -= quantity

    @precondition(lambda self: self.standing)
    @rule(data=st.data())
    def close_again(self, data) -> None:
        name = data.draw(st.sampled_from(sorted(self.standing)))
        before = self.stock.read_bytes()
        try:
            post(self.desk(), Posting(Closing(name, WEEK, TODAY, "clerk"), [], StockChange()), in_place=True)
        except Unusable as unusable:
            assert [each.code for each in unusable.problems] == ["week-closed"]
        else:
            raise AssertionError("closed twice")
        assert self.stock.read_bytes() == before

    @invariant()
    def on_hand_is_opening_and_movements(self) -> None:
        if not hasattr(self, "folder"):
            return
        assert on_hand(self.stock) == self.sum
        ledger = open_ledger(self.folder / "stock-ledger.sqlite", create=False)
        if ledger is None:
            return
        with ledger:
            balances = ledger.balances()
            added: dict[tuple[str, str], Fraction] = {}
            for part in ledger.parts():
                for each in ledger.card(part):
                    key = (part, each.movement.bin)
                    added[key] = added.get(key, Fraction(0)) + each.movement.quantity
            assert balances == added
            assert {key: self.sum[key] for key in balances} == balances
            assert ledger.audit() == []


Books.TestCase.settings = settings(
    max_examples=20, stateful_step_count=12,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)  # fmt: skip
TestBooks = pytest.mark.slow(Books.TestCase)
