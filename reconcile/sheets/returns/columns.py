"""What the sheets of a returns workbook are read by: columns that make a value of a row, and their basis."""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Generic, TypeVar

from reconcile.sheets.tables.rows import Columns, Fault, Row
from reconcile.values.problem import RowPlace
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Stock

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class ReturnsBasis:
    """By what figures are read: the stock, for the unit of each part, and the settings."""

    stock: Stock
    settings: Settings


class ReturnColumns(Columns, ABC, Generic[T]):
    """The columns of one of the sheets, and what a row of it becomes."""

    @abstractmethod
    def made(self, row: Row, basis: ReturnsBasis, place: RowPlace) -> tuple[T, list[Fault]]:
        """The value of a row whose cells could all be read one by one, with what is wrong all the same."""
