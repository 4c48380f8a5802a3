"""Text that a spreadsheet program would take for a formula, made harmless in a csv file, and back again.

A csv cell has no type: what begins with one of these marks may be worked out, and so may fetch or run
something, when the file is opened (CWE-1236, improper neutralisation of formula elements; OWASP, "CSV
Injection"; both from memory). An apostrophe in front makes it text. A part that is called ``-10`` gets
one too, for a reader cannot tell it from the beginning of ``-10+cmd``; our own reader takes the
apostrophe off again, so a table that comes back is the table that went out.
"""

import re

_LOOKS_LIKE_A_FORMULA = re.compile(
    "[\t\r\n]"  # some programs drop a tab or a break in front
    "|[\\s\\ufeff\\u200b]*[=+\\-@＝＋－＠]"  # or leading blanks; full-width marks count in some settings
)
_GUARDED = re.compile(f"'+(?:{_LOOKS_LIKE_A_FORMULA.pattern})")


def guarded(text: str) -> str:
    """The text with an apostrophe before what looks like a formula, or like one that is guarded already.

    >>> guarded("=1+1"), guarded("-10"), guarded("1/4-20")
    ("'=1+1", "'-10", '1/4-20')
    """
    return f"'{text}" if _LOOKS_LIKE_A_FORMULA.match(text) or _GUARDED.match(text) else text


def unguarded(text: str) -> str:
    """The text as it was before ``guarded``: one apostrophe less before what looks like a formula.

    >>> unguarded("'-10"), unguarded("'s")
    ('-10', "'s")
    """
    return text[1:] if _GUARDED.match(text) else text
