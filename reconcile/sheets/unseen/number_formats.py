"""How a spreadsheet shows a number by its number format, as far as that can be said for certain.

The built-in formats are those of ECMA-376 part 1, 18.8.30; the meaning of the marks is that of 18.8.31.
"""

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

GENERAL = "General"
BUILT_IN = {
    0: GENERAL,
    1: "0",
    2: "0.00",
    3: "#,##0",
    4: "#,##0.00",
    9: "0%",
    10: "0.00%",
    11: "0.00E+00",
    12: "# ?/?",
    13: "# ??/??",
    37: "#,##0 ;(#,##0)",
    38: "#,##0 ;[Red](#,##0)",
    39: "#,##0.00;(#,##0.00)",
    40: "#,##0.00;[Red](#,##0.00)",
    48: "##0.0E+0",
    49: "@",
}
PLAIN = (GENERAL, "@")
DAYS_BUILT_IN = frozenset((*range(14, 18), 22, *range(27, 37), *range(50, 59)))
"""Built-in formats that show a day, those of East Asian languages among them (ECMA-376 part 1, 18.8.30)."""
MOST_DIGITS = Decimal(10) ** 11
"""From this size on General shows a power of ten (common practice of spreadsheet programs, no source)."""

_ZEROES = re.compile("0+")
_SAID = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]', re.DOTALL)
"""What a format says or does beside showing a value: texts, blanks, colours, conditions."""
_COLOUR = re.compile(r"\[(?:black|blue|cyan|green|magenta|red|white|yellow|color ?\d+)\]", re.IGNORECASE)
_PIECE = re.compile(r'"([^"]*)"|\\(.)|_.|\*.|(E[+-]0+)|([0#?]+)|(.)', re.DOTALL)
_PLACE, _LITERAL, _EXPONENT = "place", "literal", "exponent"
_MARKS_ELSEWHERE = frozenset("/@[]ymdhsgeYMDHSGE")
"""Marks of fractions, texts, conditions and dates: what they show is not worked out here."""


def shown_as(number: float | Fraction, code: str) -> str | None:
    """A number as the format shows it; None for a format of a kind that is not worked out.

    >>> shown_as(417, "00000")
    '00417'
    >>> shown_as(417, '"B-"000-0')
    'B-041-7'
    """
    if _ZEROES.fullmatch(code) and number >= 0 and number == int(number):
        return str(int(number)).zfill(len(code))
    value = Decimal(format(float(number), ".15g"))
    if code in PLAIN or not code:
        return _general(value)
    section, value = _section(code, value)
    pieces = _pieces(_COLOUR.sub("", section))
    if pieces is None:
        return None
    if any(kind == _EXPONENT for kind, _ in pieces):
        return _scientific(value, pieces)
    return _placed(value, pieces)


def shows_day(ident: int, code: str | None) -> bool:
    """Whether a format, by its number and by its own code where it has one, shows a number as a day.

    >>> shows_day(164, "dd/mm/yyyy"), shows_day(164, '0 "days"'), shows_day(14, None)
    (True, False, True)
    """
    if code is None:
        return ident in DAYS_BUILT_IN
    marks = _SAID.sub("", code).casefold()
    return "d" in marks or "y" in marks


def _general(value: Decimal) -> str:
    if abs(value) >= MOST_DIGITS:
        digits, _, power = format(value, ".5E").partition("E")
        return f"{digits.rstrip('0').rstrip('.')}E{power[0]}{power[1:].rjust(2, '0')}"
    return format(value.normalize(), "f")


def _section(code: str, value: Decimal) -> tuple[str, Decimal]:
    """The part of the format for this number; a part of its own for negative ones shows no sign."""
    sections = code.split(";")
    if value < 0 and len(sections) > 1:
        return sections[1], -value
    if value == 0 and len(sections) > 2:
        return sections[2], value
    return sections[0], value


def _pieces(code: str) -> list[tuple[str, str]] | None:
    """The format as digit places, literal texts and an exponent; None where it holds another mark."""
    pieces: list[tuple[str, str]] = []
    for found in _PIECE.finditer(code):
        quoted, escaped, exponent, places, other = found.groups()
        if quoted is not None or escaped is not None:
            pieces.append((_LITERAL, quoted or escaped or ""))
        elif exponent is not None:
            pieces.append((_EXPONENT, exponent))
        elif places is not None:
            pieces += [(_PLACE, place) for place in places]
        elif other is not None:
            if other in _MARKS_ELSEWHERE:
                return None
            pieces.append((_PLACE, other) if other in ".,%" else (_LITERAL, other))
    return pieces


def _scientific(value: Decimal, pieces: list[tuple[str, str]]) -> str | None:
    code = "".join(text for _, text in pieces)
    found = re.fullmatch(r"0(?:\.(0*))?E([+-])(0+)", code)
    if found is None:
        return None
    digits, _, power = format(value, f".{len(found[1] or '')}E").partition("E")
    sign = "-" if power[0] == "-" else "+" if found[2] == "+" else ""
    return f"{digits}E{sign}{power[1:].rjust(len(found[3]), '0')}"


def _placed(value: Decimal, pieces: list[tuple[str, str]]) -> str | None:
    """The digits of the number set into the places of the format."""
    marks = "".join(text for kind, text in pieces if kind == _PLACE)
    whole, point, decimals = marks.partition(".")
    if "," in decimals or whole.endswith(",") or not re.search("[0#?]", marks):
        return None  # a trailing comma divides by a thousand; without places the number is not shown
    value = value * 100 if "%" in marks else value
    value = value.quantize(Decimal(1).scaleb(-len(re.findall("[0#?]", decimals))), ROUND_HALF_UP)
    before, _, after = format(abs(value), "f").partition(".")
    front = _whole_digits(before, pieces, "," in whole)
    back = _decimals(after, pieces) if point else ""
    return f"{'-' if value < 0 else ''}{front}{back}".strip()


def _before_point(pieces: list[tuple[str, str]]) -> int:
    """How many pieces stand before the decimal point, or before what ends the digits."""
    places = [at for at, (kind, text) in enumerate(pieces) if kind == _PLACE and text in "0#?."]
    point = next((at for at in places if pieces[at][1] == "."), None)
    return len(pieces) if point is None else point


def _whole_digits(digits: str, pieces: list[tuple[str, str]], grouped: bool) -> str:
    """Digits from the right into the places before the point; what is left over stands at the first."""
    front = pieces[: _before_point(pieces)]
    places = [at for at, (kind, text) in enumerate(front) if kind == _PLACE and text in "0#?"]
    rest = digits.lstrip("0")
    shown: list[str] = []
    count = 0
    for at in range(len(front) - 1, -1, -1):
        kind, text = front[at]
        if kind == _LITERAL or text == "%":
            shown.append(text)
        elif text in "0#?":
            wanted = max(1, len(rest)) if places and at == places[0] else 1
            for _ in range(wanted):
                digit, rest = (rest[-1], rest[:-1]) if rest else ("0" if text == "0" else "", "")
                if digit and grouped and count and count % 3 == 0:
                    shown.append(",")
                shown.append(digit)
                count += bool(digit)
    return "".join(reversed(shown))


def _decimals(digits: str, pieces: list[tuple[str, str]]) -> str:
    """The digits after the point; a place of # shows no zero at the end."""
    shown, left = ["."], digits
    for kind, text in pieces[_before_point(pieces) + 1 :]:
        if kind == _LITERAL or text == "%":
            shown.append(text)
            continue
        digit, left = left[:1], left[1:]
        shown.append("" if text == "#" and not (digit + left).strip("0") else digit)
    return "".join(shown)
