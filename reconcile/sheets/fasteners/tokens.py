"""A description to tokens, each with its place in the cleaned text: threads, numbers, grades, words."""

import re
from collections.abc import Callable, Mapping, Sequence
from string import ascii_lowercase
from typing import Any

from reconcile.sheets.fasteners.spellings import (
    ASTM_GRADE,
    GRADE,
    INCH_THREAD,
    METRIC_CLASS,
    METRIC_PITCH,
    METRIC_SIZE,
    STANDARD,
    decimal_fraction,
    listed_metric_thread,
    matched_grade,
    matched_inch_thread,
    standard_code,
)
from reconcile.sheets.fasteners.words import KNOWN_WORDS
from reconcile.sheets.figures.text import Unreadable
from reconcile.standards import PROPERTY_CLASSES, metric_pitches
from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Thread


@dataclass(slots=True, eq=False)  # not frozen: that trebles the time to make one, and there are many
class Token:
    """A piece of a description, from start to end, and what it may mean."""

    kind: str
    """thread, size, by, number, bad, grade, standard, word or stray."""
    start: int
    end: int
    text: str
    value: Any = None


_BLANKS = re.compile(r"(?:[\s,;:()\[\]-]|\.(?!\d))+")
_BY = re.compile(r"(?:[x×*]|by\b)\s*(?=[-.\d])", re.IGNORECASE)
_NUMBER = re.compile(
    r"""(?P<number>(?:(?P<whole>\d+)(?:\s|-))?\d+\s?/\s?\d+ | \d*(?:[.,]\d+)+ | \d+)
        (?:\s*(?P<unit>(?:mm|cm|inch(?:es)?|ins?)(?:(?![a-z0-9])|(?=(?:lg|long)\b))\.? | "))?""",
    re.IGNORECASE | re.ASCII | re.VERBOSE,
)
_NUMBER_ENDS = re.compile(r"$|[\s,;:()\[\]-]|\.(?!\d)|[x×*]\s*[.\d]|(?:lg|long)\b", re.IGNORECASE | re.ASCII)
_STAINLESS = re.compile(
    r"18[-/]8(?![\w./-])|ss\s?(?:30[34]|316l?)(?![\w./-])|(?:30[34]|316l?)(?=\s?(?:ss|stainless)\b)",
    re.IGNORECASE | re.ASCII,
)
_SIZE = re.compile(r"(?:\#|no\b\.?|number\b)\s*(?P<size>\d{1,2})(?![\w./-])", re.IGNORECASE | re.ASCII)
_HYPHEN_DIGIT = re.compile(r"-\d")
_GRADE_GOES_ON = re.compile(r"\w|/|[.,]\d")
_RUNS_ON = re.compile(r"\s*(?:-\s*(?=[.\d])|/|')")
_FOREIGN_UNIT = re.compile(r"\s*(?:m|foot|feet|yd)(?![\w.]|\s*\d)", re.IGNORECASE)
_UNIT_AHEAD = re.compile(r'\s*(?:mm|cm|inch|in\b|ins\b|"|/)|\s+(?!18/8\b)\d+\s*/', re.IGNORECASE)
_LENGTH_AHEAD = re.compile(r"\s*[x×*]\s*[.\d]", re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_](?:[\w&+]|'(?=\w))*")
_HYPHENED = re.compile(r"[^\W\d_]\w*(?:-\w+)+")
_CHUNK = re.compile(r"\S+")

SHORTEST_NOT_A_PITCH = 2
"""mm: no listed metric pitch reaches it and no preferred length lies below it, so ``M6x30`` is a length
and ``M6x1`` a pitch."""


def tokens_of(plain: str) -> list[Token]:
    tokens: list[Token] = []
    position = 0
    while position < len(plain):
        after_by = bool(tokens) and tokens[-1].kind == "by"
        if not after_by and (blanks := _BLANKS.match(plain, position)):
            position = blanks.end()
            continue
        tokens.append(_token(plain, position, after_by))
        position = tokens[-1].end
    return tokens


def _token(plain: str, position: int, after_by: bool) -> Token:
    """The token that starts here; after an ``x`` only a number will do."""
    if after_by:
        return _number(plain, position) or _chunk(plain, position)
    char = plain[position]
    for lexer in _LEXERS_FOR.get(char, _LEXERS):
        if (token := lexer(plain, position)) is not None:
            return token
    return Token("stray", position, position + 1, char)


def _matched(kind: str, found: re.Match[str], value: object = None) -> Token:
    return Token(kind, found.start(), found.end(), found[0], value)


def _chunk(plain: str, position: int) -> Token:
    """Everything up to the next blank, as one token that starts like a number but is none."""
    found = _CHUNK.match(plain, position)
    assert found is not None, "a token starts at a character that is no blank"
    return _matched("bad", found)


def _material(plain: str, position: int) -> Token | None:
    """Stainless steel by its number, which is no figure of the bolt: ``18-8``, ``316 SS``, ``SS304``."""
    found = _STAINLESS.match(plain, position)
    return _matched("word", found, "stainless") if found else None


def _standard(plain: str, position: int) -> Token | None:
    found = STANDARD.match(plain, position)
    return _matched("standard", found, standard_code(found)) if found else None


def _inch_thread(plain: str, position: int) -> Token | None:
    found = INCH_THREAD.match(plain, position)
    if not found or (found["tpi"] is None and found["series"] is None):
        return None
    if not _NUMBER_ENDS.match(plain, found.end()) or _HYPHEN_DIGIT.match(plain, found.end()):
        return None
    thread = _thread_or_fault(lambda: matched_inch_thread(found))
    if isinstance(thread, Unreadable) and found["bare"]:
        return None  # 12-34 may be anything
    if _by_without_tpi(found) and not _LENGTH_AHEAD.match(plain, found.end()):
        return None  # 1/4 x 2 is a size and a length; 1/4 x 20 x 2 has a pitch between them
    return _matched("thread", found, thread)


def _by_without_tpi(found: re.Match[str]) -> bool:
    return found["by"] not in (None, "-") and found["unit"] is None and found["series"] is None


def _size(plain: str, position: int) -> Token | None:
    """A size by number without a pitch, ``#10``."""
    found = _SIZE.match(plain, position)
    return _matched("size", found, f"#{int(found['size'])}") if found else None


def _metric_thread(plain: str, position: int) -> Token | None:
    size = METRIC_SIZE.match(plain, position)
    if not size:
        return None
    end, pitch = size.end(), None
    if (found := METRIC_PITCH.match(plain, end)) and _is_pitch(size["diameter"], found, plain):
        end, pitch = found.end(), decimal_fraction(found["pitch"])
    if found := METRIC_CLASS.match(plain, end):
        end = found.end()
    thread = _thread_or_fault(lambda: listed_metric_thread(size["diameter"], pitch))
    return Token("thread", position, end, plain[position:end], thread)


def _is_pitch(diameter: str, found: re.Match[str], plain: str) -> bool:
    """Whether the number after ``M6x`` is a pitch: too small for a length, and without a unit."""
    pitch = decimal_fraction(found["pitch"])
    if found[0].lstrip()[0] == "-" or " -" in found[0]:
        return found[0][0] == "-" and pitch in metric_pitches(decimal_fraction(diameter))
    return pitch < SHORTEST_NOT_A_PITCH and not _UNIT_AHEAD.match(plain, found.end())


def _thread_or_fault(read: Callable[[], Thread]) -> Thread | Unreadable:
    try:
        return read()
    except Unreadable as unknown:
        return unknown


def _grade(plain: str, position: int) -> Token | None:
    if found := ASTM_GRADE.match(plain, position):
        return _matched("grade", found, found)
    found = GRADE.match(plain, position)
    if not found or _GRADE_GOES_ON.match(plain, found.end()):
        return None
    if found["steel"] and not found["strength"] and found["steel"] not in "24":
        return None
    if found["bare"] and (found["bare"] not in PROPERTY_CLASSES or _measures(plain, found.end())):
        return None
    return _matched("grade", found, found) if matched_grade(found) else None


def _measures(plain: str, end: int) -> bool:
    """Whether a unit, a fraction or another dimension follows: then a number is no grade."""
    return bool(_UNIT_AHEAD.match(plain, end) or _LENGTH_AHEAD.match(plain, end))


def _number(plain: str, position: int) -> Token | None:
    found = _NUMBER.match(plain, position)
    if not found:
        return None
    if found["whole"] and _inch_thread(plain, found.end("whole") + 1):
        # "100 1/4-20" is a count before a thread, not 100 1/4.
        return Token("number", position, found.end("whole"), found["whole"], (found["whole"], ""))
    if not _NUMBER_ENDS.match(plain, found.end()) or _runs_on(plain, found):
        return _chunk(plain, position)
    return _matched("number", found, (found["number"], found["unit"] or ""))


def _runs_on(plain: str, found: re.Match[str]) -> bool:
    """Whether the text goes on as if the number were not over: ``2 - 1/2``, ``2 /3``, ``3 m``."""
    if not found["unit"] and _FOREIGN_UNIT.match(plain, found.end()):
        return True
    more = _RUNS_ON.match(plain, found.end())
    if not more:
        return False
    return more[0].strip() != "-" or _grade(plain, more.end()) is None


def _by(plain: str, position: int) -> Token | None:
    found = _BY.match(plain, position)
    return _matched("by", found) if found else None


def _word(plain: str, position: int) -> Token | None:
    """A word; letters and digits joined by hyphens are one word, unless it begins with one we know."""
    found = _WORD.match(plain, position)
    if not found:
        return None
    joined = _HYPHENED.match(plain, position)
    if joined and any(char.isdigit() for char in joined[0]) and found[0].casefold() not in KNOWN_WORDS:
        found = joined
    return _matched("word", found, found[0].casefold())


_LEXERS: Sequence[Callable[[str, int], Token | None]] = (
    _material,
    _standard,
    _inch_thread,
    _size,
    _metric_thread,
    _grade,
    _number,
    _by,
    _word,
)
_STARTS: Mapping[Callable[[str, int], Token | None], str] = {
    _material: "13s",
    _standard: "id",
    _inch_thread: "#n.0123456789",
    _size: "#n",
    _metric_thread: "m",
    _grade: "sjgpcaf0123456789",
    _number: ".,0123456789",
    _by: "x*b",
    _word: ascii_lowercase,
}
"""The ASCII characters, in small letters, that each kind of token may start with: most need not be tried."""
_LEXERS_FOR = {
    char: tuple(lexer for lexer in _LEXERS if char.lower() in _STARTS[lexer]) for char in map(chr, range(128))
}
