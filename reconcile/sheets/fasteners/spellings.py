"""Threads, heads and grades as people write them, in our one spelling of each."""

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from reconcile.sheets.figures.text import Unreadable, clean, shown
from reconcile.standards import (
    ASTM_SPECIFICATIONS,
    PROPERTY_CLASSES,
    SAE_GRADES,
    UNIFIED,
    NoSuchThread,
    astm_grades,
    inch_size,
    inch_thread,
    metric_thread,
)
from reconcile.values.stock.parts import Thread
from reconcile.values.words import fold

# Threads.

INCH_THREAD = re.compile(
    r"""
    (?: (?:\#|no\b\.?|number\b)\s*(?P<number>\d{1,2})      # #10, No. 10
      | (?P<bare>\d{1,2})(?=\s*-\s*\d)                    # 10-32
      | (?P<decimal>0?\.\d{1,5})                          # .250, 0.25
      | (?P<fraction>\d{1,2}/[1-9]\d?) )                  # 1/4
    (?![\d./])
    \s*(?:"|in(?:ch)?\b\.?)?
    (?:\s*(?P<by>[-x×*])\s*(?P<tpi>\d{1,2})(?![\d/.,])(?:\s*(?P<unit>t\.?p\.?i(?:\b\.?|(?=x\s*[.\d]))))?)?
    (?:[\s-]*(?P<series>unr?[cf]|n[cf])(?![a-wyz]))?
    (?:[\s-]*[123][ab](?:\b|(?=x\s*[.\d])))?                                # class of fit: 2A, 3A
    """,
    re.IGNORECASE | re.ASCII | re.VERBOSE,
)
DIAMETER_DECIMALS = 4
METRIC_SIZE = re.compile(
    r"m\s?(?P<diameter>\d{1,2}(?:[.,]\d)?)(?![\d/.])(?![a-wyz])", re.IGNORECASE | re.ASCII
)
METRIC_PITCH = re.compile(
    r"\s*[-x×*]\s*(?P<pitch>\d{0,3}[.,]\d{1,4}|\d{1,3})(?![\d/a-wyz]|[.,]\d)", re.IGNORECASE | re.ASCII
)
"""A comma or stop ends a pitch, unless a digit follows: then it is a part of the number."""
METRIC_CLASS = re.compile(
    r"\s*-?\s*[3-9][efgh](?:[3-9][efgh])?(?:\b|(?=x\s*[.\d]))|\s+coarse\b", re.IGNORECASE | re.ASCII
)
"""The tolerance class after a metric thread (``6g``; grades 3 to 9, ISO 965-1, from memory), and the word
coarse, which say nothing new."""

_WRITE_IT = "Write it like 1/4-20 UNC, #10-32 UNF, M6 or M8x1."


def read_thread(text: str) -> Thread:
    """The thread of ``1/4-20``, ``.250-20 UNC-2A``, ``No. 10-32``, ``1/4" x 20 tpi``, ``M6``, ``M6×1.0-6g``.

    Raises ``Unreadable``: cell-blank, or thread-unknown, which lists the pitches that exist.
    """
    plain = clean(text)
    if not plain:
        raise Unreadable("cell-blank", "The cell is blank.")
    if found := INCH_THREAD.fullmatch(plain):
        return matched_inch_thread(found)
    if (thread := _read_metric(plain)) is not None:
        return thread
    raise Unreadable("thread-unknown", f"{shown(text)} is not a thread that can be read.", _WRITE_IT)


def _read_metric(plain: str) -> Thread | None:
    size = METRIC_SIZE.match(plain)
    if not size:
        return None
    end, pitch = size.end(), None
    if found := METRIC_PITCH.match(plain, end):
        end, pitch = found.end(), decimal_fraction(found["pitch"])
    if found := METRIC_CLASS.match(plain, end):
        end = found.end()
    return listed_metric_thread(size["diameter"], pitch) if end == len(plain) else None


def decimal_fraction(text: str) -> Fraction:
    """``1.0`` or ``1,0``: in a thread a comma can only be the decimal mark."""
    return Fraction(text.replace(",", "."))


@lru_cache(maxsize=1024)
def listed_metric_thread(diameter: str, pitch: Fraction | None) -> Thread:
    """The metric thread of a diameter as written; raises ``Unreadable`` (thread-unknown)."""
    try:
        return metric_thread(decimal_fraction(diameter), pitch)
    except NoSuchThread as unknown:
        raise Unreadable("thread-unknown", str(unknown)) from None


def matched_inch_thread(found: re.Match[str]) -> Thread:
    """The thread of a match of ``INCH_THREAD``; raises ``Unreadable`` (thread-unknown)."""
    text, size, series = found[0].strip(), _size_in(found), _series_in(found)
    try:
        if size in UNIFIED and found["tpi"] is None:
            return _thread_by_series(text, size, series)
        thread = inch_thread(size, int(found["tpi"] or 0))
    except NoSuchThread as unknown:
        raise Unreadable("thread-unknown", str(unknown)) from None
    if series not in ("", thread.series):
        raise Unreadable("thread-unknown", f'"{text}" contradicts itself: {_both_series(size)}.')
    return thread


def _thread_by_series(text: str, size: str, series: str) -> Thread:
    """A size with its series alone fixes the pitch; a bare size does not."""
    if not series:
        raise Unreadable("thread-unknown", f'"{text}" has no pitch: {_both_series(size)}.')
    _, coarse, fine = UNIFIED[size]
    return inch_thread(size, coarse if series == "UNC" else fine)


def _both_series(size: str) -> str:
    _, coarse, fine = UNIFIED[size]
    return f"UNC is {size}-{coarse}, UNF is {size}-{fine}"


def _size_in(found: re.Match[str]) -> str:
    """``#10``, ``1/4``; .190 and .25 are the sizes of that diameter."""
    if name := found["number"] or found["bare"]:
        return f"#{int(name)}"
    return _size_of(str(found["decimal"] or found["fraction"]))


@lru_cache(maxsize=1024)
def _size_of(written: str) -> str:
    """The size of a decimal diameter. A fraction is its own name: ``2/8`` is no quarter, ``1/8`` no #5.

    ASME B1.1 writes diameters to four decimals (from memory): ``.25000`` may be .5000 with a 2 too many.
    """
    if "/" in written or len(written.partition(".")[2]) > DIAMETER_DECIMALS:
        return written
    return inch_size(Fraction(written)) or written


def _series_in(found: re.Match[str]) -> str:
    """UNC or UNF; NC and NF are their old names, UNRC and UNRF the same with a rounded root."""
    series = (found["series"] or "").upper()
    return f"UN{series[-1]}" if series else ""


# Heads.

HEAD_WORDS = {
    **dict.fromkeys(("socket", "skt", "sock", "soc", "sckt"), "socket"),
    **dict.fromkeys(("cap", "capscrew", "capscrews"), "cap"),
    **dict.fromkeys(("hex", "hexagon", "hexagonal"), "hex"),
    **dict.fromkeys(("button", "btn", "butn", "butt"), "button"),
    **dict.fromkeys(("countersunk", "csk", "csunk", "flat"), "countersunk"),
    **dict.fromkeys(("flange", "flanged", "flg"), "flange"),
    **dict.fromkeys(("set", "setscrew", "setscrews"), "set"),
    **dict.fromkeys(("round", "rnd"), "round"),
    **dict.fromkeys(("shoulder", "shldr", "shld"), "shoulder"),
    **{word: word for word in ("low", "pan", "cheese", "truss", "oval")},
}
"""A word of a head's name, and the plain word for it."""

HEAD_NOUNS = frozenset({"head", "hd", "headed"})
BOLT_WORDS = frozenset(
    {"bolt", "bolts", "screw", "screws", "scr", "capscrew", "capscrews", "setscrew", "setscrews"}
)
_EMPTY_WORDS = HEAD_NOUNS | BOLT_WORDS | {"machine", "drive", "type"}

_HEAD_SPELLINGS = {
    "socket cap": ("socket cap", "hex socket cap", "socket head", "hex socket head"),
    "low socket cap": ("low socket cap", "low hex socket cap"),
    "button": ("button", "button cap", "button socket", "button hex socket", "button hex socket cap"),
    "button flange": ("button flange", "button flange socket", "button flange hex socket cap"),
    "countersunk": (
        "countersunk",
        "countersunk cap",
        "countersunk socket",
        "countersunk hex socket",
        "countersunk hex socket cap",
    ),
    "hex": ("hex", "hex cap", "hex set"),
    "hex flange": ("hex flange", "hex flange cap"),
    "hex washer": ("hex washer",),
    "socket set": ("socket set", "hex socket set"),
    "shoulder": ("shoulder", "socket shoulder", "hex socket shoulder"),
    "pan": ("pan",),
    "round": ("round",),
    "cheese": ("cheese",),
    "truss": ("truss",),
    "oval": ("oval", "oval countersunk"),
}
_BY_WORDS = {
    frozenset(spelling.split()): head for head, spellings in _HEAD_SPELLINGS.items() for spelling in spellings
}
# "Button socket cap" and the like: the socket and the cap are there whenever the hexagon is.
_BY_WORDS |= {words - {"hex"}: head for words, head in _BY_WORDS.items() if {"hex", "socket"} <= words}

HEADS = tuple(_HEAD_SPELLINGS)
"""Every head we have a name for."""

HEAD_CODES = {
    **dict.fromkeys(("shcs", "iso 4762", "din 912"), "socket cap"),
    "din 7984": "low socket cap",
    **dict.fromkeys(("bhcs", "bhscs", "iso 7380", "iso 7380-1"), "button"),
    "iso 7380-2": "button flange",
    **dict.fromkeys(("fhcs", "fhscs", "iso 10642", "din 7991"), "countersunk"),
    **dict.fromkeys(("hhcs", "iso 4014", "iso 4017", "din 931", "din 933"), "hex"),
    **dict.fromkeys(("din 6921", "iso 4162", "iso 15071"), "hex flange"),
}
"""Abbreviations and product standards that stand for a head."""

CODE_WORDS = frozenset(code for code in HEAD_CODES if code.isalpha())
"""The abbreviations among them."""

FULLY_THREADED_CODES = frozenset({"iso 4017", "din 933"})
"""Hexagon head screws whose standard threads them to the head."""

STANDARD = re.compile(
    r"\b(?P<body>iso|din)\s*-?\s*(?P<number>\d{3,5}(?:-\d(?!\d))?)(?![\w.])", re.IGNORECASE | re.ASCII
)
_WORD = re.compile(r"[^\W_]+")


def standard_code(found: re.Match[str]) -> str:
    """The key in ``HEAD_CODES`` of a match of ``STANDARD``: ``iso 4762``."""
    return f"{found['body']} {found['number']}".casefold()


def head_of(words: Iterable[str], codes: Iterable[str] = ()) -> str | None:
    """The head that folded words and codes name together: "" for none, None where they disagree.

    A code stands for its head; words beside it must fit one of that head's spellings. Words that are no
    word of a head are passed over.
    """
    said = list(words)
    pieces = {HEAD_WORDS[word] for word in said if word in HEAD_WORDS}
    if "washer" in said and pieces:
        pieces.add("washer")
    coded = {HEAD_CODES[code] for code in codes if code in HEAD_CODES}
    if len(coded) > 1:
        return None
    if coded:
        head = coded.pop()
        return head if any(known == head and pieces <= spelt for spelt, known in _BY_WORDS.items()) else None
    if pieces in ({"socket"}, {"hex", "socket"}) and not HEAD_NOUNS.isdisjoint(said):
        return "socket cap"
    return _BY_WORDS.get(frozenset(pieces), "")


def canonical_head(text: str) -> str:
    """Our name for a head: socket cap, button, countersunk, hex, hex flange, pan and so on.

    ``SHCS``, ``Cap screw, socket head`` and ``ISO 4762`` are all ``socket cap``; ``hex set`` is ``hex``.
    A head that is not known, or words that disagree, stay as they are, folded.
    """
    plain = fold(clean(text))
    codes = [standard_code(found) for found in STANDARD.finditer(plain)]
    words = _WORD.findall(STANDARD.sub(" ", plain))
    codes += [word for word in words if word in HEAD_CODES]
    known = (*HEAD_WORDS, *HEAD_CODES, *_EMPTY_WORDS, "washer", "en", "bs", "din")
    if all(word in known for word in words) and all(code in HEAD_CODES for code in codes):
        return head_of(words, codes) or plain
    return plain


# Grades.

_ASTM = {key.casefold(): grade for key, grade in astm_grades().items()}


def _astm_pattern() -> str:
    """Every specification with the grades within it, longest first; a letter alone only after *grade*.

    What may be another grade than those, by a slip, goes with its specification and makes it unlisted.
    """
    patterns = []
    for specification, grades in ASTM_SPECIFICATIONS.items():
        letter, digits = specification[0], specification[1:]
        long = "|".join(sorted((text for text in grades if len(text) > 1), key=len, reverse=True))
        single = "".join(text for text in grades if len(text) == 1)
        ways = [rf"[\s-]*(?:gr(?:ade)?\.?[\s-]*)?(?:{long})"] if long else []
        if single:
            ways.append(f"[{single}]" if specification == "F593" else rf"[\s-]*gr(?:ade)?\.?[\s-]*[{single}]")
        if grades:
            initials = "".join(sorted({text[0] for text in grades}))
            ways.append(rf"[\s-]+(?:[a-z]|[{initials}]\w|[{initials}]\w*\d\w*)(?!\w)")
        ways.append(r"(?![\s-]*gr(?:ade)?\b)" if grades else "")
        patterns.append(rf"{letter}\s?{digits}(?:{'|'.join(ways)})")
    return "|".join(patterns)


ASTM_GRADE = re.compile(
    rf"(?:(?P<astm>astm)\s*|(?=[af]\d))(?:{_astm_pattern()})(?![\w/]|[.,]\d)(?(astm)|(?!-\d))",
    re.IGNORECASE | re.ASCII,
)
"""``ASTM A193 Grade B7``, ``A574``, ``F593C``. Without *ASTM* it may be a number of another kind: no blank
may stand in it, nor a figure follow a hyphen."""

GRADE = re.compile(
    r"""
    (?P<named>(?:sae\s*)?(?:j\s?429\s*)?(?:grade|gr|sae|j\s?429)\.?\s*-?\s*(?P<grade>\d{1,2}(?:\.\d)?))
  | (?:(?:property\s*)?(?:class|cl)\.?\s*)(?P<classed>\d{1,2}\.\d)
  | (?P<bare>\d{1,2}\.\d)
  | a(?P<steel>[1-5])(?:[\s/-]?(?P<strength>50|70|80|100))?
    """,
    re.IGNORECASE | re.ASCII | re.VERBOSE,
)


def canonical_grade(text: str, thread: Thread | None = None) -> str:
    """Our spelling of a grade: ``SAE 8``, ``8.8``, ``A2-70``; one not known stays as it is, cleaned.

    ``Grade 8`` is an SAE grade, save on a metric thread; a bare ``8`` is one only on an inch thread.
    """
    plain = clean(text)
    if plain in SAE_GRADES and thread is not None and thread.series != "M":
        return f"SAE {plain}"
    if ASTM_GRADE.fullmatch(plain):
        return astm_grade(plain) or plain
    found = GRADE.fullmatch(plain)
    return (found and matched_grade(found, thread)) or plain


def astm_grade(text: str) -> str:
    """Our spelling of a text that ``ASTM_GRADE`` matches whole, ``ASTM A193 B7``; "" if it is not listed."""
    odd = re.search(r"307[\s-]+[a-z]$|593[\s-]+[a-z]$", text, re.IGNORECASE)
    return "" if odd else _ASTM.get(re.sub(r"astm|gr(?:ade)?|[^a-z0-9]", "", text.casefold()), "")


def is_listed_grade(grade: str) -> bool:
    """Whether a grade in our spelling is one that a standard lists."""
    if grade in _ASTM.values():
        return True
    found = GRADE.fullmatch(grade)
    return found is not None and matched_grade(found) == grade


STEELS_BY_NUMBER = frozenset({"18-8", "18/8", "303", "304", "316", "316L"})
"""Stainless steels that stand in a grade column by their numbers: a material, no strength grade."""


def is_known_grade(grade: str) -> bool:
    """Whether a grade is listed, or is a steel by its number."""
    return is_listed_grade(grade) or grade.removesuffix(" SS") in STEELS_BY_NUMBER


def matched_grade(found: re.Match[str], thread: Thread | None = None) -> str:
    """The grade of a match of ``GRADE`` in our spelling, or "" where no standard lists it."""
    if steel := found["steel"]:
        return f"A{steel}-{found['strength']}" if found["strength"] else f"A{steel}"
    number = found["grade"] or found["classed"] or found["bare"]
    named_sae = "sae" in found[0].casefold() or "429" in found[0]
    if number in PROPERTY_CLASSES and not named_sae:
        return number
    metric = thread is not None and thread.series == "M"
    if found["named"] and number in SAE_GRADES and (named_sae or not metric):
        return f"SAE {number}"
    return ""
