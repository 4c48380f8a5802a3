"""What a stack of spacers and a joint's bolt are known to be, before anybody opens the chair."""

from fractions import Fraction

from reconcile.values.records import dataclass


@dataclass(frozen=True, slots=True)
class SaidPieces:
    """So many equal pieces of a stack, as a row names them: by part number, or by thickness (mm)."""

    count: int
    part: str = ""
    thickness: Fraction | None = None


@dataclass(frozen=True, slots=True)
class SpacersNow:
    """What a row of Jobs says each stack consists of now."""

    text: str
    """As written."""
    single: bool = False
    """Pieces of one step, as many as there are steps."""
    sides: tuple[tuple[str, tuple[SaidPieces, ...]], ...] = ()
    """"left" or "right", or "" for every side, and the pieces of one stack there; no pieces: an empty one."""

    def of(self, side: str) -> tuple[SaidPieces, ...] | None:
        """The pieces of one stack on a side; None where nothing is said of it."""
        told = dict(self.sides)
        return told.get(side, told.get(""))


@dataclass(frozen=True, slots=True)
class KnownJoint:
    """What a chair's record tells of a joint on a side: one stack's pieces, and the bolt.

    ``pieces``: part and how many of it in each stack; None where nobody knows. ``bolt``: its part and its
    length (mm); None where nobody knows.
    """

    joint: str
    """Folded."""
    side: str
    """"left", "right", or "" for a single stack."""
    steps: int
    """The steps on that side by the record: pieces and bolt are those of a chair with as many."""
    pieces: tuple[tuple[str, int], ...] | None = None
    bolt: tuple[str, Fraction] | None = None
