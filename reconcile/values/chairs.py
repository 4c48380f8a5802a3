"""The chair's record: what the closings that stand left on a chair, joint by joint."""

from collections.abc import Mapping
from dataclasses import field
from datetime import date
from fractions import Fraction

from reconcile.values.ledger.jobs import CheckDone, Pieces
from reconcile.values.records import dataclass


@dataclass(frozen=True, slots=True)
class FittedBolt:
    """A bolt by its part; its length in mm, None where the closing did not say it."""

    part: str
    length: Fraction | None = None


@dataclass(frozen=True, slots=True)
class JointState:
    """What is at a joint of one side."""

    stack: Pieces | None = None
    """One stack's spacers; nothing in it where there are none, None where nobody knows."""
    bolt: FittedBolt | None = None
    """None where nobody knows."""


@dataclass(frozen=True, slots=True)
class ChairJob:
    """A job that was booked on the chair. Sizes in mm; None where the closing did not say it."""

    job: str
    day: date
    """When it was done."""
    standing: str
    """DONE or PART_DONE."""
    size_from: Fraction | None
    size_to: Fraction | None
    unit: str
    closing: str
    closed: date
    who: str
    """Who closed it."""
    technician: str
    checks: tuple[CheckDone, ...] = ()


@dataclass(frozen=True, slots=True)
class ChairRecord:
    """One measure of one chair."""

    asset: str
    frame: str
    adjustment: str
    size: Fraction | None = None
    """In mm; None where only part of a job was ever booked, or the closing did not say it."""
    unit: str = ""
    """In which sizes and lengths are printed: "in" or "mm"; "" where it is not known."""
    steps: Mapping[str, int] = field(default_factory=dict)
    """By side: left and right, or single."""
    options: tuple[str, ...] = ()
    joints: Mapping[tuple[str, str], JointState] = field(default_factory=dict)
    """By joint and side, "" for a single stack. A joint that no closing touched is not in it."""
    history: tuple[ChairJob, ...] = ()
    """In the order of the day of the work, then of closing."""
    begun: str = ""
    """The job that is part done: it is planned by the record as it was before its own bookings."""
    before: Mapping[tuple[str, str], JointState] = field(default_factory=dict)
    """The joints as they were before ``begun``."""
