"""A supplier's answer as a file of their own program: OASIS Universal Business Language 2.1, OrderResponse.

Elements and their sequence: UBL-OrderResponse-2.1.xsd and UBL-CommonAggregateComponents-2.1.xsd (OASIS
standard, 4 November 2013). Whether a line is accepted is told by its ``LineStatusCode``: 5 accepted, 3
changed, 7 not accepted (UN/EDIFACT data element 1229), or the words of UBL's own list of line states; whether
all is, by ``OrderResponseCode``: AP accepted, RE rejected, AB received only (data element 4343; all from
memory). A file is read up to a size, without document type, entities or anything from elsewhere.
"""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.sheets.files.archive import refuse_doctype
from reconcile.values.orders.answers import AnswerLine, AnswerRead
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import Settings
from reconcile.values.trade_codes import UNIT_CODES

if TYPE_CHECKING:
    from lxml.etree import _Element

DOCUMENT = "{urn:oasis:names:specification:ubl:schema:xsd:OrderResponse-2}OrderResponse"
CAC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2}"
CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"
MOST_BYTES = 20_000_000
MOST_DIGITS = 30
UNITS = {code: unit for unit, code in UNIT_CODES.items()} | {"C62": "each", "H87": "each", "NMP": "pack"}
"""Codes of UN/ECE Recommendation 20 to our units; C62 (one) and H87 (piece) are pieces too."""
REFUSED_LINE = ("7", "cancelled", "rejected", "refused", "not accepted")
REFUSED_ALL, ACCEPTED_ALL = ("RE",), ("AP", "29")
RECEIVED_ONLY = ("AB",)


def read_answer_xml(path: Path, settings: Settings) -> AnswerRead:
    """The answer of an OrderResponse.

    Raises Unusable: file-missing, file-too-large, file-suspect, file-broken, answer-unreadable (another
    document), and with every fault of every line: number-unreadable, date-unreadable, answer-unit.
    """
    root = _root(_bytes(path, settings), path.name)
    if root.tag != DOCUMENT:
        kind = root.tag.rpartition("}")[2]
        raise Unusable(
            problem("answer-unreadable", Place(path.name), f"{path.name} is a {kind}, no OrderResponse.")
        )
    return _Reader(root, path.name).read()


def _bytes(path: Path, settings: Settings) -> bytes:
    most = min(MOST_BYTES, settings.limits.expanded)
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError as why:
        raise Unusable(problem("file-missing", Place(path.name), f"{path.name} is not there.")) from why
    except OSError as why:
        says = f"{path.name} may not be read ({why.strerror})."
        raise Unusable(problem("file-unreadable", Place(path.name), says)) from why
    if len(data) > most:
        raise Unusable(
            problem("file-too-large", Place(path.name), f"{path.name} holds more than {most} bytes.")
        )
    return data


def _root(data: bytes, file: str) -> "_Element":
    from lxml import etree

    refuse_doctype(data, file)
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, remove_comments=True,
        remove_pis=True,
    )  # fmt: skip
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError) as why:
        says = f"{file} is no XML that can be read: {why}."
        raise Unusable(problem("file-broken", Place(file), says)) from why
    if root.getroottree().docinfo.doctype:  # in whatever encoding it was written
        raise Unusable(problem("file-suspect", Place(file), f"{file} holds a document type declaration."))
    return root


class _Reader:
    """One document while it is read; what is wrong is gathered."""

    def __init__(self, root: "_Element", file: str) -> None:
        self.faults: list[Problem] = []
        self._root, self._file = root, file

    def read(self) -> AnswerRead:
        root = self._root
        order = self._text(root, "cac:OrderReference/cbc:ID")
        place = Place(self._file, "OrderReference")
        if not order:
            raise Unusable(problem("answer-unreadable", place, f"{self._file} names no order."))
        code = self._text(root, "cbc:OrderResponseCode").upper()
        currency = self._text(root, "cbc:DocumentCurrencyCode").upper()
        lines = tuple(self._lines(order, currency))
        day = self._day(root, "cbc:IssueDate", place)
        if self.faults:
            raise Unusable(*self.faults)
        buyer = self._text(root, "cac:BuyerCustomerParty/cac:Party/cac:PartyName/cbc:Name")
        whole = ((order, place),) if not lines and code in ACCEPTED_ALL else ()
        refused = ((order, place),) if not lines and code in REFUSED_ALL else ()
        return AnswerRead(self._file, lines, whole, refused, buyer, day)

    def _lines(self, order: str, currency: str) -> Iterator[AnswerLine]:
        all_refused = self._text(self._root, "cbc:OrderResponseCode").upper() in REFUSED_ALL
        for number, node in enumerate(self._root.findall(f"{CAC}OrderLine"), 1):
            place = Place(self._file, f"OrderLine {number}")
            item = node.find(f"{CAC}LineItem")
            if item is None:
                self.faults.append(problem("answer-unreadable", place, f"Line {number} has no LineItem."))
                continue
            if any(node.find(f"{CAC}{name}") is not None for name in
                   ("SellerProposedSubstituteLineItem", "SellerSubstitutedLineItem")):  # fmt: skip
                says = f"The supplier offers another article for line {self._text(item, 'cbc:ID') or number}."
                self.faults.append(problem("answer-substitute", place, says))
                continue
            yield self._line(item, order, currency, place, all_refused)

    def _line(
        self, item: "_Element", order: str, currency: str, place: Place, all_refused: bool
    ) -> AnswerLine:
        status = self._text(item, "cbc:LineStatusCode").casefold()
        quantity, unit = self._quantity(item, place)
        price = self._price(item, place)
        named = item.find(_path("cac:Price/cbc:PriceAmount"))
        paid_in = "" if named is None else named.get("currencyID", currency)
        return AnswerLine(
            order, self._text(item, "cbc:ID"),
            self._text(item, "cac:Item/cac:BuyersItemIdentification/cbc:ID"),
            self._text(item, "cac:Item/cac:SellersItemIdentification/cbc:ID"), quantity, unit,
            self._promised(item, place), price, paid_in.upper(), all_refused or status in REFUSED_LINE,
            self._text(item, "cbc:Note"), place,
        )  # fmt: skip

    def _promised(self, item: "_Element", place: Place) -> date | None:
        """The last day that the line's deliveries say: promised, else requested, else the latest."""
        for path in ("cac:PromisedDeliveryPeriod/cbc:EndDate", "cac:PromisedDeliveryPeriod/cbc:StartDate",
                     "cbc:LatestDeliveryDate", "cac:RequestedDeliveryPeriod/cbc:EndDate"):  # fmt: skip
            days = [self._day(each, path, place) for each in item.findall(f"{CAC}Delivery")]
            if told := [day for day in days if day is not None]:
                return max(told)
        return None

    def _quantity(self, item: "_Element", place: Place) -> tuple[Fraction | None, str]:
        node = item.find(f"{CBC}Quantity")
        if node is None:
            return None, ""
        code = (node.get("unitCode") or "").upper()
        if code and code not in UNITS:
            says = f"The answer counts in {code}, a unit that is not known."
            self.faults.append(problem("answer-unit", place, says, found=code))
        return self._number(node.text or "", place), UNITS.get(code, "")

    def _price(self, item: "_Element", place: Place) -> Decimal | None:
        """For one unit: the amount by its base quantity, which is 1 where it is not said."""
        amount = self._text(item, "cac:Price/cbc:PriceAmount")
        if not amount:
            return None
        base = self._text(item, "cac:Price/cbc:BaseQuantity")
        number, by = self._number(amount, place), self._number(base, place) if base else Fraction(1)
        if number is None or not by:
            return None
        exact = number / by
        rounded = Decimal(round(exact * 10**6)).scaleb(-6).normalize()
        return Decimal(f"{rounded:f}")

    def _number(self, text: str, place: Place) -> Fraction | None:
        """XML Schema's decimal: no exponent, and a bounded number of digits."""
        said = text.strip()
        try:
            found = Decimal(said) if len(said) <= MOST_DIGITS and "e" not in said.casefold() else None
        except InvalidOperation:
            found = None
        if found is None or not found.is_finite():
            self.faults.append(
                problem("number-unreadable", place, f"{said[:40]!r} is no number.", found=said[:40])
            )
            return None
        if found < 0:
            says = f"{said} is below zero."
            self.faults.append(problem("number-negative", place, says, found=said))
            return None
        return Fraction(found)

    def _day(self, node: "_Element", path: str, place: Place) -> date | None:
        said = self._text(node, path)
        if not said:
            return None
        try:
            return date.fromisoformat(said[:10])  # a time zone may follow
        except ValueError:
            self.faults.append(
                problem("date-unreadable", place, f"{said[:40]!r} is no date.", found=said[:40])
            )
            return None

    def _text(self, node: "_Element", path: str) -> str:
        found = node.find(_path(path))
        return " ".join((found.text or "").split()) if found is not None else ""


def _path(path: str) -> str:
    return path.replace("cac:", CAC).replace("cbc:", CBC)
