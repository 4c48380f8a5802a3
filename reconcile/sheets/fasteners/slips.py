"""Signs that a figure of a description lost a digit, a point, a blank or a unit on its way into the sheet.

Each rule refuses a text that can be read, because the same text is what one slip of the hand makes of a
bolt of another length or pitch: ``2. LG`` of ``2.5 LG``, ``11/2`` of ``1 1/2``, ``M8x1 6 mm`` of
``M8x16 mm``.
"""

import math
import re
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from reconcile.sheets.fasteners.tokens import Token
from reconcile.sheets.fasteners.words import COUNT_WORDS, KNOWN_WORDS, LONG_WORDS, SERIES_WORDS, is_like_unit
from reconcile.sheets.figures.units import MILLIMETRES
from reconcile.standards.grades import ASTM_SPECIFICATIONS
from reconcile.values.measure import FINEST_INCH, MM_PER_INCH
from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Thread

_LEADING_NOUGHT = re.compile(r"(?<![\d.,])0(?:\d|[ -])")
_FRACTION = re.compile(r"(?:(?P<whole>\d+)[ -])?(?P<above>\d+) ?/ ?(?P<below>\d+)")
_FIVE_DECIMALS = re.compile(r"^\d*[.,]\d{5,}$")
_WHOLE_NUMBER = re.compile(r"(?:^|[^\d.,/])\d+$")
_HYPHEN_NUMBER = re.compile(r"-\s*\d+$")
_MARK = re.compile(r"[.,-]\s*\Z")
_LOST_AFTER_POINT = re.compile(r"\.(?!\d)")
_LOST_AFTER_HYPHEN = re.compile(r"-(?=[\s.,x×*-]|$)", re.IGNORECASE)
_LOST_AFTER_COMMA = re.compile(r"\s*,\s*(?:,|$)|,[^\W\d](?=\s|$)")
_BLANK_AT_STROKE = re.compile(r"\s/|/\s")
_CLASS = re.compile(r"a[123]", re.IGNORECASE)
_COUNT = re.compile(r"\d+\s?/?\s?(?:pcs?|pk|pkt|box|bx|bag|ea|off)", re.IGNORECASE | re.ASCII)
_NEVER_ALONE = ("A193", "A320", "A354")
"""ASTM specifications that hold no bolt without a class: B7, L7, BC."""
_LONGEST_CLASS = max(len(text) for name in _NEVER_ALONE for text in ASTM_SPECIFICATIONS[name])
_NEAR = re.compile(r"[\s,;:.-]*")


@dataclass(frozen=True, slots=True)
class Slip:
    """A sentence, and the first and the last token it is about, by number."""

    says: str
    first: int
    last: int


@dataclass(slots=True, eq=False)  # not frozen: one is made for every bolt that is read
class Laid:
    """The tokens of a description, and which of them were taken for what; all by number."""

    plain: str
    tokens: Sequence[Token]
    words: Sequence[str]
    """The folded word of each token, "" for what is no word."""
    understood: frozenset[int]
    threads: Sequence[int]
    lengths: Sequence[int]
    grades: Sequence[int]
    standards: Sequence[int]
    thread: Thread

    def between(self, first: int, last: int) -> str:
        """The text between two tokens."""
        return self.plain[self.tokens[first].end : self.tokens[last].start]

    def text(self, first: int, last: int) -> str:
        return self.plain[self.tokens[first].start : self.tokens[last].end]


def slip_in_number(text: str, unit: str) -> str:
    """What is odd about a length as written, in its unit ("in", "mm", "cm"); "" for nothing.

    A fraction of an inch has a power of two below the stroke, up to 128: a third of an inch is on no rule.
    More than four decimals are what such a fraction makes of a length, or one digit too many.
    """
    if _LEADING_NOUGHT.search(text):
        return "it begins with a nought"
    if _BLANK_AT_STROKE.search(text):
        return "a blank stands beside the stroke"
    if found := _FRACTION.fullmatch(text):
        return _slip_in_fraction(int(found["above"]), int(found["below"]), unit)
    if _FIVE_DECIMALS.search(text) and not _is_divided(Fraction(text.replace(",", ".")), unit):
        return "it has too many decimals"
    return ""


def _slip_in_fraction(above: int, below: int, unit: str) -> str:
    if above >= below:
        return "a blank may be missing before the fraction"
    if math.gcd(above, below) > 1:
        return "the fraction is not in its lowest terms"
    if unit == "cm" or below > FINEST_INCH or (unit == "in" and below & (below - 1)):
        return f"no {'inch' if unit == 'in' else unit} is divided like that"
    return ""


def _is_divided(number: Fraction, unit: str) -> bool:
    """Whether a decimal is a fraction in disguise: of an inch or a millimetre, down to 1/128."""
    if number * FINEST_INCH % 1 == 0:
        return True
    return unit != "in" and number * MILLIMETRES[unit] / MM_PER_INCH * FINEST_INCH % 1 == 0


def slips(laid: Laid) -> Iterator[Slip]:
    """Every sign of a slip around the figures that make a bolt."""
    for find in _RULES:
        yield from find(laid)


def _lost_figures(laid: Laid) -> Iterator[Slip]:
    """Marks behind a figure after which more of it should follow."""
    for number in (*laid.threads, *laid.lengths, *laid.grades, *laid.standards):
        if mark := _dangling(laid, number):
            yield Slip(f'"{laid.tokens[number].text}{mark}" may have lost a figure.', number, number)


def _dangling(laid: Laid, number: int) -> str:
    """The mark, or ""."""
    token, plain = laid.tokens[number], laid.plain
    is_whole = _WHOLE_NUMBER.search(token.text) is not None
    if token.text[-1].isdigit() and _LOST_AFTER_POINT.match(plain, token.end) and _has_decimals(laid, number):
        return "."
    if number in laid.grades:
        return ""
    if is_whole and number not in laid.standards and _LOST_AFTER_COMMA.match(plain, token.end):
        return "," if _has_decimals(laid, number) else ""
    return "-" if _is_cut_off(laid, number) else ""


def _has_decimals(laid: Laid, number: int) -> bool:
    """Whether a figure may have decimals: threads per inch and the strength in ``A2-70`` have none."""
    if number in laid.threads:
        return laid.thread.unit == "mm"
    text = laid.tokens[number].text
    return "/" not in text and (number in laid.lengths or not _HYPHEN_NUMBER.search(text))


def _is_cut_off(laid: Laid, number: int) -> bool:
    """Whether a hyphen stands right behind a figure, and what follows it cannot be read."""
    token, after = laid.tokens[number], number + 1
    if not token.text[-1].isdigit() or laid.plain[token.end : token.end + 1] != "-":
        return False
    if number in laid.threads and laid.thread.unit == "in":
        return False
    if _LOST_AFTER_HYPHEN.match(laid.plain, token.end) is not None:
        return number not in laid.lengths or _WHOLE_NUMBER.search(token.text) is not None
    return after < len(laid.tokens) and after not in laid.understood


def _mark_before(laid: Laid) -> Iterator[Slip]:
    """``M6 .x2``: the point was before the 2, or a pitch before the point; ``..500-20`` was .2500-20."""
    for number in (*laid.threads, *laid.lengths):
        token = laid.tokens[number]
        if token.start and laid.plain[token.start - 1] in "./":
            yield Slip(f'"{token.text}" stands behind a mark that belongs to a figure.', number, number)
    for number, token in enumerate(laid.tokens):
        if token.kind == "by" and _MARK.search(laid.plain, 0, token.start):
            yield Slip(
                f'"{token.text.strip()}" stands behind a mark that belongs to a figure.', number, number
            )


def _stray_numbers(laid: Laid) -> Iterator[Slip]:
    """A number left over beside a thread or a length may be a piece of it."""
    for number, token in enumerate(laid.tokens):
        if token.kind not in ("number", "bad") or number in laid.understood or _counts(laid, number):
            continue
        for other in (number - 1, number + 1, number + 2):
            if _belongs(laid, number, other):
                first, last = sorted((number, other))
                says = f'"{laid.text(first, last)}" may be one figure or two.'
                yield Slip(says, first, last)
                break


def _counts(laid: Laid, number: int) -> bool:
    after = laid.words[number + 1] if number + 1 < len(laid.words) else ""
    return after in COUNT_WORDS or _COUNT.fullmatch(laid.tokens[number].text) is not None


def _belongs(laid: Laid, number: int, other: int) -> bool:
    """Whether another token is a length beside this number, or a thread before it."""
    if other not in laid.lengths and not (other in laid.threads and other < number):
        return False
    if other == number + 2:
        return laid.tokens[number + 1].kind == "by"
    return _NEAR.fullmatch(laid.between(*sorted((number, other)))) is not None


def _two_lengths(laid: Laid) -> Iterator[Slip]:
    """``½½`` is no half inch said twice, nor is ``x 4.0 x .4 cm``, where the 4 was a pitch of 1; but
    ``2 in, 50.8 mm`` is.
    """
    for one, other in pairwise(laid.lengths):
        units = [laid.tokens[number].value[1] for number in (one, other)]
        beside = other == one + 1 and not (all(units) and units[0] != units[1])
        if beside or laid.tokens[other - 1].kind == "by":
            yield Slip(f'"{laid.text(one, other)}" may be one figure or two.', one, other)


def _class_or_grade(laid: Laid) -> Iterator[Slip]:
    """``1/4-20 UNC-A2``: stainless steel, or the class of fit 2A with its signs swapped."""
    for number in laid.threads:
        after = number + 1
        if laid.thread.unit == "in" and after in laid.grades and _CLASS.fullmatch(laid.tokens[after].text):
            says = f'"{laid.text(number, after)}" may be a grade or a class of fit.'
            yield Slip(says, number, after)


def _blank_moved(laid: Laid) -> Iterator[Slip]:
    """``A320 L7B LK OX`` is L7B, or L7 with a blank that slipped into ``BLK``; so is ``L7 ABOLT`` L7A."""
    for number in laid.grades:
        after = number + 1
        if after >= len(laid.words) or after in laid.understood or not laid.words[after]:
            continue
        word = laid.words[after]
        if laid.tokens[number].text[-1].casefold() + word in KNOWN_WORDS or word[1:] in ("", *KNOWN_WORDS):
            says = f'"{laid.text(number, after)}" may be a grade and a word, parted in the wrong place.'
            yield Slip(says, number, after)


def _lost_class(laid: Laid) -> Iterator[Slip]:
    """``A193 BXM``: a specification whose bolts are all of some class, and a short word where it stands."""
    for number in laid.grades:
        after = number + 1
        if after >= len(laid.words) or after in laid.understood or laid.words[after] in ("", *KNOWN_WORDS):
            continue
        if _spelling(laid, number) in _NEVER_ALONE and len(laid.words[after]) <= _LONGEST_CLASS:
            yield Slip(f'"{laid.text(number, after)}" may have lost the class of its grade.', number, after)


def _spelling(laid: Laid, number: int) -> str:
    return laid.tokens[number].text.upper().removeprefix("ASTM").strip(" -")


def _no_by(laid: Laid) -> Iterator[Slip]:
    """``M8x1 6 mm`` may be 16 mm with a blank in it, ``M6 3 1/16 in`` an ``x`` mistyped as 3."""
    for number in laid.threads:
        after = number + 1
        if after in laid.lengths and not laid.between(number, after).strip(" -"):
            yield Slip(f'"{laid.text(number, after)}" has no x before the length.', number, after)


def _spoilt_unit(laid: Laid) -> Iterator[Slip]:
    for number in laid.lengths:
        after = number + 1
        if after >= len(laid.words) or after in laid.understood or not is_like_unit(laid.words[after]):
            continue
        if laid.words[after] in ("", *LONG_WORDS) or _NEAR.fullmatch(laid.between(number, after)) is None:
            continue
        yield Slip(f'"{laid.text(number, after)}" has no unit that is known.', number, after)


def _other_series(laid: Laid) -> Iterator[Slip]:
    for number, word in enumerate(laid.words):
        if word in SERIES_WORDS and SERIES_WORDS[word] != laid.thread.series:
            says = f'"{laid.tokens[number].text}" contradicts the thread {laid.thread}.'
            yield Slip(says, number, number)


_RULES: Sequence[Callable[[Laid], Iterator[Slip]]] = (
    _lost_figures,
    _mark_before,
    _stray_numbers,
    _two_lengths,
    _no_by,
    _class_or_grade,
    _blank_moved,
    _lost_class,
    _spoilt_unit,
    _other_series,
)
