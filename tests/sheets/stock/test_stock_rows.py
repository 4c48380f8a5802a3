"""The stock workbook: a few rows, and the parts and the (cell, code) list that they give."""

import hashlib
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from books import csv_file, flat, workbook

from reconcile.sheets.files.books import open_book
from reconcile.sheets.stock.workbook import read_stock
from reconcile.values.measure import inches
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings
from reconcile.values.week.results import Tally

TODAY = date(2026, 11, 27)  # a Friday
MONDAY, TUESDAY = date(2026, 11, 30), date(2026, 12, 1)
HEADINGS = ["part", "on hand", "unit"]
INCHES = Settings(length_unit="in")


def read(path, settings=INCHES):
    return read_stock(open_book(path), settings, TODAY)


def stock_of(tmp_path, *rows, more=(), settings=INCHES, **sheets):
    """What is read from a stock sheet with these rows under HEADINGS and ``more``."""
    return read(workbook(tmp_path / "stock.xlsx", Stock=[[*HEADINGS, *more], *rows], **sheets), settings)


def one_part(tmp_path, *rows, **how):
    """The only part of a sheet without problems."""
    result = stock_of(tmp_path, *rows, **how)
    assert result.problems == ()
    (part,) = result.stock.parts.values()
    return part


# parts and their columns


def test_a_plain_row_takes_every_default(tmp_path):
    part = one_part(tmp_path, ["CP-2", 3, "pcs"])
    assert (part.number, part.unit, part.on_hand, part.allocated, part.pack) == ("CP-2", "each", 3, 0, 1)
    assert (part.bolt, part.lead_time, part.price, part.reorder_point, part.order_up_to) == (None,) * 5
    assert (part.minimum_order, part.safety_stock, part.row) == (0, 0, 2)


def test_a_full_row(tmp_path):
    more = [
        "description", "kind", "finish", "bin", "allocated", "pack", "minimum order", "lead time days",
        "supplier", "supplier part", "price", "currency", "safety stock", "reorder point", "order up to",
    ]  # fmt: skip
    row = ["cover plate", "cover", "black", "A3", 1, 10, "1 dozen", 5, "S-1", 417, 0.45, "eur", 2, 4, 40]
    part = one_part(tmp_path, ["CP-2", "2 dozen", "each", *row], more=more)
    assert (part.on_hand, part.allocated, part.pack, part.minimum_order) == (24, 1, 10, 12)
    assert (part.lead_time, part.supplier, part.supplier_part) == (5, "S-1", "417")
    assert (part.price, part.currency) == (Decimal("0.45"), "EUR")
    assert (part.safety_stock, part.reorder_point, part.order_up_to) == (2, 4, 40)
    assert (part.description, part.kind, part.finish, part.bins[0].name) == (
        "cover plate",
        "cover",
        "black",
        "A3",
    )


def test_part_numbers_stay_text(tmp_path):
    numbers = ["00417", "1E5", "NA", "b-1", "B-1", 417, 0.5]
    result = stock_of(tmp_path, *([number, 1, "each"] for number in numbers))
    assert list(result.stock.parts) == ["00417", "1E5", "NA", "b-1", "B-1", "417", "0.5"]


def test_part_numbers_stay_text_in_csv(tmp_path):
    csv_file(tmp_path / "Stock.csv", "part;on hand;unit\n00417;1;each\n1E5;2;each\nNA;3;each\n")
    assert list(read(tmp_path).stock.parts) == ["00417", "1E5", "NA"]


def test_quantities_are_exact(tmp_path):
    part = one_part(tmp_path, ["TL", 0.1, "mL"], ["TL", 0.2, "mL"])
    assert (part.on_hand, part.unit) == (Fraction(3, 10), "mL")


# units


def test_packs_on_hand_and_pieces_elsewhere(tmp_path):
    more = ["allocated", "pack", "minimum order", "safety stock", "reorder point", "order up to"]
    part = one_part(tmp_path, ["B", 3, "pack", 1, 50, 100, 20, 30, 200], more=more)
    assert (part.unit, part.on_hand, part.allocated, part.pack) == ("each", 150, 50, 50)
    assert (part.minimum_order, part.safety_stock, part.reorder_point, part.order_up_to) == (100, 20, 30, 200)


def test_pieces_in_a_row_of_packs_stay_pieces(tmp_path):
    part = one_part(tmp_path, ["B", "107 pcs", "pack", "2 packs", 50], more=["allocated", "pack"])
    assert (part.on_hand, part.allocated) == (107, 100)


def test_the_pack_of_a_part_counts_for_all_its_bins(tmp_path):
    part = one_part(tmp_path, ["B", 1, "pack", None], ["B", 2, "pack", 50], more=["pack"])
    assert (part.on_hand, part.pack) == (150, 50)


@pytest.mark.parametrize(("unit", "pieces"), [("dozen", 12), ("gross", 144)])
def test_bare_numbers_of_a_row_in_dozens(tmp_path, unit, pieces):
    part = one_part(tmp_path, ["B", 2, unit, 3, "5 pcs"], more=["minimum order", "safety stock"])
    assert (part.unit, part.on_hand, part.minimum_order, part.safety_stock) == (
        "each",
        2 * pieces,
        3 * pieces,
        5,
    )


def test_a_unit_in_the_heading_of_a_quantity(tmp_path):
    path = workbook(tmp_path / "stock.xlsx", Stock=[["part", "on hand (dozen)", "unit"], ["B", 2, "each"]])
    assert read(path).stock.parts["B"].on_hand == 24


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (["B", None, "each"], [("B2", "cell-blank")]),
        (["B", 1, None], [("C2", "cell-blank")]),
        ([None, 1, "each"], [("A2", "cell-blank")]),
        (["B", 1, "blips"], [("C2", "unit-unknown")]),
        (["B", "3 mL", "each"], [("B2", "unit-mismatch")]),
        (["B", "#N/A", "each"], [("B2", "cell-error")]),
        (["B", "=SUM(D1:D9)", "each"], [("B2", "formula-not-calculated")]),
        (["B", 1, "each", -1], [("D2", "number-negative")]),
        (["B", 1, "each", None, 0], [("E2", "number-too-small")]),
        (["B", 1, "each", None, None, 2.5], [("F2", "number-not-whole")]),
        (["B", 1, "each", None, None, -2], [("F2", "number-negative")]),
        (["B", "1,234", "each"], [("B2", "number-ambiguous")]),
        (
            ["B", "about 20", "blips", "x", 0, 2.5],
            [
                ("C2", "unit-unknown"),
                ("F2", "number-not-whole"),
                ("E2", "number-too-small"),
                ("B2", "number-unreadable"),
                ("D2", "number-unreadable"),
            ],
        ),
    ],
)
def test_faults_set_the_row_aside(tmp_path, row, expected):
    result = stock_of(tmp_path, row, more=["allocated", "pack", "lead time", "price"])
    assert (flat(result.problems), result.stock.parts) == (expected, {})
    assert result.tallies == {"stock": Tally(1, 0, 1, 0)}


def test_a_bin_that_is_set_aside_leaves_the_others(tmp_path):
    result = stock_of(tmp_path, ["B", 1, "each"], ["B", None, "each"], ["B", 2, "each"])
    assert (flat(result.problems), result.stock.parts["B"].on_hand) == ([("B3", "cell-blank")], 3)
    assert result.tallies["stock"] == Tally(3, 2, 1, 0)


# several rows of a part


def test_rows_of_a_part_are_bins(tmp_path):
    rows = [["B", 1, "each", "A1", 1], ["C", 9, "each"], ["B", 2, "ea", "A2", 0]]
    part = stock_of(tmp_path, *rows, more=["bin", "allocated"]).stock.parts["B"]
    assert [(each.name, each.on_hand, each.allocated, each.place.row) for each in part.bins] == [
        ("A1", 1, 1, 2),
        ("A2", 2, 0, 4),
    ]


def test_the_first_filled_cell_counts(tmp_path):
    more = ["lead time", "supplier", "pack"]
    result = stock_of(
        tmp_path,
        ["B", 1, "each", None, "S-1", 50],
        ["B", 1, "each", 5, "s-1", 50],
        ["B", 1, "each", 7, "S-2", 20],
        more=more,
    )
    part = result.stock.parts["B"]
    assert (part.lead_time, part.supplier, part.pack, part.on_hand) == (5, "S-1", 50, 3)
    assert sorted(flat(result.problems)) == [
        ("D4", "part-differs"),
        ("E4", "part-differs"),
        ("F4", "part-differs"),
    ]


def test_two_units_of_one_part(tmp_path):
    result = stock_of(tmp_path, ["B", 1, "each"], ["B", 1, "pack"], ["B", 2, "pcs"])
    assert (flat(result.problems), result.stock.parts["B"].on_hand) == ([("C3", "part-unit-differs")], 3)


def test_what_cannot_lie_on_a_shelf_is_remarked(tmp_path):
    result = stock_of(
        tmp_path, ["B", -2, "each", None], ["C", 1, "each", 2], ["C", 2, "each", 2], more=["allocated"]
    )
    assert flat(result.problems) == [("B2", "on-hand-negative"), ("D3", "allocated-above-on-hand")]
    assert (result.stock.parts["B"].on_hand, result.stock.parts["C"].allocated) == (-2, 4)


def test_prices_and_currencies(tmp_path):
    rows = [["A", 1, "each", 0.45, "EUR"], ["B", 1, "each", 0.45, None], ["C", 1, "each", None, None]]
    result = stock_of(tmp_path, *rows, more=["price", "currency"])
    assert flat(result.problems) == [("D3", "currency-unknown")]
    assert [part.price for part in result.stock.parts.values()] == [Decimal("0.45"), None, None]
    declared = stock_of(tmp_path, *rows, more=["price", "currency"], settings=Settings(currency="GBP"))
    assert declared.stock.parts["B"].currency == "GBP"
    headed = stock_of(tmp_path, *(row[:4] for row in rows), more=["price (CHF)"])
    assert (headed.problems, headed.stock.parts["B"].currency) == ((), "CHF")


# bolts

BOLT = ["description", "kind", "thread", "length", "thread length", "head", "grade"]


def bolt_of(tmp_path, description=None, kind=None, **columns):
    """The bolt (or None) and the problems of a single row."""
    cells = {"description": description, "kind": kind, **columns, "thread length": columns.get("full")}
    result = stock_of(tmp_path, ["B", 1, "each", *(cells.get(heading) for heading in BOLT)], more=BOLT)
    part = result.stock.parts.get("B")
    return (part.bolt.designation if part and part.bolt else None), flat(result.problems)


def test_a_bolt_from_its_columns(tmp_path):
    found = bolt_of(tmp_path, thread="1/4-20", length=2.5, head="SHCS", grade="Grade 8")
    assert found == ("1/4-20 UNC x 2 1/2 in, socket cap, SAE 8", [])


def test_a_bolt_from_its_description(tmp_path):
    assert bolt_of(tmp_path, "ISO 4762 - M6 x 30 - 8.8") == ("M6 x 30 mm, socket cap, 8.8", [])


def test_blank_columns_are_filled_from_the_description(tmp_path):
    found = bolt_of(tmp_path, "SHCS 1/4-20 x 2-1/2 BLK OX", thread="1/4-20", length="2 1/2 in", grade=8)
    assert found == ("1/4-20 UNC x 2 1/2 in, socket cap, SAE 8", [])


@pytest.mark.parametrize(
    ("columns", "cell"),
    [
        ({"thread": "1/4-28"}, "F2"),
        ({"length": "2 in"}, "G2"),
        ({"head": "hex"}, "I2"),
        ({"grade": "10.9"}, "J2"),
        ({"full": "18 mm"}, "H2"),
    ],
)
def test_columns_that_contradict_the_description(tmp_path, columns, cell):
    description = "SHCS 1/4-20 x 2-1/2 SAE 8 fully threaded"
    assert bolt_of(tmp_path, description, **columns) == (None, [(cell, "bolt-contradicted")])


def test_a_thread_in_no_series_sets_the_row_aside(tmp_path):
    found = bolt_of(tmp_path, thread="M6x0.9", length="30 mm", head="hex")
    assert found == (None, [("F2", "thread-unknown")])


def test_every_fault_of_a_bolts_columns(tmp_path):
    found = bolt_of(tmp_path, thread="M6x0.9", length="long", full="some", head="hex")
    assert found == (
        None,
        [("F2", "thread-unknown"), ("G2", "length-unreadable"), ("H2", "length-unreadable")],
    )


@pytest.mark.parametrize(
    ("description", "kind"),
    [
        ("M6 lock nut", None),
        (None, "lock nut"),
        ("washer", None),
        ("1/2 in spacer", None),
        ("part", "washer"),
    ],
)
def test_what_is_no_bolt_may_carry_a_thread(tmp_path, description, kind):
    assert bolt_of(tmp_path, description, kind, thread="M6x0.9", length="any") == (None, [])


@pytest.mark.parametrize(
    ("columns", "cell"),
    [
        ({"description": "SHCS 1/4 x 2"}, "D2"),
        ({"description": "hex bolt M6 x 30 x 40"}, "D2"),
        ({"thread": "M6"}, "G2"),
        ({"kind": "bolt", "thread": "M6", "head": "hex"}, "G2"),
        ({"kind": "bolt"}, "F2"),
    ],
)
def test_what_looks_like_a_bolt_but_is_not_whole(tmp_path, columns, cell):
    assert bolt_of(tmp_path, **columns) == (None, [(cell, "bolt-unread")])


@pytest.mark.parametrize("kind", ["cushion", "cover"])
def test_other_kinds_are_left_alone(tmp_path, kind):
    assert bolt_of(tmp_path, "seat pan 16 in", kind, length="any") == (None, [])


def test_threaded_lengths(tmp_path):
    rows = [
        ["a", 1, "each", "M6", "30 mm", "full", "hex"],
        ["b", 1, "each", "M6", "30 mm", "18 mm", "hex"],
        ["c", 1, "each", "M6", "30 mm", None, "hex"],
    ]
    parts = stock_of(tmp_path, *rows, more=["thread", "length", "thread length", "head"]).stock.parts
    assert [part.bolt.thread_length for part in parts.values()] == [30, 18, None]


def test_a_bare_length_takes_its_headings_unit(tmp_path):
    row = ["B", 1, "each", "1/4-20", 2.5, 25, "hex"]
    more = ["thread", "length (in)", "thread length (mm)", "head"]
    bolt = stock_of(tmp_path, row, more=more, settings=Settings()).stock.parts["B"].bolt
    assert (bolt.length, bolt.thread_length) == (inches("2.5"), 25)
    unknown = stock_of(
        tmp_path, row, more=["thread", "length", "thread length (mm)", "head"], settings=Settings()
    )
    assert flat(unknown.problems) == [("E2", "length-unit-missing")]


def test_rows_of_a_part_with_two_bolts(tmp_path):
    rows = [["B", 1, "each", "SHCS M6 x 30"], ["B", 1, "each", "SHCS M6 x 35"]]
    result = stock_of(tmp_path, *rows, more=["description"])
    assert result.stock.parts["B"].bolt.length == 30
    assert set(flat(result.problems)) == {("D3", "part-differs")}


# orders, suppliers, price breaks, usage


def test_orders(tmp_path):
    orders = [
        ["order", "part", "quantity", "due"],
        ["PO-1", "B", 5, TUESDAY],
        ["PO-2", "B", 5, None],
        ["PO-3", "P", 2, date(2026, 11, 20)],
        ["PO-4", "b", 1, TUESDAY],
        ["PO-5", "X", -1, "soon"],
        [],
        ["PO-6", "P", "7 pcs", TUESDAY],
    ]
    stock = [["B", 1, "each"], ["P", 1, "pack", 50], ["X", None, "each"]]
    result = stock_of(tmp_path, *stock, more=["pack"], On_order=orders)
    assert [(due.order, due.part, due.quantity, due.day) for due in result.stock.due] == [
        ("PO-1", "B", 5, TUESDAY),
        ("PO-3", "P", 100, MONDAY),
        ("PO-6", "P", 7, TUESDAY),
    ]
    orders_only = [each for each in result.problems if each.place.sheet == "On order"]
    assert flat(orders_only) == [
        ("D3", "due-blank"),
        ("D4", "due-past"),
        ("B5", "due-part-unknown"),
        ("D6", "date-unreadable"),
        ("B6", "due-part-unknown"),
        ("C6", "number-negative"),
    ]
    assert result.tallies["on order"] == Tally(6, 3, 3, 0)
    assert "there is B" in orders_only[2].says
    assert "was set aside" in orders_only[4].says


def test_an_order_due_today_is_kept(tmp_path):
    orders = [["order", "part", "quantity", "due"], ["PO-1", "B", 5, TODAY]]
    result = stock_of(tmp_path, ["B", 1, "each"], On_order=orders)
    assert ([due.day for due in result.stock.due], result.problems) == ([TODAY], ())


def test_suppliers(tmp_path):
    suppliers = [
        ["supplier", "name", "minimum order value", "delivery charge", "free delivery from", "email"],
        ["S-1", "First", 25, "4.50", None, "a@example.org"],
        ["S-2", None, "lots", None, None, None],
        ["S-1", "Again", None, None, None, None],
        [None, "Nobody", None, None, None, None],
    ]
    result = stock_of(tmp_path, ["B", 1, "each"], Suppliers=suppliers)
    assert flat(result.problems) == [
        ("C3", "number-unreadable"),
        ("A4", "supplier-doubled"),
        ("A5", "cell-blank"),
    ]
    (supplier,) = result.stock.suppliers.values()
    assert (supplier.name, supplier.minimum_order_value, supplier.delivery_charge) == (
        "First",
        25,
        Decimal("4.50"),
    )
    assert (supplier.free_delivery_from, result.tallies["suppliers"]) == (None, Tally(4, 1, 3, 0))


def test_price_breaks_and_usage_count_pieces(tmp_path):
    result = stock_of(
        tmp_path,
        ["P", 1, "pack", 50],
        more=["pack"],
        Price_breaks=[["part", "from quantity", "price"], ["P", 100, 0.4], ["P", "2 packs", None]],
        Usage=[["date", "part", "quantity", "job"], [TUESDAY, "P", 3, "J-1"], ["soon", "P", None, None]],
    )
    assert [(each.from_quantity, each.price) for each in result.stock.breaks] == [(100, Decimal("0.4"))]
    assert [(each.day, each.quantity, each.job) for each in result.stock.usage] == [(TUESDAY, 3, "J-1")]
    assert flat(result.problems) == [("C3", "cell-blank"), ("A3", "date-unreadable"), ("C3", "cell-blank")]
    assert (result.tallies["price breaks"], result.tallies["usage"]) == (Tally(2, 1, 1, 0), Tally(2, 1, 1, 0))


# the workbook as a whole


def test_a_folder_of_csv_names_the_file_of_a_fault(tmp_path):
    csv_file(tmp_path / "Stock.csv", "part,on hand,unit\nB,x,each\n")
    csv_file(tmp_path / "On order.csv", "order,part,quantity,due\n")
    result = read(tmp_path)
    assert [str(each.place) for each in result.problems] == ["Stock.csv!Stock!B2"]
    assert result.tallies == {"stock": Tally(1, 0, 1, 0), "on order": Tally()}


def test_faults_of_all_sheets_come_together(tmp_path):
    path = workbook(
        tmp_path / "stock.xlsx",
        Stock=[["part", "p/n", "unit"], ["B"]],
        On_order=[["order", "part", "due"], ["PO-1"]],
        Usage=[],
    )
    with pytest.raises(Unusable) as refused:
        read(path)
    assert [(each.place.sheet, each.code) for each in refused.value.problems] == [
        ("Stock", "heading-missing"),
        ("Stock", "heading-doubled"),
        ("On order", "heading-missing"),
    ]


def test_reading_leaves_the_file_as_it_was(tmp_path):
    path = workbook(tmp_path / "stock.xlsx", Stock=[HEADINGS, ["B", 1, "each"]])
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    read(path)
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before
