"""Answers of suppliers: held to the published schema, read safely and within bounds."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from books import csv_file
from lxml import etree
from order_response import line, response, response_schema

from reconcile.sheets.orders.answer_xml import MOST_BYTES, read_answer_xml
from reconcile.sheets.orders.answers import read_answer
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Part, Stock

WHOLE = response(
    line(1, 20, status=3, due="2026-12-03", price="0.12", supplier_part="N-77"), line(2, 0, status=7)
)


def read(path: Path, document: bytes):
    path = path / "answer.xml"
    path.write_bytes(document)
    return read_answer_xml(path, Settings())


def test_the_documents_of_these_tests_are_valid_by_the_published_schema() -> None:
    """OASIS, UBL-OrderResponse-2.1.xsd (4 November 2013)."""
    for document in (WHOLE, response(line(1, 5, substitute=True)), response(line(1, 5), code="AP")):
        assert response_schema().validate(etree.fromstring(document)), response_schema().error_log


def test_every_line_is_read_with_what_it_says(tmp_path: Path) -> None:
    first, second = read(tmp_path, WHOLE).lines
    assert (first.order, first.line, first.part, first.supplier_part) == (
        "2026-W49-NORD",
        "1",
        "CLIP",
        "N-77",
    )
    assert (first.quantity, first.unit, first.due) == (20, "each", date(2026, 12, 3))
    assert (first.price, first.currency, first.refused) == (Decimal("0.12"), "EUR", False)
    assert (second.quantity, second.refused) == (0, True)


def test_buyer_and_day_are_read(tmp_path: Path) -> None:
    found = read(tmp_path, WHOLE)
    assert (found.buyer, found.day) == ("Tern Lane Frame Workshop", date(2026, 12, 1))


def test_a_price_for_more_than_one_is_that_of_one(tmp_path: Path) -> None:
    base = b"</cbc:PriceAmount><cbc:BaseQuantity>100</cbc:BaseQuantity>"
    document = response(line(1, 20, price="12.5")).replace(b"</cbc:PriceAmount>", base)
    assert read(tmp_path, document).lines[0].price == Decimal("0.125")


@pytest.mark.parametrize(("code", "unit"), [("C62", "each"), ("H87", "each"), ("MLT", "mL"), ("NMP", "pack")])
def test_units_are_those_of_rec_20(tmp_path: Path, code: str, unit: str) -> None:
    assert read(tmp_path, response(line(1, 2, unit=code))).lines[0].unit == unit


def test_a_receipt_alone_says_nothing_of_the_lines(tmp_path: Path) -> None:
    found = read(tmp_path, response(code="AB"))
    assert (found.lines, found.whole, found.refused) == ((), (), ())


BOMB = b'<!DOCTYPE a [<!ENTITY b "%s"><!ENTITY c "%s">]><a>&c;</a>' % (b"x" * 100, b"&b;" * 100)


@pytest.mark.parametrize(
    ("document", "code"),
    [
        (BOMB, "file-suspect"),
        (b'<!DOCTYPE a SYSTEM "http://example.invalid/a.dtd"><a/>', "file-suspect"),
        (b'<a xmlns:xi="http://www.w3.org/2001/XInclude"><xi:include href="/etc/hostname"/></a>',
         "answer-unreadable"),
        (b"<a>" * 100_000, "file-broken"),
        (b"", "file-broken"),
        (b"\xff\xfe\x00", "file-broken"),
        (response(line(1, "1e9")), "number-unreadable"),
        (response(line(1, "9" * 5000)), "number-unreadable"),
        (response(line(1, "NaN")), "number-unreadable"),
        (response(order=""), "answer-unreadable"),
    ],
)  # fmt: skip
def test_what_is_hostile_or_none_is_a_problem_and_nothing_else(
    tmp_path: Path, document: bytes, code: str
) -> None:
    with pytest.raises(Unusable) as refused:
        read(tmp_path, document)
    assert {each.code for each in refused.value.problems} == {code}


def test_a_file_is_read_up_to_a_size(tmp_path: Path) -> None:
    with pytest.raises(Unusable) as refused:
        read(tmp_path, b"<a>" + b" " * MOST_BYTES + b"</a>")
    assert [each.code for each in refused.value.problems] == ["file-too-large"]


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(Unusable) as refused:
        read_answer(tmp_path / "answer.xml", Settings(), Stock())
    assert [each.code for each in refused.value.problems] == ["file-missing"]


STOCK = Stock(
    {"CLIP": Part("CLIP", pack=Fraction(10), supplier_part="N-77"), "GLUE": Part("GLUE", unit="mL")}
)


def table(tmp_path: Path, text: str):
    return read_answer(csv_file(tmp_path / "answer.csv", text), Settings(), STOCK)


def test_a_table_counts_in_packs_where_it_says_so(tmp_path: Path) -> None:
    found = table(
        tmp_path,
        "order,part,quantity,unit,answer\nPO-1,CLIP,2,pack,\nPO-1,GLUE,25 mL,,\nPO-2,CLIP,5,,refused\n",
    )
    assert [each.quantity for each in found.lines] == [20, 25, 5]
    assert [each.refused for each in found.lines] == [False, False, True]


@pytest.mark.parametrize(
    ("row", "code"),
    [("PO-1,CLIP,2 kg,2026-12-03", "unit-mismatch"), ("PO-1,CLIP,-2,2026-12-03", "number-negative"),
     ("PO-1,,2,2026-12-03", "cell-blank"), ("PO-1,CLIP,2,3/12/2026", "date-ambiguous"),
     (",CLIP,2,2026-12-03", "cell-blank")],
)  # fmt: skip
def test_a_faulty_row_of_a_table_is_told_by_its_cell(tmp_path: Path, row: str, code: str) -> None:
    with pytest.raises(Unusable) as refused:
        table(tmp_path, f"order,part,quantity,due\n{row}\n")
    (told,) = refused.value.problems
    assert (told.code, told.place.file, told.place.cell[1:]) == (code, "answer.csv", "2")
