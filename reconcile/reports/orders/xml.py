"""An order as a file for the supplier's own programs: OASIS Universal Business Language 2.1, Order.

Elements and their sequence: UBL-Order-2.1.xsd and UBL-CommonAggregateComponents-2.1.xsd (OASIS standard,
4 November 2013). UBL wants no empty element (section 5 of the standard, from memory), so what is not
known is left out. Equal weeks give equal bytes.
"""

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path

from reconcile.reports.orders.tables import pack_words
from reconcile.reports.writing.rows_xml import clean
from reconcile.values.measure import decimal_text
from reconcile.values.settings import Workshop
from reconcile.values.stock.parts import Supplier
from reconcile.values.trade_codes import UNIT_CODES
from reconcile.values.week.purchase import SupplierOrder, item_name
from reconcile.values.week.results import PartResult, Week

VERSION = "2.1"
NAMESPACES = {
    "xmlns": "urn:oasis:names:specification:ubl:schema:xsd:Order-2",
    "xmlns:cac": "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2",
    "xmlns:cbc": "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2",
}
VERBATIM = "Designations verbatim; no substitutes without agreement."

VAT, OTHER_TAX = "VAT", "OTH"
"""Kinds of tax number: UN/EDIFACT data element 5153 (from memory)."""


def write_order_xml(week: Week, order: SupplierOrder, path: Path) -> None:
    """Write one order to ``path``; see ``order_xml``."""
    path.write_bytes(order_xml(week, order))


def write_sent_xml(order: SupplierOrder, workshop: Workshop, day: date, path: Path) -> None:
    """Write an order that is placed to ``path``; see ``sent_xml``."""
    path.write_bytes(sent_xml(order, workshop, day))


def order_xml(week: Week, order: SupplierOrder) -> bytes:
    """An order of a planned week, as ``sent_xml``."""
    return sent_xml(order, week.settings.workshop, week.today)


def sent_xml(order: SupplierOrder, workshop: Workshop, day: date) -> bytes:
    """The order as a UBL 2.1 Order in UTF-8. Raises ValueError for an order with ``faults``.

    Quantities and prices are exact decimals, prices are for one unit; amounts are those of the order
    workbook, rounded there (see ``SupplierOrder``).
    """
    if order.supplier is None or (faults := order.faults):
        raise ValueError(str(faults[0]) if order.supplier else "An order without a supplier has no receiver.")
    root = ET.Element("Order", NAMESPACES)
    _value(root, "UBLVersionID", VERSION)
    _value(root, "ID", order.reference)
    _value(root, "IssueDate", day)
    for note in _notes(order):
        _value(root, "Note", note)
    _value(root, "DocumentCurrencyCode", order.currency)
    _value(root, "LineCountNumeric", str(len(order.lines)))
    _add_buyer(_group(root, "BuyerCustomerParty"), workshop)
    _add_seller(_group(root, "SellerSupplierParty"), order.supplier)
    _add_delivery(root, order.delivery_by, workshop.deliver_to)
    _add_charge(root, order)
    _add_total(root, order)
    for number, line in enumerate(order.lines, 1):
        _add_line(_group(_group(root, "OrderLine"), "LineItem"), number, line, order.currency)
    ET.indent(root)
    written: bytes = ET.tostring(root, encoding="UTF-8", xml_declaration=True)
    return written + b"\n"


def _notes(order: SupplierOrder) -> list[str]:
    unpriced = f"Lines without a price, not in the total: {order.unpriced}."
    return [VERBATIM, *([unpriced] if order.unpriced else [])]


# Elements. A value that is not known makes none; nor does a group that would be empty.


def _group(parent: ET.Element, name: str) -> ET.Element:
    return ET.SubElement(parent, f"cac:{name}")


def _value(parent: ET.Element, name: str, value: str | date | None, **attributes: str) -> None:
    """A basic component; line breaks are those that XML keeps."""
    text = value.isoformat() if isinstance(value, date) else clean(value or "")
    if text.strip():
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        ET.SubElement(parent, f"cbc:{name}", attributes).text = text


def _one(parent: ET.Element, group: str, name: str, value: str | date | None) -> None:
    """A group of one value, where there is one."""
    found = ET.Element(f"cac:{group}")
    _value(found, name, value)
    _keep_filled(parent, found)


def _amount(parent: ET.Element, name: str, amount: Decimal | None, currency: str) -> None:
    if amount is not None:
        _value(parent, name, f"{amount:f}", currencyID=currency)


def _keep_filled(parent: ET.Element, group: ET.Element) -> None:
    if len(group):
        parent.append(group)


# The parties.


def _add_buyer(role: ET.Element, workshop: Workshop) -> None:
    party = _group(role, "Party")
    _one(party, "PartyName", "Name", workshop.name)
    _keep_filled(party, _address(workshop))
    for number, scheme in ((workshop.vat_id, VAT), (workshop.tax_id, OTHER_TAX)):
        if number:
            taxed = _group(party, "PartyTaxScheme")
            _value(taxed, "CompanyID", number)
            _one(taxed, "TaxScheme", "ID", scheme)
    _keep_filled(party, _contact(workshop.contact, workshop.phone, workshop.email))


def _add_seller(role: ET.Element, supplier: Supplier) -> None:
    party = _group(role, "Party")
    _one(party, "PartyIdentification", "ID", supplier.code)
    _one(party, "PartyName", "Name", supplier.name or supplier.code)
    _keep_filled(party, _contact("", "", supplier.email))


def _address(workshop: Workshop) -> ET.Element:
    address = ET.Element("cac:PostalAddress")
    _value(address, "CityName", workshop.city)
    _value(address, "PostalZone", workshop.postal_code)
    _add_lines(address, workshop.address)
    _one(address, "Country", "IdentificationCode", workshop.country)
    return address


def _add_lines(address: ET.Element, lines: Sequence[str]) -> None:
    for line in lines:
        _one(address, "AddressLine", "Line", line)


def _contact(name: str, phone: str, email: str) -> ET.Element:
    contact = ET.Element("cac:Contact")
    _value(contact, "Name", name)
    _value(contact, "Telephone", phone)
    _value(contact, "ElectronicMail", email)
    return contact


# Delivery and totals.


def _add_delivery(parent: ET.Element, day: date | None, deliver_to: Sequence[str] = ()) -> None:
    delivery = ET.Element("cac:Delivery")
    if deliver_to:
        _add_lines(_group(delivery, "DeliveryAddress"), deliver_to)
    _one(delivery, "RequestedDeliveryPeriod", "EndDate", day)
    _keep_filled(parent, delivery)


def _add_charge(root: ET.Element, order: SupplierOrder) -> None:
    if order.charge is None:
        return
    charge = _group(root, "AllowanceCharge")
    _value(charge, "ChargeIndicator", "true")
    _value(charge, "AllowanceChargeReason", "Delivery")
    _amount(charge, "Amount", order.charge, order.currency)


def _add_total(root: ET.Element, order: SupplierOrder) -> None:
    if order.goods is None:
        return
    total = _group(root, "AnticipatedMonetaryTotal")
    _amount(total, "LineExtensionAmount", order.goods, order.currency)
    _amount(total, "ChargeTotalAmount", order.charge, order.currency)
    _amount(total, "PayableAmount", order.total, order.currency)


# Lines.


def _add_line(item: ET.Element, number: int, line: PartResult, currency: str) -> None:
    code = UNIT_CODES[line.part.unit]
    _value(item, "ID", str(number))
    _value(item, "Note", pack_words(line))
    _value(item, "Quantity", decimal_text(line.order), unitCode=code)
    _amount(item, "LineExtensionAmount", line.line_total, currency)
    _add_delivery(item, line.required_by)
    _add_price(item, line, currency, code)
    _add_item(_group(item, "Item"), line)


def _add_price(item: ET.Element, line: PartResult, currency: str, code: str) -> None:
    """The price of one unit; where that is but a rounded average, the price of all, which is exact."""
    if line.unit_price is None:
        return
    price = _group(item, "Price")
    one = line.goods is None
    _amount(price, "PriceAmount", line.unit_price if one else line.line_total, currency)
    _value(price, "BaseQuantity", "1" if one else decimal_text(line.order), unitCode=code)


def _add_item(item: ET.Element, line: PartResult) -> None:
    part, name = line.part, item_name(line.part)
    _value(item, "Description", part.description if part.description != name else "")
    _value(item, "Name", name)
    _one(item, "BuyersItemIdentification", "ID", part.number)
    _one(item, "SellersItemIdentification", "ID", part.supplier_part)
    if part.finish:
        finish = _group(item, "AdditionalItemProperty")
        _value(finish, "Name", "finish")
        _value(finish, "Value", part.finish)
