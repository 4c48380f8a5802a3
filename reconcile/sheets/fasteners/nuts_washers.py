"""Nuts, washers and spacers from the tokens of a description. Nothing is guessed: no pitch, no thickness."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import field
from fractions import Fraction

from reconcile.sheets.fasteners.slips import slip_in_number
from reconcile.sheets.fasteners.spellings import BOLT_WORDS, HEAD_NOUNS
from reconcile.sheets.fasteners.tokens import Token
from reconcile.sheets.fasteners.words import KIND_WORDS, LONG_WORDS
from reconcile.sheets.figures.numbers import read_number
from reconcile.sheets.figures.text import Unreadable
from reconcile.sheets.figures.units import MILLIMETRES, canonical_unit
from reconcile.standards import UNIFIED
from reconcile.values.records import dataclass
from reconcile.values.stock.descriptions import SaidNut, SaidWasher, Spacer
from reconcile.values.stock.parts import Thread

NUT_WORDS = {
    **dict.fromkeys(("hex", "hexagon", "hexagonal"), "hex"),
    **dict.fromkeys(("lock", "locking", "locknut", "locknuts", "prevailing"), "lock"),
    **dict.fromkeys(("flange", "flanged", "flg"), "flange"),
    **dict.fromkeys(("jam", "thin", "half"), "thin"),
    **dict.fromkeys(("cap", "dome", "domed", "acorn"), "dome"),
    **dict.fromkeys(("nylon", "insert"), "nylon insert"),
    **dict.fromkeys(("coupling", "long"), "coupling"),
    **{word: word for word in ("wing", "square", "castle", "barrel", "tee", "weld", "cage", "knurled")},
}
WASHER_WORDS = {
    **dict.fromkeys(("flat", "plain"), "flat"),
    **dict.fromkeys(("spring", "split", "lock"), "spring"),
    **dict.fromkeys(("fender", "penny", "repair", "large"), "large"),
    **dict.fromkeys(("star", "tooth", "toothed", "serrated"), "toothed"),
    **{word: word for word in ("wave", "finishing", "nylon", "rubber", "bonded", "spherical", "cup")},
}
OUTSIDE, BORE, THICKNESS = "outside", "bore", "thickness"
_ROLES = {
    **dict.fromkeys(("od", "outside", "dia", "diameter"), OUTSIDE),
    **dict.fromkeys(("id", "bore", "inside", "hole"), BORE),
    **dict.fromkeys(("thk", "thick", "thickness", "wide", *LONG_WORDS), THICKNESS),
}
_PASSED_OVER = BOLT_WORDS | HEAD_NOUNS


@dataclass(slots=True)
class OtherRead:
    """A part that is no bolt, the tokens that were understood, and what is wrong with which token."""

    part: SaidNut | SaidWasher | Spacer
    understood: set[int] = field(default_factory=set)
    faults: list[tuple[str, int]] = field(default_factory=list)


def read_other(kind: str, tokens: Sequence[Token], words: Sequence[str]) -> OtherRead:
    """What is said of a nut, washer or spacer; ``kind`` is one of ``OTHER_KINDS``."""
    return OTHER_KINDS[kind](_Laid(tokens, words))


class _Laid:
    """The tokens of one description, and what has been understood so far."""

    def __init__(self, tokens: Sequence[Token], words: Sequence[str]) -> None:
        self.tokens, self.words = tokens, words
        self.understood = {n for n, word in enumerate(words) if word in KIND_WORDS or word in _PASSED_OVER}
        self.faults: list[tuple[str, int]] = []

    def read(self, part: SaidNut | SaidWasher | Spacer) -> OtherRead:
        return OtherRead(part, self.understood, self.faults)

    def kind_of(self, known: dict[str, str]) -> str:
        said = [(number, known[word]) for number, word in enumerate(self.words) if word in known]
        self.understood.update(number for number, _ in said)
        return " ".join(dict.fromkeys(word for _, word in said))

    def thread(self) -> Thread | None:
        found: Thread | None = None
        for number, token in enumerate(self.tokens):
            if token.kind != "thread":
                continue
            if isinstance(token.value, Unreadable):
                self.faults.append((token.value.says, number))
            elif found is not None and token.value != found:
                self.faults.append((f'"{token.text}" is another thread than {found}.', number))
                found = None
                break
            else:
                self.understood.add(number)
                found = token.value
        return found

    def size(self, bare: bool = True) -> tuple[str, str]:
        """The bolt size it is for, and the unit of that size; two blanks where none or two are said.

        ``bare``: whether a bare ``1/4`` is a size.
        """
        found: dict[str, str] = {}
        for number, token in enumerate(self.tokens):
            if (size := self.size_at(number, token, bare)) is not None:
                self.understood.add(number)
                found[size[0]] = size[1]
                if len(found) > 1:
                    self.faults.append((f'"{token.text}" is another size than {next(iter(found))}.', number))
                    return "", ""
        return next(iter(found.items()), ("", ""))

    def size_at(self, number: int, token: Token, bare: bool) -> tuple[str, str] | None:
        if token.kind == "thread" and isinstance(token.value, Thread):
            return size_of(token.value), token.value.unit
        if token.kind == "size" and token.value in UNIFIED:
            return token.value, "in"
        if bare and token.kind == "number" and not (self.after_by(number) or self.role(number)):
            text, unit = token.value
            return (text, "in") if text in UNIFIED and unit in ("", '"', "in") else None
        return None

    def after_by(self, number: int) -> bool:
        return number > 0 and self.tokens[number - 1].kind == "by"

    def role(self, number: int) -> str:
        """What the word behind a number, or else before it, says that it measures."""
        after = _ROLES.get(self.words[number + 1]) if number + 1 < len(self.words) else None
        before = _ROLES.get(self.words[number - 1]) if number > 0 else None
        taken = number > 1 and self.tokens[number - 2].kind == "number"
        return after or ("" if taken else before or "")

    def measures(self, unit: str, roles: Collection[str]) -> dict[str, tuple[Fraction, str]]:
        """By role, the length in mm and its unit, as far as it is plain; numbers of other roles stay unread.

        The role "" is that of a number that does not say what it measures.
        """
        found: dict[str, tuple[Fraction, str]] = {}
        for number, token in enumerate(self.tokens):
            role = self.role(number)
            if token.kind != "number" or number in self.understood or role not in roles:
                continue
            measure = self.measure(number, token, unit if role or self.after_by(number) else "")
            if measure is None:
                continue
            if role in found and found[role][0] != measure[0]:
                self.faults.append((f'"{token.text}" is another {role or "length"} than the first.', number))
                continue
            found[role] = measure
            self.understood.update(self.with_words(number))
        return found

    def with_words(self, number: int) -> Iterable[int]:
        """The number and the words beside it that say what it measures."""
        return [n for n in (number - 1, number, number + 1) if n == number or self.names_role(n)]

    def names_role(self, number: int) -> bool:
        return 0 <= number < len(self.words) and self.words[number] in _ROLES

    def measure(self, number: int, token: Token, unit: str) -> tuple[Fraction, str] | None:
        text, written = token.value
        if not (written or unit):
            return None
        measured = canonical_unit(written or unit)
        try:
            length = read_number(text) * MILLIMETRES[measured]
        except Unreadable as unread:
            self.faults.append((unread.says, number))
            return None
        odd = slip_in_number(text, measured) or ("it is nothing" if length <= 0 else "")
        if odd:
            self.faults.append((f'"{token.text}" is not a length that can be read: {odd}.', number))
            return None
        return length, "in" if measured == "in" else "mm"


def size_of(thread: Thread) -> str:
    """The size of a thread without its pitch: ``1/4``, ``#10``, ``M6``."""
    return thread.designation.split("x" if thread.unit == "mm" else "-")[0]


def _nut(laid: _Laid) -> OtherRead:
    thread = laid.thread()
    threaded = any(token.kind == "thread" for token in laid.tokens)
    size = size_of(thread) if thread else "" if threaded else laid.size()[0]
    return laid.read(SaidNut(thread, size, laid.kind_of(NUT_WORDS)))


def _washer(laid: _Laid) -> OtherRead:
    size, unit = laid.size()
    kind = laid.kind_of(WASHER_WORDS)
    measures = laid.measures(unit, (THICKNESS,))
    thickness, measured = measures.get(THICKNESS, (None, unit or "mm"))
    return laid.read(SaidWasher(size, thickness, kind, measured))


def _spacer(laid: _Laid) -> OtherRead:
    size, unit = laid.size(bare=False)
    measures = laid.measures(unit, ("", THICKNESS, OUTSIDE, BORE))
    length, measured = measures.get(THICKNESS) or measures.get("") or (None, unit or "mm")
    outside, bore = measures.get(OUTSIDE), measures.get(BORE)
    return laid.read(Spacer(length, outside and outside[0], bore and bore[0], size, measured))


OTHER_KINDS: dict[str, Callable[[_Laid], OtherRead]] = {"nut": _nut, "washer": _washer, "spacer": _spacer}
"""How each kind of part that is no bolt is read."""
