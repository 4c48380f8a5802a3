"""Orders as files: valid by the OASIS schemas, stricter than they are, and the same as the workbook."""

import re
from copy import deepcopy
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
import ubl
import weeks
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from lxml import etree
from openpyxl import load_workbook
from ubl import CBC, faults, path, text, texts

from reconcile.reports.orders.book import order_outputs
from reconcile.reports.orders.tables import file_names
from reconcile.reports.orders.xml import VERBATIM, order_xml
from reconcile.reports.writing.files import write_all
from reconcile.sheets.request import Request
from reconcile.values.guard import unguarded
from reconcile.values.settings import Settings, Workshop
from reconcile.values.stock.parts import Part, Stock, Supplier
from reconcile.values.trade_codes import UNIT_CODES
from reconcile.values.week.results import Week
from reconcile.week import plan_week
from reconcile.work.planning import read_all

DEMO = Path(__file__).parents[3] / "data_demo"
WORKSHOP = Workshop(
    name="Tern Lane Frame Workshop",
    address=("Yard 3", "12 Tern Lane"),
    city="Ostwick",
    postal_code="00417",
    country="NO",
    contact="Stores desk",
    phone="555 0100",
    email="stores@ternlane.example",
    vat_id="XX1234",
    tax_id="55-0100",
    deliver_to=("Gate B", "14 Tern Lane"),
)


def with_workshop(week: Week, workshop: Workshop = WORKSHOP) -> Week:
    return replace(week, settings=replace(week.settings, workshop=workshop))


def documents(week: Week) -> dict[str, etree._Element]:
    """Every order file of a week, parsed, by its reference."""
    found = [etree.fromstring(order_xml(week, each)) for each in week.orders if each.supplier]
    return {text(each, "@ID"): each for each in found}


@pytest.fixture(scope="module")
def north() -> etree._Element:
    return documents(with_workshop(weeks.week()))["2026-W49-NORTH"]


# --- what is in it ------------------------------------------------------------------------------------


def test_a_supplier_gets_one_order_and_parts_without_a_supplier_none():
    assert list(documents(weeks.week())) == ["2026-W49-HARBOUR", "2026-W49-NORTH"]


def test_the_head_names_the_order_its_day_and_its_currency(north):
    assert [text(north, f"@{name}") for name in ("UBLVersionID", "IssueDate", "DocumentCurrencyCode")] == [
        "2.1",
        "2026-11-27",
        "EUR",
    ]
    assert texts(north, "@Note") == [VERBATIM]


def test_both_parties_are_those_of_the_settings_and_of_the_suppliers_sheet(north):
    buyer = north.find(path("BuyerCustomerParty", "Party"))
    assert text(buyer, "PartyName", "@Name") == "Tern Lane Frame Workshop"
    assert texts(buyer, "PostalAddress", "AddressLine", "@Line") == ["Yard 3", "12 Tern Lane"]
    assert text(buyer, "PostalAddress", "@CityName") == "Ostwick"
    assert text(buyer, "PostalAddress", "@PostalZone") == "00417"
    assert text(buyer, "PostalAddress", "Country", "@IdentificationCode") == "NO"
    assert texts(buyer, "PartyTaxScheme", "@CompanyID") == ["XX1234", "55-0100"]
    assert texts(buyer, "PartyTaxScheme", "TaxScheme", "@ID") == ["VAT", "OTH"]
    assert text(buyer, "Contact", "@Name") == "Stores desk"
    assert text(buyer, "Contact", "@Telephone") == "555 0100"
    assert text(buyer, "Contact", "@ElectronicMail") == "stores@ternlane.example"
    seller = north.find(path("SellerSupplierParty", "Party"))
    assert text(seller, "PartyIdentification", "@ID") == "NORTH"
    assert text(seller, "PartyName", "@Name") == "Northquay Fixings"
    assert text(seller, "Contact", "@ElectronicMail") == "orders@north.example"


def test_delivery_is_asked_for_by_the_first_day_and_to_the_gate(north):
    assert text(north, "Delivery", "RequestedDeliveryPeriod", "@EndDate") == "2026-12-02"
    assert texts(north, "Delivery", "DeliveryAddress", "AddressLine", "@Line") == ["Gate B", "14 Tern Lane"]


def test_the_charge_is_one_and_in_the_total(north):
    assert text(north, "AllowanceCharge", "@ChargeIndicator") == "true"
    assert text(north, "AllowanceCharge", "@Amount") == "6.50"
    total = north.find(path("AnticipatedMonetaryTotal"))
    assert [(each.tag.removeprefix(CBC), each.text, each.get("currencyID")) for each in total] == [
        ("LineExtensionAmount", "34.50", "EUR"),
        ("ChargeTotalAmount", "6.50", "EUR"),
        ("PayableAmount", "41.00", "EUR"),
    ]


def test_a_line_has_both_numbers_the_unit_code_the_day_and_the_designation_verbatim(north):
    bolt, spacer = north.findall(path("OrderLine", "LineItem"))
    quantity = bolt.find(path("@Quantity"))
    assert (quantity.text, quantity.get("unitCode")) == ("50", "EA")
    assert text(bolt, "@Note") == "1 pack of 50"
    assert text(bolt, "Delivery", "RequestedDeliveryPeriod", "@EndDate") == "2026-12-02"
    assert text(bolt, "Price", "@PriceAmount") == "0.45"
    assert text(bolt, "Item", "@Name") == weeks.B300.bolt.designation
    assert text(bolt, "Item", "BuyersItemIdentification", "@ID") == "B-14-300"
    assert text(bolt, "Item", "SellersItemIdentification", "@ID") == "00417"
    assert text(spacer, "Item", "@Name") == "Spacer 1/2 in, aluminium"
    assert text(spacer, "Item", "SellersItemIdentification", "@ID") == "=SP050"


def test_a_bolt_keeps_its_description_and_its_finish_beside_its_designation():
    bolt = replace(weeks.B300, description="SHCS 1/4-20 x 3 BLK OX", finish="black oxide")
    week = weeks.week(parts=(replace(weeks.part_results()[1], part=bolt),))
    (document,) = documents(week).values()
    item = document.find(path("OrderLine", "LineItem", "Item"))
    assert text(item, "@Name") == "1/4-20 UNC x 3 in, socket cap, SAE 8"
    assert text(item, "@Description") == "SHCS 1/4-20 x 3 BLK OX"
    assert text(item, "AdditionalItemProperty", "@Value") == "black oxide"


def test_without_settings_prices_or_terms_there_is_only_what_the_schema_needs():
    bare = Part("X", supplier="LONE")
    line = weeks.part_result(bare, order=Fraction(2), packs=2, required_by=weeks.FRI)
    week = weeks.week(parts=(line,), stock=Stock(), settings=Settings())
    (document,) = documents(week).values()
    assert faults(document) == []
    assert text(document, "BuyerCustomerParty", "Party", "PartyName", "@Name") is None
    assert text(document, "SellerSupplierParty", "Party", "PartyName", "@Name") == "LONE"
    assert text(document, "OrderLine", "LineItem", "Item", "@Name") == "X"
    absent = ("DocumentCurrencyCode", "AnticipatedMonetaryTotal", "AllowanceCharge", "Price", "Contact")
    assert [name for name in absent if name.encode() in etree.tostring(document)] == []


def test_lines_without_a_price_are_said():
    parts = weeks.part_results()
    unpriced = replace(parts[3], part=replace(weeks.SP050, price=None), unit_price=None)
    (document,) = documents(weeks.week(parts=(parts[1], unpriced))).values()
    assert texts(document, "@Note") == [VERBATIM, "Lines without a price, not in the total: 1."]
    assert [
        text(each, "@LineExtensionAmount") for each in document.iterfind(path("OrderLine", "LineItem"))
    ] == [
        "22.50",
        None,
    ]
    assert faults(document) == []


def test_a_price_that_is_but_an_average_is_given_for_all_and_said(tmp_path):
    # 100 at 0.21 and 50 at 0.17 make 29.50; one costs 0.196666..., which has no exact decimals.
    plain = weeks.week()
    part = next(each for each in plain.parts if each.order and each.part.supplier == "NORTH")
    average = replace(part, order=Fraction(150), unit_price=Decimal("0.196667"), goods=Fraction(59, 2))
    week = weeks.answered(
        replace(plain, parts=tuple(average if each is part else each for each in plain.parts))
    )
    document = documents(week)["2026-W49-NORTH"]
    assert faults(document) == []
    line = next(
        each for each in document.iter("{*}LineItem") if text(each, "@LineExtensionAmount") == "29.50"
    )
    assert (text(line, "Price", "@PriceAmount"), text(line, "Price", "@BaseQuantity")) == ("29.50", "150")
    write_all(order_outputs(week, tmp_path))
    book = load_workbook(next(tmp_path.glob("*.xlsx")))
    told = [cell for sheet in book for row in sheet.values for cell in row]
    said = f"The unit price of line {text(line, '@ID')} is an average over price breaks, rounded;"
    assert f"{said} the line total is exact." in told


def test_equal_weeks_give_equal_bytes():
    week = weeks.week()
    north = week.orders[1]
    assert order_xml(week, north) == order_xml(weeks.week(), weeks.week().orders[1])
    assert order_xml(week, north).startswith(b"<?xml version='1.0' encoding='UTF-8'?>\n<Order xmlns=")


# --- the schema, and what it does not say -------------------------------------------------------------


def test_every_order_is_valid():
    found = documents(with_workshop(weeks.week()))
    assert {name: faults(each) for name, each in found.items()} == {name: [] for name in found}


BROKEN = {
    "no number": lambda order: order.remove(order.find(path("@ID"))),
    "no buyer": lambda order: order.remove(order.find(path("BuyerCustomerParty"))),
    "no lines": lambda order: [order.remove(each) for each in order.findall(path("OrderLine"))],
    "a day that is none": lambda order: setattr(order.find(path("@IssueDate")), "text", "27 November"),
    "a quantity that is none": lambda order: setattr(
        order.find(path("OrderLine", "LineItem", "@Quantity")), "text", "1/3"
    ),
    "an amount without a currency": lambda order: order.find(
        path("AnticipatedMonetaryTotal", "@PayableAmount")
    ).attrib.pop("currencyID"),
    "elements out of order": lambda order: order.append(order.find(path("@ID"))),
    "an element of our own": lambda order: etree.SubElement(order, CBC + "Torque"),
}


@pytest.mark.parametrize("break_it", BROKEN.values(), ids=list(BROKEN))
def test_the_schema_refuses_an_order_that_is_broken_by_hand(north, break_it):
    broken = deepcopy(north)
    break_it(broken)
    assert faults(broken) != []


def test_the_schema_lets_pass_what_we_do_not(north):
    """Why units and items are checked by us: the schema takes an empty item, and no unit code."""
    empty = deepcopy(north)
    item = empty.find(path("OrderLine", "LineItem", "Item"))
    for child in list(item):
        item.remove(child)
    empty.find(path("OrderLine", "LineItem", "@Quantity")).attrib.pop("unitCode")
    assert faults(empty) == []


def faulty(**part: object) -> Week:
    """A week whose order to NORTH cannot go out, and whose order to HARBOUR can."""
    bad = replace(weeks.part_results()[1], part=replace(weeks.B300, **part))
    return weeks.week(parts=(bad, *weeks.part_results()[2:]))


@pytest.mark.parametrize("part", [{"unit": "blip"}, {"number": "\x07", "bolt": None, "description": ""}])
def test_an_order_that_nobody_could_fill_is_not_written_and_the_others_are(tmp_path, part):
    week = faulty(**part)
    write_all(order_outputs(week, tmp_path))
    assert {each.name for each in tmp_path.iterdir()} == {"order-2026-W49.xlsx", "order-2026-W49-HARBOUR.xml"}
    summary = rows_of(load_workbook(tmp_path / "order-2026-W49.xlsx")["Summary"])
    assert [row["order file"] for row in summary] == [
        "order-2026-W49-HARBOUR.xml",
        "none: see Problems",
        "none: no supplier",
    ]
    with pytest.raises(ValueError, match="order-"):
        order_xml(week, week.orders[1])


def test_an_order_to_nobody_is_not_written():
    nobody = weeks.week().orders[-1]
    assert nobody.supplier is None
    with pytest.raises(ValueError, match="no receiver"):
        order_xml(weeks.week(), nobody)


def test_a_plan_tells_the_problem_of_an_order_with_all_others():
    from workshop import kit_frame, kit_job, part, planned, stock

    shelf = stock(part("A", 0, unit="blip", supplier="NORTH"))
    week = planned([kit_job("J-1", weeks.TUE, "F1")], [kit_frame("F1", {"A": 1})], shelf)
    (told,) = (each for each in week.problems if each.code == "order-unit-code")
    assert str(told.place) == "stock.xlsx!Stock!A2"
    assert told.did.endswith("2026-W49-NORTH; the order workbook has the order.")


def test_suppliers_whose_codes_make_one_file_name_get_two_files(tmp_path):
    lines = [
        replace(weeks.part_results()[1], part=replace(weeks.B300, number=f"B-{code}", supplier=code))
        for code in ("a/b", "a:b", "A_B", "../x")
    ]
    names = file_names(weeks.week(parts=tuple(lines), stock=Stock()).orders)
    assert sorted(names.values()) == [
        "order-2026-W49-A_B (3).xml",
        "order-2026-W49-___x.xml",
        "order-2026-W49-a_b (2).xml",
        "order-2026-W49-a_b.xml",
    ]


# --- the same as the workbook ---------------------------------------------------------------------------


def rows_of(sheet) -> list[dict[str, object]]:
    """The rows below the headings, by heading; the foot is left out."""
    top, bottom = map(int, re.findall(r"\d+", sheet.auto_filter.ref))
    headings, *rows = sheet.iter_rows(min_row=top, max_row=bottom, values_only=True)
    return [dict(zip(headings, row, strict=True)) for row in rows]


def exact(value: float | None) -> Decimal | None:
    """A cell's number as it is written in the sheet."""
    return None if value is None else Decimal(str(value))


def iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()[:10]


def plain(text: str | None) -> str | None:
    """A text of the sheet without the mark that keeps it from being worked out."""
    return text and unguarded(text)


def lines_in_book(sheet) -> list[tuple]:
    return [
        (
            str(row["line"]), exact(row["quantity"]), UNIT_CODES[row["unit"]], exact(row["unit price"]),
            exact(row["line total"]), plain(row["supplier part"]), plain(row["our part"]),
            plain(row["designation"]), iso(row["wanted by"]), plain(row["finish"]),
        )
        for row in rows_of(sheet)
    ]  # fmt: skip


def number(node: etree._Element, *names: str) -> Decimal | None:
    found = text(node, *names)
    return None if found is None else Decimal(found)


def lines_in_file(document: etree._Element) -> list[tuple]:
    return [
        (
            text(line, "@ID"), number(line, "@Quantity"), line.find(path("@Quantity")).get("unitCode"),
            number(line, "Price", "@PriceAmount"), number(line, "@LineExtensionAmount"),
            text(line, "Item", "SellersItemIdentification", "@ID"),
            text(line, "Item", "BuyersItemIdentification", "@ID"), text(line, "Item", "@Name"),
            text(line, "Delivery", "RequestedDeliveryPeriod", "@EndDate"),
            text(line, "Item", "AdditionalItemProperty", "@Value"),
        )
        for line in document.iterfind(path("OrderLine", "LineItem"))
    ]  # fmt: skip


def foot_of(sheet) -> dict[str, tuple[Decimal, str]]:
    """The totals below the lines by their label."""
    top, bottom = map(int, re.findall(r"\d+", sheet.auto_filter.ref))
    headings = [cell.value for cell in sheet[top]]
    rows = (dict(zip(headings, row, strict=True)) for row in sheet.iter_rows(bottom + 1, values_only=True))
    return {
        row["supplier part"]: (exact(row["line total"]), row["currency"])
        for row in rows
        if row["line total"] is not None
    }


def money_in_file(document: etree._Element) -> dict[str, tuple[Decimal, str]]:
    """The amounts of the whole order, labelled as at the foot of its sheet."""
    amounts = {
        "Goods": ("AnticipatedMonetaryTotal", "@LineExtensionAmount"),
        "Delivery charge": ("AllowanceCharge", "@Amount"),
        "Total": ("AnticipatedMonetaryTotal", "@PayableAmount"),
    }
    nodes = {label: document.find(path(*names)) for label, names in amounts.items()}
    found = {
        label: (Decimal(node.text), node.get("currencyID"))
        for label, node in nodes.items()
        if node is not None
    }
    charged = number(document, "AnticipatedMonetaryTotal", "@ChargeTotalAmount")
    if "Delivery charge" not in found:
        assert charged is None
        assert found.pop("Goods", None) == found.get("Total")
    elif "Total" in found:
        assert found["Delivery charge"][0] == charged
    return found


def hold_together(week: Week, folder: Path) -> int:
    """The order workbook and the order files, read back, say the same; how many orders there are."""
    outputs = order_outputs(week, folder)
    write_all(outputs, force=True)
    book = load_workbook(outputs[0][0])
    summary = rows_of(book["Summary"])
    sheets = dict(zip((row["order"] for row in summary), book.worksheets[3 : 3 + len(summary)], strict=True))
    sent = [row for row in summary if row["order"]]
    assert sorted(row["order file"] for row in sent) == sorted(path.name for path, _ in outputs[1:])
    for row in sent:
        document = etree.parse(folder / row["order file"]).getroot()
        assert faults(document) == []
        assert text(document, "@ID") == row["order"]
        assert lines_in_file(document) == lines_in_book(sheets[row["order"]])
        foot = foot_of(sheets[row["order"]])
        assert money_in_file(document) == foot
        assert foot.get("Total", (None,))[0] == exact(row["total"])
        assert text(document, "Delivery", "RequestedDeliveryPeriod", "@EndDate") == iso(row["delivery by"])
    return len(sent)


def test_the_small_week_reads_back_the_same(tmp_path):
    assert hold_together(with_workshop(weeks.week()), tmp_path) == 2


@pytest.mark.slow
def test_the_demo_reads_back_the_same(tmp_path):
    inputs = read_all(Request(folder=DEMO, today=weeks.TODAY))
    assert hold_together(plan_week(inputs, weeks.week().as_of), tmp_path) == 4


ODD_WORDS = ["=1+1", "00417", "1E5", "a & b <c>", "½″ bolt", "]]>", "1/4-20 UNC x 3 in", "-5"]
UNSEEN = ("Cc", "Cs", "Cn", "Co", "Zs", "Zl", "Zp", "Cf")
PLAIN_WORDS = st.characters(codec="utf-8", exclude_categories=UNSEEN)
WORDS = st.text(PLAIN_WORDS, min_size=1, max_size=12) | st.sampled_from(ODD_WORDS)
SUPPLIERS = ["NORTH", "north", "a/b", "Ö & Co", ""]
MONEY = st.decimals(min_value=0, max_value=9999, places=4).map(lambda each: each.normalize() + 0)


@st.composite
def lines(draw, number: int):
    """A line to order of a part in any unit, of one of a few suppliers, with or without a price."""
    part = Part(
        f"{draw(WORDS)} {number}",
        unit=draw(st.sampled_from(sorted(UNIT_CODES))),
        description=draw(WORDS | st.just("")),
        finish=draw(st.just("") | WORDS),
        supplier=draw(st.sampled_from(SUPPLIERS)),
        supplier_part=draw(st.just("") | WORDS),
        price=draw(st.none() | MONEY),
        currency=draw(st.sampled_from(["EUR", "EUR", "JPY", "KWD"])),
        bins=(weeks.bin_of("A1", 0, 2),),
        pack=draw(st.sampled_from([Fraction(1), Fraction(50), Fraction(1, 8)])),
    )
    packs = draw(st.integers(1, 40))
    day = draw(st.sampled_from([weeks.MON, weeks.WED, weeks.FRI]))
    return weeks.part_result(
        part, order=packs * part.pack, packs=packs, required_by=day, order_by=day, late=draw(st.booleans())
    )


@st.composite
def weeks_to_order(draw) -> Week:
    terms = [draw(st.none() | MONEY) for _ in range(3)]
    stock = Stock(suppliers={"NORTH": Supplier("NORTH", draw(WORDS), *terms, email="")})
    parts = tuple(draw(lines(number)) for number in range(draw(st.integers(0, 6))))
    workshop = Workshop(name=draw(WORDS), city=draw(st.just("") | WORDS))
    currency = draw(st.sampled_from(["", "EUR"]))
    return weeks.week(parts=parts, stock=stock, settings=Settings(currency=currency, workshop=workshop))


@pytest.mark.slow
@settings(
    max_examples=40,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(week=weeks_to_order())
@example(week=weeks.week(parts=()))
def test_any_week_reads_back_the_same(tmp_path, week):
    hold_together(week, tmp_path)


def test_eighty_lines_with_long_names_are_valid_and_the_same(tmp_path):
    long = "Bracket, upper cross member, drilled and tapped both ends, " * 4
    parts = tuple(
        replace(
            weeks.part_results()[1], part=replace(weeks.B300, number=f"B-{n}", bolt=None, description=long)
        )
        for n in range(80)
    )
    week = with_workshop(weeks.week(parts=parts))
    assert hold_together(week, tmp_path) == 1
    assert len(documents(week)["2026-W49-NORTH"].findall(path("OrderLine"))) == 80


def test_the_schema_files_are_used_without_the_package_that_carries_them():
    import sys

    ubl.order_schema()
    assert ubl.CARRIER not in sys.modules
