"""A frame file that was checked by itself: what it holds, or every fault with the line it stands in."""

from collections.abc import Mapping
from dataclasses import field

from reconcile.values.catalogue import ERROR
from reconcile.values.frames.frame import Frame
from reconcile.values.problem import Problem
from reconcile.values.records import dataclass


@dataclass(frozen=True, slots=True)
class KeyLine:
    """Where a key stands in its file: the line's number from 1 and its text, and the names above it."""

    line: int
    text: str
    names: tuple[str, ...] = ()
    """Names of the adjustment and of the joint (cover, sized part) that the key belongs to."""


@dataclass(frozen=True, slots=True)
class CheckedFile:
    """One frame file; ``frame`` is None where it has an error."""

    name: str
    frame: Frame | None
    problems: tuple[Problem, ...] = ()
    lines: Mapping[str, KeyLine] = field(default_factory=dict)
    """By key, as the problems' places give it; a key whose line could not be told is not there."""

    @property
    def faults(self) -> tuple[Problem, ...]:
        return tuple(fault for fault in self.problems if fault.severity == ERROR)
