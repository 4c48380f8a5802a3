"""What a fastener's description says: each finding with its place in the text as it was given."""

from fractions import Fraction
from typing import Generic, TypeVar

from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Bolt, Thread

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Found(Generic[T]):
    """A value and where it stands in the description as it was given: ``text[start:end]``."""

    value: T
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class SaidNut:
    """What is said of a nut; a size without a pitch is a size and no thread."""

    thread: Thread | None = None
    size: str = ""
    """``M6``, ``1/4``, ``#10``, as far as it is said."""
    kind: str = ""
    """``hex``, ``lock``, ``flange lock``: the words for it, in the order of the text."""

    @property
    def lacks(self) -> tuple[str, ...]:
        return () if self.thread else ("thread",)


@dataclass(frozen=True, slots=True)
class SaidWasher:
    """What is said of a washer: the bolt size it is for, its kind, and its thickness in mm if said."""

    size: str = ""
    thickness: Fraction | None = None
    kind: str = ""
    unit: str = "mm"
    """"in" or "mm": how lengths of it are printed."""

    @property
    def lacks(self) -> tuple[str, ...]:
        return () if self.size else ("size",)


@dataclass(frozen=True, slots=True)
class Spacer:
    """What is said of a spacer, in mm: its length (or thickness), outside diameter and bore."""

    length: Fraction | None = None
    outside: Fraction | None = None
    bore: Fraction | None = None
    size: str = ""
    """The bolt size it is for."""
    unit: str = "mm"
    """"in" or "mm": how lengths of it are printed."""

    @property
    def lacks(self) -> tuple[str, ...]:
        return () if self.length is not None else ("length",)


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
    """The first sentence about what cannot be read or contradicts itself; None for what is no bolt."""
    kind: str = ""
    """"bolt", "nut", "washer", "spacer", or "" where the words do not say."""
    looks_like_bolt: bool = False
    """It has a thread, or a bolt word and a length, and nothing says that it is another part."""
    doubts: tuple[Found[str], ...] = ()
    """Those unread tokens that may hide a figure or a word by which a bolt would be another one. Of another
    part: the words for a bolt, where a bolt's measures stand there too (``Bolt M6x30 with nut``)."""
    faults: tuple[Found[str], ...] = ()
    """Every such sentence, for any kind of part, in the order of the text."""
    understood: tuple[tuple[int, int], ...] = ()
    """Where the understood tokens stand, in the order of the text: ``text[start:end]``."""
    other: SaidNut | SaidWasher | Spacer | None = None
    """What is said of a part that is no bolt."""

    @property
    def lacks(self) -> tuple[str, ...]:
        """Which of thread, length and head could not be read; of another part, what it needs."""
        if self.other is not None:
            return self.other.lacks
        parts = {"thread": self.thread, "length": self.length, "head": self.head}
        return tuple(name for name, found in parts.items() if found is None)

    @property
    def whole(self) -> bool:
        """Whether it names a fastener and nothing in it is lacking, faulty or left unread."""
        named = self.bolt is not None or self.other is not None
        return named and not (self.lacks or self.faults or self.unread)
