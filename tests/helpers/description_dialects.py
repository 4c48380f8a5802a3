"""Bolts written in many dialects, and a strict grammar of those dialects that knows nothing of the reader.

``writings`` draws a bolt and a text that says it. ``bolts_written_as`` answers which bolts a text is a
writing of, by tables and one regular expression of its own; it shares no code with the reader. A text may be
called ambiguous between two bolts only if it is a writing of the other one.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from hypothesis import strategies as st

from reconcile.standards import METRIC as METRIC_SIZES
from reconcile.standards import UNIFIED, inch_thread, metric_pitches, metric_thread
from reconcile.values.stock.parts import Bolt

INCH = Fraction(254, 10)
LONGEST = 12 * INCH
SHORTEST_METRIC = 2

# Threads: every spelling of every listed one.


def decimals(value, least=0):
    """0.25 as ".25", "0.250" and so on; None where decimals never end."""
    for places in range(least, 8):
        if (value * 10**places).denominator == 1:
            digits = str(int(value * 10**places)).rjust(places + 1, "0")
            return f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return None


def inch_spellings():
    for size, (major, coarse, fine) in UNIFIED.items():
        sizes = [size, size.replace("#", "No. ")] if size[0] == "#" else [size, f'{size}"']
        sizes += [
            text for places in (1, 2, 3, 4) for text in (decimals(major, places), decimals(major, places)[1:])
        ]
        for tpi, series in ((coarse, "UNC"), (fine, "UNF")):
            thread = inch_thread(size, tpi)
            for each in sizes:
                yield f"{each}-{tpi}", thread
                yield f"{each}-{tpi} {series}", thread
                yield f"{each}-{tpi}{series}-2A", thread
            yield f"{size}-{tpi} {series}-3A", thread
            yield f"{size} {series}", thread
            if size[0] == "#":
                yield f"{size[1:]}-{tpi}", thread
                yield f"{size[1:]}-{tpi} {series}", thread
            else:
                yield f'{size}" x {tpi} tpi', thread


def metric_spellings():
    for diameter in METRIC_SIZES:
        name = f"M{decimals(diameter)}"
        yield name, metric_thread(diameter)
        yield name.replace("M", "M "), metric_thread(diameter)
        yield f"M{decimals(diameter, 1)}", metric_thread(diameter)
        for pitch in metric_pitches(diameter):
            thread = metric_thread(diameter, pitch)
            texts = {decimals(pitch, places) for places in range(5)}
            for text in texts | {each.removeprefix("0") for each in texts}:
                for by in ("x", " x ", "-"):
                    yield f"{name}{by}{text}", thread
                    yield f"M{decimals(diameter, 1)}{by}{text}", thread
                    yield f"M {decimals(diameter)}{by}{text}", thread
            yield f"{name}x{decimals(pitch, 1)}-6g", thread


THREADS = {
    text.casefold(): thread
    for spellings in (inch_spellings(), metric_spellings())
    for text, thread in spellings
}

# Heads, with whether the words also say that the bolt is threaded to the head.

HEADS = {
    "socket cap": ["SHCS", "socket cap", "SOC HD CAP SCR", "skt cap screw", "hex socket head cap screw",
                   "ISO 4762", "DIN 912", "Screw, socket head cap"],
    "low socket cap": ["low socket cap", "low head socket cap screw", "DIN 7984"],
    "button": ["BHCS", "button", "BTN HD CAP SCR", "button head screw", "ISO 7380-1", "ISO 7380", "BHSCS"],
    "button flange": ["button flange", "ISO 7380-2"],
    "countersunk": ["FHCS", "countersunk", "csk screw", "flat head socket cap screw", "ISO 10642", "FHSCS",
                    "DIN 7991"],
    "hex": ["hex", "HHCS", "BOLT HEX", "hex bolt", "hex cap screw", "hex head cap screw", "hex head screw",
            "hex screw", "ISO 4014", "DIN 931",
            "hexagon head bolt"],
    "hex flange": ["hex flange", "flange bolt hex", "DIN 6921", "ISO 4162", "ISO 15071"],
    "hex washer": ["hex washer", "hex washer head screw"],
    "socket set": ["socket set", "SOC SET SCR", "hex socket set screw"],
    "shoulder": ["shoulder bolt", "shoulder screw", "SHLDR SCR"],
    "pan": ["pan head screw", "PAN HD"],
    "round": ["round head screw", "RND HD"],
    "cheese": ["cheese head screw"],
    "truss": ["truss head screw"],
    "oval": ["oval head screw", "oval csk screw"],
}  # fmt: skip
FULL_HEADS = ["hex set", "HEX SET SCREW", "ISO 4017", "DIN 933"]
HEAD_OF = {text.casefold(): (head, False) for head, texts in HEADS.items() for text in texts}
HEAD_OF |= {text.casefold(): ("hex", True) for text in FULL_HEADS}

FULLY = ["fully threaded", "full thd", "FT"]
FINISHES = [
    "BLK OX",
    "ZP",
    "SS",
    "zinc plated",
    "18-8",
    "316 SS",
    "SS304",
    "18/8",
    "304 SS",
    "303 SS",
    "SS316",
]

SAE = ("1", "2", "4", "5", "5.1", "5.2", "7", "8", "8.1", "8.2")
CLASSES = ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9")
STEELS = [f"A{kind}" for kind in "12345"] + [f"A{kind}-{rm}" for kind in "12345" for rm in (50, 70, 80, 100)]
STEELS = [each for each in STEELS if each not in ("A1", "A3", "A5")]
ASTM_WITHIN = {
    **dict.fromkeys(("A325", "A449", "A490", "A574", "F594", "F835", "F837", "F879", "F880", "F912"), ()),
    "A193": ("B5", "B6", "B7", "B7M", "B8", "B8C", "B8M", "B8T", "B16"),
    "A320": ("L7", "L7A", "L7B", "L7C", "L7M", "L43", "B8", "B8C", "B8M", "B8T"),
    "A354": ("BC", "BD"),
    "F3125": ("A325", "A490"),
}


def astm_spellings():
    """Text and grade of ASTM specifications, with and without the grade within them."""
    for lead in ("ASTM ", ""):
        for specification, within in ASTM_WITHIN.items():
            yield f"{lead}{specification}", f"ASTM {specification}"
            for grade in within:
                for between in (" ", "-", " Gr ", " Grade ", " Gr."):
                    yield f"{lead}{specification}{between}{grade}", f"ASTM {specification} {grade}"
        yield f"{lead}A307", "ASTM A307"
        for grade in "ABC":
            yield from (
                (f"{lead}A307 {each} {grade}", f"ASTM A307 grade {grade}") for each in ("grade", "gr")
            )
        yield from ((f"{lead}F593{grade}", f"ASTM F593{grade}") for grade in ("", *"CDGH"))


def grade_spellings():
    """Text, grade, and whether an inch thread is needed to understand it."""
    for number in SAE:
        yield from ((text, f"SAE {number}", False) for text in (f"SAE {number}", f"SAE J429 grade {number}"))
        yield from (
            (text, f"SAE {number}", True)
            for text in (f"GR {number}", f"GR{number}", f"GR.{number}", f"Grade {number}")
        )
    for number in CLASSES:
        yield from (
            (f"{lead}{number}", number, False)
            for lead in ("", "class ", "cl. ", "grade ", "GR ", "GR", "GR.")
        )
    for steel in STEELS:
        yield from ((text, steel, False) for text in (steel, steel.replace("-", " ")))
    yield from ((text, grade, False) for text, grade in astm_spellings())


GRADES = {text.casefold(): (grade, inch) for text, grade, inch in grade_spellings()}

# Lengths.

GLYPHS = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}
UNITS = {
    "": None,
    " in": INCH,
    "in": INCH,
    '"': INCH,
    ' "': INCH,
    " mm": Fraction(1),
    "mm": Fraction(1),
    " cm": Fraction(10),
    "cm": Fraction(10),
}
LENGTH = rf"""
    (?: (?:(?P<whole>[1-9]\d{{0,2}})[ -])? (?P<above>[1-9]\d{{0,2}})/(?P<below>[1-9]\d{{0,2}})
      | (?P<glyphed>[1-9]\d{{0,2}})?[ -]?(?P<glyph>[{"".join(GLYPHS.values())}])
      | (?P<decimal>(?:0|[1-9]\d{{0,2}})?[.,]\d{{1,7}} | [1-9]\d{{0,2}}) )
    (?P<unit>\ in|in|"|\ "|\ mm|mm|\ cm|cm)?
    (?:\ ?(?:lg|long))?
"""
ANY = lambda texts: "|".join(re.escape(text) for text in sorted(texts, key=len, reverse=True))  # noqa: E731
SEP = r"(?:(?:\ ?,|\ ?-)*\ |,|-|\ -)"
BY = r"\ ?[x×*]\ ?"
ENDS = r"(?:,|\ -|-)*"
TAIL = rf"(?:{SEP}(?P<full>{ANY(FULLY)}))?(?:{SEP}(?P<grade>{ANY(GRADES)}))?(?:{SEP}(?:{ANY(FINISHES)}))?"
SIZE = rf"(?P<thread>{ANY(THREADS)}){BY}(?:{LENGTH})"
LAYOUTS = [
    re.compile(pattern, re.IGNORECASE | re.VERBOSE)
    for pattern in (
        rf"(?P<head>{ANY(HEAD_OF)}){SEP}{SIZE}{TAIL}{ENDS}",
        rf"{SIZE}{SEP}(?P<head>{ANY(HEAD_OF)}){TAIL}{ENDS}",
        rf"{SIZE}(?:{SEP}(?P<grade>{ANY(GRADES)})){SEP}(?P<head>{ANY(HEAD_OF)}){ENDS}",
    )
]


def bolts_written_as(text):
    """Every bolt that this text is a writing of; blanks are taken as one, capitals as small letters."""
    plain = " ".join(text.split())
    found = [layout.fullmatch(plain) for layout in LAYOUTS]
    return {bolt for each in found if each and (bolt := _bolt(each.groupdict())) is not None}


def _bolt(said):
    thread = THREADS[said["thread"].casefold()]
    length = _length(said, thread)
    grade, needs_inch = GRADES[said["grade"].casefold()] if said.get("grade") else ("", False)
    if length is None or (needs_inch and thread.unit == "mm"):
        return None
    head, full = HEAD_OF[said["head"].casefold()]
    return Bolt(thread, length, head, grade, length if full or said.get("full") else None)


def _length(said, thread):
    text = (said["unit"] or "").casefold()
    unit = UNITS[text] or (INCH if thread.unit == "in" else Fraction(1))
    if said["decimal"]:
        if re.fullmatch(r"[1-9]\d{0,2},\d{3}", said["decimal"]):
            return None  # thousands, or three decimals: nobody can tell
        number = Fraction(said["decimal"].replace(",", "."))
        if re.search(r"[.,]\d{5}", said["decimal"]) and number * 128 % 1 and number * unit / INCH * 128 % 1:
            return None  # only the decimals of a fraction down to 1/128 are that many
    else:
        whole, fraction = said["whole"] or said["glyphed"] or 0, said["glyph"]
        if unit == 10:
            return None  # nobody divides a centimetre
        if not fraction:
            above, below = int(said["above"]), int(said["below"])
            odd = above >= below or math.gcd(above, below) > 1 or below > 128
            if odd or (unit == INCH and 128 % below):
                return None
            fraction = f"{above}/{below}"
        else:
            fraction = next(plain for plain, glyph in GLYPHS.items() if glyph == fraction)
        if thread.unit == "mm" and not text:
            return None  # a fraction on a metric thread is of what?
        number = int(whole) + Fraction(fraction)
    length = number * unit
    too_short = thread.unit == "mm" and length < SHORTEST_METRIC
    return None if too_short or not 0 < length <= LONGEST else length


# Writing.


def number_spellings(number):
    """A number of inches or millimetres in every way the dialects write it."""
    whole, part = divmod(number, 1)
    if part:
        fraction = f"{part.numerator}/{part.denominator}"
        yield from ([f"{whole} {fraction}", f"{whole}-{fraction}"] if whole else [fraction])
        if fraction in GLYPHS:
            yield f"{whole or ''}{GLYPHS[fraction]}"
    if (text := decimals(number)) is not None:
        yield from {text, decimals(number, 2), text.removeprefix("0") if "." in text else text}
        if len(text.partition(".")[2]) < 3:
            yield text.replace(".", ",")


LENGTH_ALONE = re.compile(LENGTH, re.IGNORECASE | re.VERBOSE)


@cache
def length_spellings(length, thread):
    """Every writing of a length in mm for this thread: those that the grammar reads back as it."""
    numbers = {}
    for size in {*UNITS.values()}:
        measure = size or (INCH if thread.unit == "in" else 1)
        numbers[size] = list(number_spellings(length / measure))
    texts = {f"{number}{unit}" for unit, size in UNITS.items() for number in numbers[size]}
    good = (
        each
        for each in sorted(texts)
        if (found := LENGTH_ALONE.fullmatch(each)) and _length(found.groupdict(), thread) == length
    )
    return [f"{each}{behind}" for each in good for behind in ("", " LG", " long")]


@dataclass(frozen=True)
class Writing:
    bolt: Bolt
    text: str


INCH_LENGTHS = st.integers(1, 12 * 16).map(lambda n: n * INCH / 16)
MM_LENGTHS = st.one_of(
    st.integers(2, 300).map(Fraction), st.integers(20, 3000).map(lambda n: Fraction(n, 10))
)


ANY_THREAD = st.sampled_from(sorted(THREADS))
ANY_HEAD = st.sampled_from(sorted(HEAD_OF))
ANY_GRADE = {
    "in": st.sampled_from(["", *sorted(GRADES)]),
    "mm": st.sampled_from(["", *sorted(text for text, (_, needs_inch) in GRADES.items() if not needs_inch)]),
}
ANY_LAYOUT = st.sampled_from(["head first", "size first", "grade between"])
ANY_BY = st.sampled_from([" x ", "x", " × "])
ANY_SEPARATOR = st.sampled_from([" ", ", ", " - "])
ANY_FULLY = st.sampled_from(["", "", *FULLY])
ANY_FINISH = st.sampled_from(["", *FINISHES])


@st.composite
def writings(draw):
    """A bolt and one of its writings."""
    thread_text = draw(ANY_THREAD)
    thread = THREADS[thread_text]
    usual, other = (INCH_LENGTHS, MM_LENGTHS) if thread.unit == "in" else (MM_LENGTHS, INCH_LENGTHS)
    length = draw(st.one_of(usual, usual, usual, other).filter(lambda mm: thread.unit == "in" or mm >= 2))
    length_text = draw(st.sampled_from(length_spellings(length, thread)))
    head_text = draw(ANY_HEAD)
    head, is_full = HEAD_OF[head_text]
    grade_text = draw(ANY_GRADE[thread.unit])
    grade = GRADES[grade_text][0] if grade_text else ""
    size = f"{thread_text}{draw(ANY_BY)}{length_text}"
    layout = draw(ANY_LAYOUT)
    if layout == "grade between" and grade_text:
        pieces = [size, grade_text, head_text]
    else:
        full_text = "" if layout == "grade between" else draw(ANY_FULLY)
        tail = [full_text, grade_text, draw(ANY_FINISH)]
        pieces = [*([head_text, size] if layout == "head first" else [size, head_text]), *tail]
        is_full = is_full or bool(full_text)
    text = pieces[0]
    for piece in pieces[1:]:
        text += f"{draw(ANY_SEPARATOR)}{piece}" if piece else ""
    if draw(st.booleans()):
        text = text.upper()
    return Writing(Bolt(thread, length, head, grade, length if is_full else None), text)
