"""Part numbers: those that a spreadsheet program made dates of, and those that only look alike.

Two numbers that look alike stay two parts: which of them was meant, only a person can say.
"""

import re
from collections.abc import Iterable
from datetime import date, time

from reconcile.sheets.figures.text import CellValue, Unreadable, shown
from reconcile.sheets.figures.turned_dates import day_as_shown
from reconcile.sheets.tables.rows import as_text

_LETTERS_ALIKE = str.maketrans(
    "АВЕЕКМНОРСТУХІЈЅаеорсухіјѕΑΒΕΖΗΙΚΜΝΟΡΤΥΧο", "ABEEKMHOPCTYXIJSaeopcyxijsABEZHIKMNOPTYXo"
)
"""Cyrillic and Greek letters that are drawn as Latin ones are (the choice is from memory)."""
_DRAWN_ALIKE = str.maketrans("OoIl|", "00111")
_BETWEEN_DIGITS = re.compile(r"(?<=[0-9])[SsB](?=[0-9])|(?<=[- ])[SsB](?=[0-9])")
"""S for 5 and B for 8 only where a digit is likely: S, SS and B stand for a size or a finish as well."""
_DIGIT_FOR = {"S": "5", "s": "5", "B": "8"}
_BLURRED = str.maketrans("oil|sb _", "011158--")
_PARTED = re.compile(r"[\s_-]+")


def read_part_number(value: CellValue) -> str:
    """A part number, tidied only: ``00417`` and ``1E5`` stay; a whole number of a cell has no decimals.

    Raises ``Unreadable`` (part-is-date) for a date or a time: what was typed is not there any more.
    """
    if not isinstance(value, date | time):
        return as_text(value)
    seen = f', which a sheet shows as "{day_as_shown(value)}"' if isinstance(value, date) else ""
    raise Unreadable("part-is-date", f"The cell holds {shown(value)}{seen}, not a part number.")


def skeletons(number: str) -> tuple[str, str]:
    """What is left of a number when what the eye confuses is taken away; twins share one of the two.

    The first leaves out case and what parts its pieces (blank, dash, underscore), the second takes 0 and O,
    1, l and I, and between digits 5 and S, 8 and B, for the same.

    >>> skeletons("SP-O50")
    ('sp-o50', 'sp-050')
    """
    plain = number if number.isascii() else number.translate(_LETTERS_ALIKE)
    drawn = _BETWEEN_DIGITS.sub(lambda found: _DIGIT_FOR[found[0]], plain.translate(_DRAWN_ALIKE))
    return _PARTED.sub("-", plain).casefold(), _PARTED.sub("-", drawn).casefold()


def twin_groups(numbers: Iterable[str]) -> list[list[str]]:
    """Numbers that look alike: each number in one group at most, no group of one.

    Compares no two numbers unless they are the same to a very careless eye, so it takes one pass.
    """
    alike: dict[str, list[str]] = {}
    for number in numbers:
        alike.setdefault(_blurred(number), []).append(number)
    return [group for each in alike.values() if len(each) > 1 for group in _joined(each)]


def _blurred(number: str) -> str:
    """Coarser than either skeleton, and quick to make."""
    plain = number if number.isascii() else number.translate(_LETTERS_ALIKE)
    blurred = plain.casefold().translate(_BLURRED)
    return blurred if "--" not in blurred else _PARTED.sub("-", blurred)


def _joined(numbers: list[str]) -> list[list[str]]:
    """A few numbers in groups of those that share a skeleton, directly or by way of a third."""
    groups: list[tuple[list[str], set[tuple[int, str]]]] = []
    for number in numbers:
        members, keys = [number], set(enumerate(skeletons(number)))
        for each in [group for group in groups if group[1] & keys]:
            groups.remove(each)
            members, keys = [*each[0], *members], keys | each[1]
        groups.append((members, keys))
    return [members for members, _ in groups if len(members) > 1]


class Alike:
    """Finds, among known numbers, the one that another looks like; the table is made when first asked."""

    def __init__(self, known: Iterable[str]) -> None:
        self._known = known
        self._blurred: dict[str, list[str]] | None = None

    def to(self, number: str) -> str:
        """The first known number that looks like this one, "" for none."""
        if self._blurred is None:
            self._blurred = {}
            for each in self._known:
                self._blurred.setdefault(_blurred(each), []).append(each)
        keys = set(enumerate(skeletons(number)))
        near = self._blurred.get(_blurred(number), ())
        return next((each for each in near if keys & set(enumerate(skeletons(each)))), "")


def difference(numbers: Iterable[str]) -> str:
    """In words, in what numbers that look alike differ."""
    numbers = list(numbers)
    if len({number.casefold() for number in numbers}) == 1:
        return "differ only in case"
    if len({_PARTED.sub("-", number).casefold() for number in numbers}) == 1:
        return "differ only in case, blanks or dashes"
    return "look alike"
