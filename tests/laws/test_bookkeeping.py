"""A bookkeeping law: whatever is closed, counted, edited, corrected or written back, in any order,

    on hand = opening + movements,

bin by bin, in the stock workbook, in the ledger, and in a plain sum that this test keeps for itself. A ledger
that is lost or put back from an older copy, a workbook put back from an older copy, and two workshops whose
ledgers are swapped book nothing, until what was lost is put back, or a ledger is begun anew.
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
from quick_disk import MEMORY

from reconcile.ledger.book import open_ledger
from reconcile.plan.closing.movements import shelf_changes
from reconcile.sheets.finding import located
from reconcile.sheets.request import Request
from reconcile.values.problem import RowPlace, Unusable
from reconcile.values.stock.movements import COUNT, COUNTED, WEEK, Closing, Movement, StockChange
from reconcile.values.stock.parts import Usage
from reconcile.work.booking import Posting, StockDesk, open_desk, post, refuse_old
from reconcile.work.entries.new_ledger import begin_ledger
from reconcile.work.entries.undoing import undoing
from reconcile.work.marks import mark_on

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
        where = str(MEMORY) if MEMORY.is_dir() else None
        self.folder = Path(tempfile.mkdtemp(prefix="books-", dir=where))
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
        change = StockChange(shelf_changes(moves), used=used)
        posted = post(self.desk(), Posting(closing, moves, change, marks=kind == WEEK), in_place=in_place)
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

    # --- what lies on the disk is not what lay there

    @property
    def ledger_file(self) -> Path:
        return self.folder / "stock-ledger.sqlite"

    def booked_in_place(self) -> bool:
        return bool(mark_on(self.stock))

    def refused_and_unchanged(self, *codes: str) -> None:
        """A week is not booked, for one of these reasons, and no file has changed."""
        before = {path: path.read_bytes() for path in self.folder.rglob("*") if path.is_file()}
        self.number += 1
        closing = Closing(f"week {self.number}", WEEK, TODAY, "clerk")
        moves = [Movement("CLIP", "A1", Fraction(-1), "each", "issued", TODAY, "clerk")]
        with pytest.raises(Unusable) as refused:
            desk = self.desk()
            refuse_old(desk)
            post(desk, Posting(closing, moves, StockChange(shelf_changes(moves)), marks=True), in_place=True)
        assert {each.code for each in refused.value.problems} <= set(codes)
        after = {path: path.read_bytes() for path in self.folder.rglob("*") if path.is_file()}
        assert after == before

    @precondition(lambda self: hasattr(self, "folder") and self.booked_in_place())
    @rule(how=st.sampled_from(["lost", "emptied", "begun anew"]), what=BOOKED)
    def lose_the_ledger(self, how: str, what) -> None:
        kept = self.ledger_file.read_bytes()
        if how == "emptied":
            self.ledger_file.write_bytes(b"")
        else:
            self.ledger_file.unlink()
        self.refused_and_unchanged("ledger-lost")
        if how == "begun anew":
            begin_ledger(located(Request(self.folder, today=TODAY)), "clerk", in_place=True)
            self.standing = {}
        else:
            self.ledger_file.write_bytes(kept)
        self.booked(WEEK, what, in_place=True)

    @precondition(lambda self: hasattr(self, "folder") and self.booked_in_place())
    @rule(what=BOOKED)
    def put_an_old_ledger_back(self, what) -> None:
        old = self.ledger_file.read_bytes()
        self.booked(WEEK, what, in_place=True)
        kept = self.ledger_file.read_bytes()
        self.ledger_file.write_bytes(old)
        self.refused_and_unchanged("ledger-older")
        self.ledger_file.write_bytes(kept)

    @precondition(lambda self: hasattr(self, "folder") and self.booked_in_place())
    @rule(what=BOOKED, edited=st.booleans())
    def put_an_old_workbook_back(self, what, edited: bool) -> None:
        import openpyxl

        old = self.stock.read_bytes()
        self.booked(WEEK, what, in_place=True)
        kept = self.stock.read_bytes()
        self.stock.write_bytes(old)
        if edited:
            book = openpyxl.load_workbook(self.stock)
            book["Stock"]["A1"].value = "part"
            book.save(self.stock)
        self.refused_and_unchanged("stock-before-closing")
        self.stock.write_bytes(kept)

    @precondition(lambda self: hasattr(self, "folder") and self.booked_in_place())
    @rule(what=BOOKED)
    def swap_two_workshops(self, what) -> None:
        """The other went on from a copy of this one: ledgers of one identity, and two histories."""
        other = Path(tempfile.mkdtemp(prefix="books-"))
        shutil.copytree(self.folder, other, dirs_exist_ok=True)
        here, self.folder = self.folder, other
        before, standing = dict(self.sum), dict(self.standing)
        try:
            self.booked(WEEK, what, in_place=True)
            theirs = self.ledger_file.read_bytes()
        finally:
            self.folder, self.sum, self.standing = here, before, standing
            shutil.rmtree(other)
        self.booked(WEEK, what, in_place=True)
        ours = self.ledger_file.read_bytes()
        self.ledger_file.write_bytes(theirs)
        self.refused_and_unchanged("ledger-foreign")
        self.ledger_file.write_bytes(ours)

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
    max_examples=12, stateful_step_count=10,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)  # fmt: skip
TestBooks = pytest.mark.slow(Books.TestCase)
