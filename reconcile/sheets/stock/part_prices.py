"""The price of a part and its currency, from its rows, the heading and the settings."""

from decimal import Decimal
from typing import TYPE_CHECKING

from reconcile.sheets.figures.prices import SHARED_SIGNS, PriceRead, currency_of, settled
from reconcile.sheets.figures.text import CellValue, clean
from reconcile.sheets.tables.rows import Fault, SheetTable, as_text
from reconcile.values.settings import Settings

if TYPE_CHECKING:
    from reconcile.sheets.stock.part_rows import BinRow

Priced = tuple[Decimal | None, str]
NO_PRICE: Priced = (None, "")


def read_currency(value: CellValue) -> str:
    """A currency by its code, also where its sign is written; another word in capitals, as it stands."""
    return currency_of(as_text(value)) or as_text(value).upper()


def unread_prices(rows: "list[BinRow]") -> None:
    """A notice for each cell that holds no price that is sure."""
    for row in rows:
        said = row.filled(row.columns.price)
        if said is not None and said.amount is None:
            row.notices.append(Fault("price", "price-unread", said.why))


def settled_price(
    said: PriceRead | None, named: str, rows: "list[BinRow]", table: SheetTable, settings: Settings
) -> Priced:
    """The price and its currency; ``said``: the first price of the rows, ``named``: their first currency.

    None, with a notice, where no currency is known or where two are named.
    """
    heading = _of_heading(table)
    if said is None:
        return None, _named(named or heading, settings)
    beside = named or heading
    known = _named(beside, settings) if said.currency in SHARED_SIGNS or not said.currency else beside
    if known in SHARED_SIGNS:
        known = ""
    currency = settled(said.currency, known)
    if currency:
        return said.amount, currency
    row = next(row for row in rows if row.filled(row.columns.price) is said)
    row.notices.append(_unsettled(said, beside, row.part))
    return NO_PRICE


def _unsettled(said: PriceRead, beside: str, part: str) -> Fault:
    sign = said.currency if said.currency in SHARED_SIGNS else beside if beside in SHARED_SIGNS else ""
    if sign:
        says = f"The price {said.amount} of {part} is in {sign}, which stands for several currencies."
        do = (
            f'Write currency = "{_example(sign)}" or another into the settings, or its code beside the price.'
        )
        return Fault("price", "price-unread", says, do=do)
    if said.currency:
        says = f"The price {said.amount} of {part} is in {said.currency}, and the sheet says {beside}."
        return Fault("price", "price-unread", says)
    return Fault("price", "currency-unknown", f"The price {said.amount} of {part} has no currency.")


def _example(sign: str) -> str:
    return {"$": "USD", "¥": "JPY", "kr": "SEK"}.get(sign, "CHF")


def _named(beside: str, settings: Settings) -> str:
    """The currency that is named beside the prices; a sign of several is settled by the settings."""
    if beside in SHARED_SIGNS:
        return settled(beside, settings.currency) or beside
    return beside or settings.currency


def _of_heading(table: SheetTable) -> str:
    found = table.header.found.get("price")
    unit = clean(found.unit) if found else ""
    return currency_of(unit) or (unit.upper() if len(unit) == 3 and unit.isalpha() else "")
