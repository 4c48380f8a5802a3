"""A bolt's description to a bolt, by a tokenizer that keeps the place of every token.

Descriptions come in many dialects: ``SHCS 1/4-20 x 2-1/2 BLK OX``, ``ISO 4762 - M6 x 30 - 8.8``. What
cannot be read is kept beside what can. A length or a pitch is never guessed: where the text allows two
readings there is a fault and no bolt, because a wrong length on a chair hurts someone.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from string import ascii_lowercase
from typing import Any, Generic, TypeVar

from reconcile.sheets.amounts import (
    MILLIMETRES,
    Unreadable,
    canonical_unit,
    clean,
    clean_with_places,
    read_number,
)
from reconcile.sheets.fasteners import (
    BOLT_WORDS,
    CODE_WORDS,
    FULLY_THREADED_CODES,
    GRADE,
    HEAD_CODES,
    HEAD_NOUNS,
    HEAD_WORDS,
    INCH_THREAD,
    METRIC_CLASS,
    METRIC_PITCH,
    METRIC_SIZE,
    PROPERTY_CLASSES,
    STANDARD,
    canonical_grade,
    decimal_fraction,
    head_of,
    listed_metric_thread,
    matched_grade,
    matched_inch_thread,
    standard_code,
)
from reconcile.standards import metric_pitches
from reconcile.values.parts import Bolt, Thread

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Found(Generic[T]):
    """A value and where it stands in the description as it was given: ``text[start:end]``."""

    value: T
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class DescriptionRead:
    """What a description says. ``bolt`` is there only if thread, length and head are, and no fault."""

    bolt: Bolt | None = None
    thread: Found[Thread] | None = None
    length: Found[Fraction] | None = None
    """In mm."""
    head: Found[str] | None = None
    grade: Found[str] | None = None
    fully_threaded: Found[bool] | None = None
    finish: str = ""
    """The finish words as they were written: ``BLK OX``."""
    unread: tuple[Found[str], ...] = ()
    """Tokens that were not understood, as they were written."""
    fault: Found[str] | None = None
    """A sentence about what cannot be read or contradicts itself, and where that stands."""
    kind: str = ""
    """"bolt", "nut", "washer", "spacer", or "" where the words do not say."""
    looks_like_bolt: bool = False
    """It has a thread, or a bolt word and a length, and nothing says that it is another part."""

    @property
    def lacks(self) -> tuple[str, ...]:
        """Which of thread, length and head could not be read."""
        parts = {"thread": self.thread, "length": self.length, "head": self.head}
        return tuple(name for name, found in parts.items() if found is None)


@lru_cache(maxsize=10_000)
def read_description(text: str) -> DescriptionRead:
    """Read a bolt's thread, length, head and grade out of its description; never raises.

    Lengths without a unit are inches after an inch thread, millimetres after a metric one.
    """
    return _Reading(text).result()


SHORTEST_METRIC = Fraction(2)
"""The shortest preferred length, mm (ISO 888, from memory). It lies above every pitch that is listed, so a
pitch that was not seen as one is never taken for a length."""

# What every bolt's description has somewhere: the beginning of a thread, or a word or code for a bolt.
_THREADS_BEGIN = (r"(?:#|no\.?|number)\s*\d", r"\d\s*-\s*\d", r"\.\d", r"\d/\d", r"m\s?\d")
_HINT = re.compile("|".join((*_THREADS_BEGIN, *BOLT_WORDS, *CODE_WORDS)), re.IGNORECASE)


def hints_at_bolt(text: str) -> bool:
    """Whether the text may describe a bolt at all; a cheap look before it is read.

    Where it says no, ``read_description`` finds neither a thread nor the kind "bolt".
    """
    return _HINT.search(clean(text)) is not None


# Tokens.


@dataclass(slots=True, eq=False)  # not frozen: that trebles the time to make one, and there are many
class _Token:
    kind: str
    """thread, by, number, bad, grade, standard, word or stray."""
    start: int
    end: int
    text: str
    value: Any = None


_BLANKS = re.compile(r"(?:[\s,;:()\[\]-]|\.(?!\d))+")
_BY = re.compile(r"(?:[x×*]|by\b)\s*(?=[-.\d])", re.IGNORECASE)
_NUMBER = re.compile(
    r"""(?P<number>(?:(?P<whole>\d+)(?:\s|-))?\d+\s?/\s?\d+ | \d*(?:[.,]\d+)+ | \d+)
        (?:\s*(?P<unit>(?:mm|cm|inch(?:es)?|ins?)(?![a-z0-9])\.? | "))?""",
    re.IGNORECASE | re.ASCII | re.VERBOSE,
)
_NUMBER_ENDS = re.compile(r"$|[\s,;:()\[\]-]|\.(?!\d)|[x×*]\s*[.\d]", re.IGNORECASE | re.ASCII)
_HYPHEN_DIGIT = re.compile(r"-\d")
_GRADE_GOES_ON = re.compile(r"\w|/|[.,]\d")
_RUNS_ON = re.compile(r"\s*(?:-\s*(?=[.\d])|/|')")
_FOREIGN_UNIT = re.compile(r"\s*(?:m|foot|feet|yd)(?![\w.]|\s*\d)", re.IGNORECASE)
_UNIT_AHEAD = re.compile(r'\s*(?:mm|cm|inch|in\b|ins\b|"|/)|\s+\d+\s*/', re.IGNORECASE)
_LENGTH_AHEAD = re.compile(r"\s*[x×*]\s*[.\d]", re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_][\w'&+]*")
_HYPHENED = re.compile(r"[^\W\d_]\w*(?:-\w+)+")
_ASTM = re.compile(r"astm\s*[af]\s?\d{3,4}(?!\w)", re.IGNORECASE)
_CHUNK = re.compile(r"\S+")

SHORTEST_NOT_A_PITCH = 2
"""mm: no listed metric pitch reaches it and no preferred length lies below it, so ``M6x30`` is a length
and ``M6x1`` a pitch."""


def _tokens(plain: str) -> list[_Token]:
    tokens: list[_Token] = []
    position = 0
    while position < len(plain):
        after_by = bool(tokens) and tokens[-1].kind == "by"
        if not after_by and (blanks := _BLANKS.match(plain, position)):
            position = blanks.end()
            continue
        tokens.append(_token(plain, position, after_by))
        position = tokens[-1].end
    return tokens


def _token(plain: str, position: int, after_by: bool) -> _Token:
    """The token that starts here; after an ``x`` only a number will do."""
    if after_by:
        return _number(plain, position) or _chunk(plain, position)
    char = plain[position]
    for lexer in _LEXERS_FOR.get(char, _LEXERS):
        if (token := lexer(plain, position)) is not None:
            return token
    return _Token("stray", position, position + 1, char)


def _matched(kind: str, found: re.Match[str], value: Any = None) -> _Token:
    return _Token(kind, found.start(), found.end(), found[0], value)


def _chunk(plain: str, position: int) -> _Token:
    """Everything up to the next blank, as one token that starts like a number but is none."""
    found = _CHUNK.match(plain, position)
    assert found is not None, "a token starts at a character that is no blank"
    return _matched("bad", found)


def _standard(plain: str, position: int) -> _Token | None:
    found = STANDARD.match(plain, position)
    return _matched("standard", found, standard_code(found)) if found else None


def _inch_thread(plain: str, position: int) -> _Token | None:
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


def _metric_thread(plain: str, position: int) -> _Token | None:
    size = METRIC_SIZE.match(plain, position)
    if not size:
        return None
    end, pitch = size.end(), None
    if (found := METRIC_PITCH.match(plain, end)) and _is_pitch(size["diameter"], found, plain):
        end, pitch = found.end(), decimal_fraction(found["pitch"])
    if found := METRIC_CLASS.match(plain, end):
        end = found.end()
    thread = _thread_or_fault(lambda: listed_metric_thread(size["diameter"], pitch))
    return _Token("thread", position, end, plain[position:end], thread)


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


def _grade(plain: str, position: int) -> _Token | None:
    if found := _ASTM.match(plain, position):
        return _matched("grade", found, found)
    found = GRADE.match(plain, position)
    if not found or _GRADE_GOES_ON.match(plain, found.end()):
        return None
    if found["steel"] and not found["strength"] and found["steel"] not in "24":
        return None
    if found["bare"] and (found["bare"] not in PROPERTY_CLASSES or _measures(plain, found.end())):
        return None
    return _matched("grade", found, found) if matched_grade(found) or found["named"] else None


def _measures(plain: str, end: int) -> bool:
    """Whether a unit, a fraction or another dimension follows: then a number is no grade."""
    return bool(_UNIT_AHEAD.match(plain, end) or _LENGTH_AHEAD.match(plain, end))


def _number(plain: str, position: int) -> _Token | None:
    found = _NUMBER.match(plain, position)
    if not found:
        return None
    if found["whole"] and _inch_thread(plain, found.end("whole") + 1):
        # "100 1/4-20" is a count before a thread, not 100 1/4.
        return _Token("number", position, found.end("whole"), found["whole"], (found["whole"], ""))
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


def _by(plain: str, position: int) -> _Token | None:
    found = _BY.match(plain, position)
    return _matched("by", found) if found else None


def _word(plain: str, position: int) -> _Token | None:
    """A word; letters and digits joined by hyphens are one word, unless it begins with one we know."""
    found = _WORD.match(plain, position)
    if not found:
        return None
    joined = _HYPHENED.match(plain, position)
    if joined and any(char.isdigit() for char in joined[0]) and found[0].casefold() not in _KNOWN_WORDS:
        found = joined
    return _matched("word", found, found[0].casefold())


_LEXERS: Sequence[Callable[[str, int], _Token | None]] = (
    _standard,
    _inch_thread,
    _metric_thread,
    _grade,
    _number,
    _by,
    _word,
)
_STARTS: Mapping[Callable[[str, int], _Token | None], str] = {
    _standard: "id",
    _inch_thread: "#n.0123456789",
    _metric_thread: "m",
    _grade: "sjgpca0123456789",
    _number: ".,0123456789",
    _by: "x*b",
    _word: ascii_lowercase,
}
"""The ASCII characters, in small letters, that each kind of token may start with: most need not be tried."""
_LEXERS_FOR = {
    char: tuple(lexer for lexer in _LEXERS if char.lower() in _STARTS[lexer]) for char in map(chr, range(128))
}


# Words.

KIND_WORDS = {
    **dict.fromkeys(("nut", "nuts", "locknut", "locknuts"), "nut"),
    **dict.fromkeys(("washer", "washers", "wshr", "wshrs"), "washer"),
    **dict.fromkeys(("spacer", "spacers", "standoff", "standoffs"), "spacer"),
}
_FINISH_WORDS = frozenset(
    (
        *(
            "ss",
            "stainless",
            "steel",
            "alloy",
            "zp",
            "bzp",
            "zinc",
            "zn",
            "plated",
            "plate",
            "clear",
            "yellow",
        ),
        *(
            "blk",
            "black",
            "ox",
            "oxide",
            "galv",
            "galvanised",
            "galvanized",
            "hdg",
            "phosphate",
            "phosphated",
        ),
        *("plain", "passivated", "nickel", "chrome", "finish"),
    )
)
_EVERYDAY_HEADS = frozenset({"pan", "round", "oval", "shoulder", "truss", "low", "flat", "cheese"})
"""Words that name a head only beside another word of one: a seat pan and a shoulder strap do not."""
_FULL_WORDS = frozenset({"ft", "fthd"})
_FULLY_BEFORE = frozenset({"full", "fully"})
_THREAD_WORDS = frozenset({"thread", "threads", "threaded", "thd", "thrd"})
_LONG_WORDS = frozenset({"long", "lg", "length", "lgth"})
_NOT_A_LENGTH = frozenset({"af", "dia", "od", "id", "thk", "thick", "wide", "key", "drive", "tpi", "pitch"})
_QUIET_WORDS = frozenset({"en", "bs", "din", "iso", "asme", "ansi", "machine", "drive", "with", "and", "rh"})
_KNOWN_WORDS = frozenset(
    (
        *HEAD_WORDS,
        *HEAD_NOUNS,
        *BOLT_WORDS,
        *CODE_WORDS,
        *KIND_WORDS,
        *_FINISH_WORDS,
        *_FULL_WORDS,
        *_FULLY_BEFORE,
        *_THREAD_WORDS,
        *_LONG_WORDS,
        *_QUIET_WORDS,
    )
)
_NAMES_OF_BOLTS = BOLT_WORDS | CODE_WORDS
_BESIDE_HEADS = BOLT_WORDS | HEAD_NOUNS
_QUIET = _KNOWN_WORDS - frozenset(HEAD_WORDS) - frozenset(KIND_WORDS)
"""Words that are known and say nothing of a kind or a head: they are not remarked on when left over."""


class _Reading:
    """One description while it is read: its tokens, and what has been understood so far."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.plain, self.places = clean_with_places(text)
        self.tokens = _tokens(self.plain)
        self.words = [token.value if token.kind == "word" else "" for token in self.tokens]
        self.understood: set[int] = set()
        self.faults: list[Found[str]] = []
        self.named = self.naming()

    def result(self) -> DescriptionRead:
        kind = self.kind()
        thread = self.thread()
        length = self.length(thread.value if thread else None)
        head = self.head()
        grade = self.grade(thread.value if thread else None)
        full = self.fully_threaded(head.value if head else "")
        finish = self.finish()
        self.left_hand()
        fault = None if kind not in ("", "bolt") else min(self.faults, key=_start, default=None)
        bolt = None
        if thread and length and head and not fault and kind in ("", "bolt"):
            threaded = length.value if full else None
            bolt = Bolt(thread.value, length.value, head.value, grade.value if grade else "", threaded)
        return DescriptionRead(
            bolt=bolt,
            thread=thread,
            length=length,
            head=head,
            grade=grade,
            fully_threaded=full,
            finish=finish,
            unread=self.unread(),
            fault=fault,
            kind="bolt" if bolt else kind,
            looks_like_bolt=kind in ("", "bolt") and self.looks_like_bolt(head is not None),
        )

    # Places.

    def found(self, value: T, first: int, last: int | None = None) -> Found[T]:
        """The value with its place in the description as given; tokens by number."""
        start, end = self.tokens[first].start, self.tokens[first if last is None else last].end
        return Found(value, self.places[start], self.places[end - 1] + 1)

    def fault(self, says: str, token: int) -> None:
        self.faults.append(self.found(says, token))

    def of_kind(self, kind: str) -> Iterable[tuple[int, _Token]]:
        return ((number, token) for number, token in enumerate(self.tokens) if token.kind == kind)

    def word_at(self, number: int) -> str:
        return self.words[number] if 0 <= number < len(self.words) else ""

    # What the words say.

    def naming(self) -> list[int]:
        """The words that name the thing itself; those after "for" tell what it is used on."""
        end = self.words.index("for") if "for" in self.words else len(self.words)
        return [number for number in range(end) if self.words[number]]

    def is_washer_head(self, number: int) -> bool:
        return self.words[number] == "washer" and (
            self.word_at(number + 1) in HEAD_NOUNS or HEAD_WORDS.get(self.word_at(number - 1)) == "hex"
        )

    def kind(self) -> str:
        for number in self.named:
            if self.words[number] in KIND_WORDS and not self.is_washer_head(number):
                self.understood.add(number)
                return KIND_WORDS[self.words[number]]
        return "bolt" if any(self.words[number] in _NAMES_OF_BOLTS for number in self.named) else ""

    def is_head_word(self, number: int) -> bool:
        word = self.words[number]
        if word == "set":
            before, after = self.word_at(number - 1), self.word_at(number + 1)
            return before in HEAD_WORDS or before in HEAD_NOUNS or after in BOLT_WORDS
        if word in _EVERYDAY_HEADS and not self.stands_as_head(number):
            return False
        return word in HEAD_WORDS or word in HEAD_NOUNS or self.is_washer_head(number)

    def stands_as_head(self, number: int) -> bool:
        """Whether an everyday word stands beside other words of a head, or between commas."""
        token, before, after = self.tokens[number], self.word_at(number - 1), self.word_at(number + 1)
        if before == "seat":
            return False
        heads = (HEAD_WORDS, HEAD_NOUNS, BOLT_WORDS)
        if any(word in known for word in (before, after) for known in heads):
            return True
        left, right = self.plain[: token.start].rstrip(), self.plain[token.end :].lstrip()
        return left.endswith(",") and right[:1] in ("", ",")

    def head(self) -> Found[str] | None:
        words = [number for number in self.named if self.is_head_word(number)]
        codes = [number for number in self.named if self.words[number] in CODE_WORDS]
        codes += [number for number, token in self.of_kind("standard") if token.value in HEAD_CODES]
        said = sorted({*words, *codes})
        self.understood.update(n for n, word in enumerate(self.words) if word in _BESIDE_HEADS)
        if not said:
            return None
        head = head_of([self.words[n] for n in words], [self.tokens[n].value for n in codes])
        if head is None:
            names = " and ".join(f'"{self.tokens[number].text}"' for number in said)
            self.fault(f"{names} name different heads.", said[-1])
        if not head:
            return None
        self.understood.update(said)
        return self.found(head, said[0], said[-1])

    def fully_threaded(self, head: str) -> Found[bool] | None:
        first: int | None = None
        for number, token in enumerate(self.tokens):
            if not self.words[number] and token.kind != "standard":
                continue
            last = self.full_until(number, token, head)
            if last is not None:
                self.understood.update(range(number, last + 1))
                first = number if first is None else first
        return None if first is None else self.found(True, first)

    def full_until(self, number: int, token: _Token, head: str) -> int | None:
        """The last token of words that say "threaded to the head", if they start here."""
        word = self.words[number]
        if word in _FULLY_BEFORE and self.word_at(number + 1) in _THREAD_WORDS:
            return number + 1
        to_the_head = (
            word in _FULL_WORDS
            or (token.kind == "standard" and token.value in FULLY_THREADED_CODES)
            or (head == "hex" and HEAD_WORDS.get(word) == "set" and self.is_head_word(number))
        )
        return number if to_the_head else None

    def finish(self) -> str:
        said = [number for number, word in enumerate(self.words) if word in _FINISH_WORDS]
        self.understood.update(said)
        return " ".join(self.tokens[number].text for number in said)

    def left_hand(self) -> None:
        for number, word in enumerate(self.words):
            if word == "lh" or (word == "left" and self.word_at(number + 1).startswith("hand")):
                self.fault("The thread is left-hand, and no listed one is.", number)

    # What the numbers say.

    def thread(self) -> Found[Thread] | None:
        threads: list[Found[Thread]] = []
        for number, token in self.of_kind("thread"):
            if isinstance(token.value, Unreadable):
                self.fault(token.value.says, number)
                continue
            self.understood.add(number)
            threads.append(self.found(token.value, number))
        return self.agreed(threads, "threads")

    def length(self, thread: Thread | None) -> Found[Fraction] | None:
        lengths: list[Found[Fraction]] = []
        for number in range(len(self.tokens)):
            if not self.may_be_length(number):
                continue
            try:
                length = self.length_of(number, thread)
            except Unreadable as unread:
                self.fault(unread.says, number)
                continue
            if length is not None:
                self.understood.update((number, number - 1) if self.after_by(number) else (number,))
                lengths.append(self.found(length, number))
        return self.agreed(lengths, "lengths")

    def after_by(self, number: int) -> bool:
        return number > 0 and self.tokens[number - 1].kind == "by"

    def may_be_length(self, number: int) -> bool:
        """A number after an ``x``, with a unit, before "long", or a fraction: nothing else is one."""
        token = self.tokens[number]
        if self.after_by(number):
            return True
        if token.kind != "number" or self.word_at(number + 1) in _NOT_A_LENGTH:
            return False
        text, unit = token.value
        return bool(unit) or self.word_at(number + 1) in _LONG_WORDS or ("/" in text and self.has_thread())

    def has_thread(self) -> bool:
        return any(True for _ in self.of_kind("thread"))

    def length_of(self, number: int, thread: Thread | None) -> Fraction | None:
        """The length in mm, or None where neither a unit nor a thread says what it is measured in."""
        token = self.tokens[number]
        if token.kind != "number" or self.word_at(number + 1) in _NOT_A_LENGTH:
            raise Unreadable("length-unreadable", f'"{token.text}" is not a length that can be read.')
        text, written = token.value
        if _size(text, "mm") <= 0:
            raise Unreadable("length-unreadable", f'"{token.text}" is not a length.')
        if thread is None:
            return _size(text, written) if written else None
        if not written and "/" in text and (thread.unit == "mm" or not self.after_by(number)):
            raise Unreadable(
                "length-unreadable", f'"{token.text}" may be a length, but its unit is not said.'
            )
        length = _size(text, written or thread.unit)
        if thread.unit == "mm" and length < SHORTEST_METRIC:
            raise Unreadable(
                "length-unreadable", f'"{token.text}" is too short for a length; it may be a pitch.'
            )
        return length

    def grade(self, thread: Thread | None) -> Found[str] | None:
        grades: list[Found[str]] = []
        for number, token in self.of_kind("grade"):
            self.understood.add(number)
            grades.append(self.found(canonical_grade(token.text, thread), number))
        return self.agreed(grades, "grades")

    def agreed(self, found: Sequence[Found[T]], name: str) -> Found[T] | None:
        """The first, if all say the same; else a fault and nothing: it is not ours to choose."""
        other = next((each for each in found if each.value != found[0].value), None)
        if other is None:
            return found[0] if found else None
        written = " and ".join(f'"{self.text[each.start : each.end]}"' for each in (found[0], other))
        self.faults.append(Found(f"{written} are two different {name}.", other.start, other.end))
        return None

    # What is left.

    def unread(self) -> tuple[Found[str], ...]:
        return tuple(
            self.found(self.written(number), number)
            for number, token in enumerate(self.tokens)
            if number not in self.understood and self.words[number] not in _QUIET and token.kind != "by"
        )

    def written(self, number: int) -> str:
        token = self.tokens[number]
        return self.text[self.places[token.start] : self.places[token.end - 1] + 1]

    def looks_like_bolt(self, has_head: bool) -> bool:
        """A thread with a bolt word, a head or a length; or a bolt word with a length but no thread."""
        named = not _NAMES_OF_BOLTS.isdisjoint(self.words)
        length = any(self.may_be_length(number) for number in range(len(self.tokens)))
        return (self.has_thread() and (named or has_head or length)) or (named and length)


@lru_cache(maxsize=10_000)
def _size(text: str, unit: str) -> Fraction:
    """A number with its unit, in mm; the same few lengths come again in every row."""
    return read_number(text) * MILLIMETRES[canonical_unit(unit)]


def _start(found: Found[str]) -> int:
    return found.start
