"""A fastener's description to a bolt, nut, washer or spacer, with the place of every finding.

Descriptions come in many dialects: ``SHCS 1/4-20 x 2-1/2 BLK OX``, ``ISO 4762 - M6 x 30 - 8.8``. What
cannot be read is kept beside what can. A length or a pitch is never guessed: where the text allows two
readings, or looks as if a sign of it had been lost, there is a fault and no bolt, because a wrong length
on a chair hurts someone.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple, TypeVar

from reconcile.sheets.fasteners.nuts_washers import OTHER_KINDS, read_other
from reconcile.sheets.fasteners.slips import Laid, slip_in_number, slips
from reconcile.sheets.fasteners.spellings import (
    BOLT_WORDS,
    CODE_WORDS,
    FULLY_THREADED_CODES,
    HEAD_CODES,
    HEAD_NOUNS,
    HEAD_WORDS,
    canonical_grade,
    head_of,
    is_listed_grade,
)
from reconcile.sheets.fasteners.tokens import Token, tokens_of
from reconcile.sheets.fasteners.words import (
    EVERYDAY_HEADS,
    FINISH_WORDS,
    FULL_WORDS,
    FULLY_BEFORE,
    KIND_WORDS,
    LONG_WORDS,
    NAMES_OF_BOLTS,
    NOT_A_LENGTH,
    QUIET,
    SERIES_WORDS,
    THREAD_WORDS,
    is_parted,
    is_telling,
)
from reconcile.sheets.figures.numbers import read_number
from reconcile.sheets.figures.text import Unreadable, clean, clean_with_places
from reconcile.sheets.figures.units import MILLIMETRES, canonical_unit
from reconcile.values.measure import inches
from reconcile.values.stock.descriptions import DescriptionRead, Found
from reconcile.values.stock.parts import Bolt, Thread

__all__ = ["DescriptionRead", "Found", "hints_at_bolt", "read_description"]

T = TypeVar("T")


@lru_cache(maxsize=10_000)
def read_description(text: str) -> DescriptionRead:
    """Read what a description says of a bolt, nut, washer or spacer; never raises.

    Lengths without a unit are inches after an inch thread, millimetres after a metric one.
    """
    return _Reading(text).result()


SHORTEST_METRIC = Fraction(2)
"""The shortest preferred length, mm (ISO 888, from memory). It lies above every pitch that is listed, so a
pitch that was not seen as one is never taken for a length."""

LONGEST = inches(12)
"""mm. Common practice, no source: the lists of lengths end at 200 mm and 10 in, so a longer bolt is most
often a lost decimal point, ``250`` for ``2.50``."""

_DOUBTFUL_SIGNS = frozenset("#\"'/×*")
"""Signs that belong to a figure; left over, they have lost it."""

# What every bolt's description has somewhere: the beginning of a thread, or a word or code for a bolt.
_THREADS_BEGIN = (r"(?:#|no\.?|number)\s*\d", r"\d\s*-\s*\d", r"\.\d", r"\d/\d", r"m\s?\d")
_HINT = re.compile("|".join((*_THREADS_BEGIN, *BOLT_WORDS, *CODE_WORDS)), re.IGNORECASE)


def hints_at_bolt(text: str) -> bool:
    """Whether the text may describe a bolt at all; a cheap look before it is read.

    Where it says no, ``read_description`` finds neither a thread nor the kind "bolt".
    """
    return _HINT.search(clean(text)) is not None


class SaidBolt(NamedTuple):
    """What is said of a bolt, in the order of the fields of ``DescriptionRead``."""

    thread: Found[Thread] | None
    length: Found[Fraction] | None
    head: Found[str] | None
    grade: Found[str] | None
    fully_threaded: Found[bool] | None
    finish: str

    def bolt(self) -> Bolt:
        assert self.thread and self.length and self.head, "a bolt has a thread, a length and a head"
        threaded = self.length.value if self.fully_threaded else None
        grade = self.grade.value if self.grade else ""
        return Bolt(self.thread.value, self.length.value, self.head.value, grade, threaded)


class _Reading:
    """One description while it is read: its tokens, and what has been understood so far."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.plain, self.places = clean_with_places(text)
        self.tokens = tokens_of(self.plain)
        self.words = [token.value if token.kind == "word" else "" for token in self.tokens]
        self.understood: set[int] = set()
        self.faults: list[Found[str]] = []
        self.lengths: list[int] = []
        """The tokens taken for lengths."""
        self.named = self.naming()

    def result(self) -> DescriptionRead:
        kind = self.kind()
        thread = self.thread()
        length = self.length(thread.value if thread else None)
        head = self.head()
        grade = self.grade(thread.value if thread else None)
        full = self.fully_threaded(head.value if head else "")
        self.left_hand()
        self.series(thread.value if thread else None)
        traits = SaidBolt(thread, length, head, grade, full, self.finish())
        return self.other_part(kind, traits) if kind in OTHER_KINDS else self.bolt(kind, traits)

    def bolt(self, kind: str, said: SaidBolt) -> DescriptionRead:
        bolt = None
        if said.thread and said.length and said.head and not self.faults:
            self.look_for_slips(said.thread.value)
            bolt = None if self.faults else said.bolt()
        faults = tuple(sorted(self.faults, key=_place))
        left = list(self.left_over())
        return DescriptionRead(
            bolt,
            *said,
            unread=tuple(self.found(self.written(number), number) for number in left),
            fault=faults[0] if faults else None,
            kind="bolt" if bolt else kind,
            looks_like_bolt=bolt is not None or self.looks_like_bolt(said.head is not None),
            doubts=tuple(self.found(self.written(n), n) for n in left if self.is_doubtful(n)),
            faults=faults,
            understood=self.spans(),
        )

    def other_part(self, kind: str, said: SaidBolt) -> DescriptionRead:
        """A nut, washer or spacer; thread, length and so on stay as a bolt's would be."""
        self.faults.clear()
        self.left_hand()
        other = read_other(kind, self.tokens, self.words)
        self.understood = other.understood.union(n for n, w in enumerate(self.words) if w in FINISH_WORDS)
        self.faults += [self.found(says, number) for says, number in other.faults]
        bolts = self.bolts_named() if said.thread and said.length else set()
        left = sorted(bolts.union(self.left_over()))
        return DescriptionRead(
            None,
            *said,
            unread=tuple(self.found(self.written(number), number) for number in left),
            kind=kind,
            doubts=tuple(self.found(self.written(number), number) for number in sorted(bolts)),
            faults=tuple(sorted(self.faults, key=_place)),
            understood=self.spans(),
            other=other.part,
        )

    def look_for_slips(self, thread: Thread) -> None:
        laid = Laid(
            self.plain,
            self.tokens,
            self.words,
            frozenset(self.understood),
            [number for number, _ in self.of_kind("thread")],
            self.lengths,
            [number for number, _ in self.of_kind("grade") if number in self.understood],
            [number for number, _ in self.of_kind("standard") if number in self.understood],
            thread,
        )
        self.faults += [self.found(slip.says, slip.first, slip.last) for slip in slips(laid)]

    # Places.

    def found(self, value: T, first: int, last: int | None = None) -> Found[T]:
        """The value with its place in the description as given; tokens by number."""
        start, end = self.tokens[first].start, self.tokens[first if last is None else last].end
        return Found(value, self.places[start], self.places[end - 1] + 1)

    def fault(self, says: str, token: int) -> None:
        self.faults.append(self.found(says, token))

    def of_kind(self, kind: str) -> Iterable[tuple[int, Token]]:
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
        return "bolt" if any(self.words[number] in NAMES_OF_BOLTS for number in self.named) else ""

    def bolts_named(self) -> set[int]:
        """The words for a bolt: with another part's word and a bolt's measures it may be a set of both."""
        return {number for number in self.named if self.words[number] in NAMES_OF_BOLTS}

    def is_head_word(self, number: int) -> bool:
        word = self.words[number]
        if word == "set":
            before, after = self.word_at(number - 1), self.word_at(number + 1)
            return before in HEAD_WORDS or before in HEAD_NOUNS or after in BOLT_WORDS
        if word in EVERYDAY_HEADS and not self.stands_as_head(number):
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

    def stands_beside_head(self, number: int, word: str) -> bool:
        """Whether it is a word for a bolt, or the word "head" with its kind before it."""
        before = self.word_at(number - 1)
        return word in BOLT_WORDS or (word in HEAD_NOUNS and (before in HEAD_WORDS or before == "washer"))

    def head(self) -> Found[str] | None:
        words = [number for number in self.named if self.is_head_word(number)]
        codes = [number for number in self.named if self.words[number] in CODE_WORDS]
        codes += [number for number, token in self.of_kind("standard") if token.value in HEAD_CODES]
        said = sorted({*words, *codes})
        self.understood.update(n for n, word in enumerate(self.words) if self.stands_beside_head(n, word))
        if not said:
            return None
        head = head_of([self.words[n] for n in words], [self.tokens[n].value for n in codes])
        if head is None:
            names = " and ".join(f'"{self.tokens[number].text}"' for number in said)
            self.fault(f"{names} name different heads.", said[-1])
        if not head:
            return None
        self.understood.update(n for n in said if self.words[n] not in HEAD_NOUNS)
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

    def full_until(self, number: int, token: Token, head: str) -> int | None:
        """The last token of words that say "threaded to the head", if they start here."""
        word = self.words[number]
        if word in FULLY_BEFORE and self.word_at(number + 1) in THREAD_WORDS:
            return number + 1
        to_the_head = (
            word in FULL_WORDS
            or (token.kind == "standard" and token.value in FULLY_THREADED_CODES)
            or (head == "hex" and HEAD_WORDS.get(word) == "set" and self.is_head_word(number))
        )
        return number if to_the_head else None

    def finish(self) -> str:
        said = [number for number, word in enumerate(self.words) if word in FINISH_WORDS]
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
                self.lengths.append(number)
                lengths.append(self.found(length, number))
        return self.agreed(lengths, "lengths")

    def after_by(self, number: int) -> bool:
        return number > 0 and self.tokens[number - 1].kind == "by"

    def may_be_length(self, number: int) -> bool:
        """A number after an ``x``, with a unit, before "long", or a fraction: nothing else is one."""
        token = self.tokens[number]
        if self.after_by(number):
            return True
        if token.kind != "number" or self.word_at(number + 1) in NOT_A_LENGTH:
            return False
        text, unit = token.value
        return bool(unit) or self.word_at(number + 1) in LONG_WORDS or ("/" in text and self.has_thread())

    def has_thread(self) -> bool:
        return any(True for _ in self.of_kind("thread"))

    def length_of(self, number: int, thread: Thread | None) -> Fraction | None:
        """The length in mm, or None where neither a unit nor a thread says what it is measured in."""
        token = self.tokens[number]
        if token.kind != "number" or self.word_at(number + 1) in NOT_A_LENGTH:
            raise Unreadable("length-unreadable", f'"{token.text}" is not a length that can be read.')
        text, written = token.value
        if odd := slip_in_number(text, canonical_unit(written or (thread.unit if thread else "mm"))):
            raise Unreadable("length-unreadable", f'"{token.text}" is not a length that can be read: {odd}.')
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
        if length > LONGEST:
            raise Unreadable("length-unreadable", f'"{token.text}" is longer than any bolt that is listed.')
        return length

    def grade(self, thread: Thread | None) -> Found[str] | None:
        grades: list[Found[str]] = []
        for number, token in self.of_kind("grade"):
            grade = canonical_grade(token.text, thread)
            if is_listed_grade(grade):
                self.understood.add(number)
                grades.append(self.found(grade, number))
        return self.agreed(grades, "grades")

    def agreed(self, found: Sequence[Found[T]], name: str) -> Found[T] | None:
        """The first, if all say the same; else a fault and nothing: it is not ours to choose."""
        other = next((reading for reading in found if reading.value != found[0].value), None)
        if other is None:
            return found[0] if found else None
        written = " and ".join(f'"{self.text[reading.start : reading.end]}"' for reading in (found[0], other))
        self.faults.append(Found(f"{written} are two different {name}.", other.start, other.end))
        return None

    def series(self, thread: Thread | None) -> None:
        """``UNC`` that stands apart from its thread and says the same."""
        if thread is not None:
            said = (n for n, word in enumerate(self.words) if SERIES_WORDS.get(word) == thread.series)
            self.understood.update(said)

    # What is left.

    def left_over(self) -> Iterator[int]:
        """The tokens that were not understood; words that say nothing of themselves are none."""
        for number, token in enumerate(self.tokens):
            if number in self.understood or token.kind == "by":
                continue
            if self.words[number] not in QUIET or self.has_lost_its_word(number):
                yield number

    def has_lost_its_word(self, number: int) -> bool:
        """Whether a word of a thread or a length stands where it can belong to none."""
        word = self.words[number]
        if word in THREAD_WORDS:
            near = (number - 1, number + 1)
            beside = any(0 <= n < len(self.tokens) and self.tokens[n].kind == "thread" for n in near)
            return not beside and self.word_at(number - 1) not in ("coarse", "fine")
        if word in LONG_WORDS:
            figures = [n for n in (number - 1, number + 1) if n in self.lengths]
            return not any(self.are_close(n, number) for n in figures)
        return word in FULLY_BEFORE or word in HEAD_NOUNS

    def are_close(self, one: int, other: int) -> bool:
        """Whether nothing but blanks stands between two tokens."""
        first, last = sorted((self.tokens[one], self.tokens[other]), key=lambda token: token.start)
        return not self.plain[first.end : last.start].strip()

    def is_doubtful(self, number: int) -> bool:
        """Whether a token that was not understood may hide a figure, or a word that makes another bolt."""
        text = self.tokens[number].text
        if text in _DOUBTFUL_SIGNS or any(map(str.isdigit, text)) or is_telling(self.words[number]):
            return True
        pairs = pairwise(self.words[max(number - 1, 0) : number + 2])
        return any(first and second and is_parted(first, second) for first, second in pairs)

    def spans(self) -> tuple[tuple[int, int], ...]:
        """Where the understood tokens stand in the text as given."""
        found, places = (self.tokens[number] for number in sorted(self.understood)), self.places
        return tuple((places[token.start], places[token.end - 1] + 1) for token in found)

    def written(self, number: int) -> str:
        token = self.tokens[number]
        return self.text[self.places[token.start] : self.places[token.end - 1] + 1]

    def looks_like_bolt(self, has_head: bool) -> bool:
        """A thread with a bolt word, a head or a length; or a bolt word with a length, or with figures that
        make no sense, but no thread.
        """
        named = not NAMES_OF_BOLTS.isdisjoint(self.words)
        length = any(self.may_be_length(number) for number in range(len(self.tokens)))
        spoilt = named and any(self.is_spoilt(number) for number in range(len(self.tokens)))
        return (self.has_thread() and (named or has_head or length)) or (named and length) or spoilt

    def is_spoilt(self, number: int) -> bool:
        """Whether a token that was not understood mixes digits with something else, as ``M630`` does."""
        token = self.tokens[number]
        mixed = token.kind != "number" and not token.text.isdecimal() and any(map(str.isdigit, token.text))
        return mixed and number not in self.understood


@lru_cache(maxsize=10_000)
def _size(text: str, unit: str) -> Fraction:
    """A number with its unit, in mm; the same few lengths come again in every row."""
    return read_number(text) * MILLIMETRES[canonical_unit(unit)]


def _place(found: Found[str]) -> tuple[int, int]:
    return found.start, found.end
