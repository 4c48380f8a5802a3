"""A cell's text in plain characters, as it is compared and as a message repeats it."""

import unicodedata
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction

CellValue = str | float | bool | date | time | timedelta | Fraction | Decimal | None
"""What a cell or a TOML key may hold; a datetime is a date."""

LONGEST_SHOWN = 60
"""Characters of a cell's text that a message repeats."""


class Unreadable(Exception):
    """A cell cannot be read: the catalogue's code, what is wrong, what to do ("" for the catalogue's)."""

    def __init__(self, code: str, says: str, do: str = "") -> None:
        super().__init__(says)
        self.code = code
        self.says = says
        self.do = do


# Cleaning: the same text in plain characters, each knowing the character it came from.

_PLAIN = {
    **dict.fromkeys("′’‘‛´`ʹʼ‵＇", "'"),
    **dict.fromkeys("″”“„‟ʺ˝‶＂", '"'),
    **dict.fromkeys("−⁃", "-"),
    **dict.fromkeys("⁄∕", "/"),
}
_RAISED = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789", strict=True))
_LOWERED = dict(zip("₀₁₂₃₄₅₆₇₈₉", "0123456789", strict=True))
_BY_KIND = {"Pd": "-", "Zs": " ", "Zl": " ", "Zp": " ", "Cf": "", "Cc": ""}
"""By Unicode's general category: dashes, blanks, and what has no width."""
_BLANKS = frozenset(" \t\n\v\f\r")
"""Of plain characters; all other control characters show nothing."""
_FULL_WIDTH = range(0xFF01, 0xFF5F)
_DIGITS = frozenset("0123456789")

_Mapped = list[tuple[str, int]]


def clean(text: str) -> str:
    """The text in plain characters, blanks collapsed, ends stripped.

    No-break and thin spaces become spaces, what has no width goes (soft hyphens, marks of direction, control
    characters), full-width letters and digits become ASCII, a letter and its accent one, every dash ``-``,
    every prime ``'`` or ``"``, two primes ``"``, ½ `` 1/2``.

    >>> clean("1½″")
    '1 1/2"'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.replace("''", '"').split())
    return "".join(char for char, _ in _cleaned(text))


def is_blank(text: str) -> bool:
    """Whether nothing is left of the text when it is cleaned."""
    return not text.strip() or (not (text.isascii() and text.isprintable()) and not clean(text))


def clean_with_places(text: str) -> tuple[str, Sequence[int]]:
    """The clean text, and for each of its characters the index in ``text`` that it came from."""
    if text.isascii() and clean(text) == text:
        return text, range(len(text))  # nothing moved, as in nearly every cell
    mapped = _cleaned(text)
    return "".join(char for char, _ in mapped), tuple(index for _, index in mapped)


def _cleaned(text: str) -> _Mapped:
    mapped: _Mapped = []
    last = _AS_TYPED
    for index, char in enumerate(text):
        if mapped and unicodedata.combining(char):
            _put_mark(mapped, char, index)
            continue
        plain = _plain(text, index, char)
        if not plain:
            continue  # what has no width parts nothing: a 1 before it still stands beside a ½ after it
        kind = _written(char, plain)
        if _run_together(mapped, plain) and (kind != last or kind == _AS_ONE):
            plain = " " + plain  # ½ is kept apart from digits beside it: 1½ is never 11/2
        mapped.extend((each, index) for each in plain)
        last = kind
    return _single_blanks(_double_primes(mapped))


_AS_TYPED, _AS_ONE, _AS_RAISED, _AS_LOWERED = range(4)


def _written(char: str, plain: str) -> int:
    """How digits are written: plainly, as one character for a fraction, raised or lowered."""
    if char in _RAISED:
        return _AS_RAISED
    return _AS_LOWERED if char in _LOWERED else _AS_ONE if len(plain) > 1 else _AS_TYPED


def _run_together(mapped: _Mapped, plain: str) -> bool:
    """Whether a digit would come to stand beside a digit."""
    return bool(mapped) and mapped[-1][0] in _DIGITS and plain[0] in _DIGITS


def _put_mark(mapped: _Mapped, mark: str, index: int) -> None:
    """Joins an accent to the letter before it, where the two make one (normal form C)."""
    letter, came_from = mapped[-1]
    joined = unicodedata.normalize("NFC", letter + mark)
    if len(joined) == 1:
        mapped[-1] = joined, came_from
    else:
        mapped.append((mark, index))


def _plain(text: str, index: int, char: str) -> str:
    """The plain characters for one character of the text."""
    if char in _BLANKS:
        return " "
    if char.isascii() and char.isprintable():
        return char
    if char in _PLAIN:
        return _PLAIN[char]
    if ord(char) in _FULL_WIDTH:
        return chr(ord(char) - 0xFEE0)
    kind = unicodedata.category(char)
    return _plain_fraction(text, index, char) if kind == "No" else _BY_KIND.get(kind, char)


def _plain_fraction(text: str, index: int, char: str) -> str:
    """``½`` as ``1/2``, and the digits of ``¹⁄₂`` as plain ones; ``²`` alone stays what it is."""
    before = text[index - 1 : index]
    if char in _RAISED and _starts_raised_fraction(text, index):
        return _RAISED[char]
    if char in _LOWERED and before and (before in _LOWERED or before in "⁄∕/"):
        return _LOWERED[char]
    parts = unicodedata.normalize("NFKC", char).split("⁄")
    return "/".join(parts) if len(parts) == 2 else char


def _starts_raised_fraction(text: str, index: int) -> bool:
    """Whether raised digits from here on end in a fraction stroke: ``¹⁄₂``, not ``mm²``."""
    rest = text[index:].lstrip("".join(_RAISED))
    return rest[:1] in ("⁄", "∕", "/") and rest[1:2] in _LOWERED


def _double_primes(mapped: _Mapped) -> _Mapped:
    """Two single primes in a row are one double prime."""
    done: _Mapped = []
    open_prime = False
    for char, index in mapped:
        if char == "'" and open_prime:
            done[-1] = ('"', done[-1][1])
            open_prime = False
            continue
        open_prime = char == "'"
        done.append((char, index))
    return done


def _single_blanks(mapped: _Mapped) -> _Mapped:
    done: _Mapped = []
    for char, index in mapped:
        if char != " " or (done and done[-1][0] != " "):
            done.append((char, index))
    if done and done[-1][0] == " ":
        done.pop()
    return done


def shown(value: CellValue) -> str:
    """A cell's value as a message names it: text in quotes, dates in ISO, numbers bare."""
    if isinstance(value, str):
        text = clean(value)
        return f'"{text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "..."}"'
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, date | time):
        kind = "date" if isinstance(value, date) else "time"
        return f"the {kind} {value.isoformat()}"
    if isinstance(value, float):
        return format(value, ".15g")
    return "nothing" if value is None else str(value)
