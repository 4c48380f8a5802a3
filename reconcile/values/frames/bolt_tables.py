"""What a joint asks for at each step: bolt, grip, window and spacers. Lengths in mm."""

from fractions import Fraction

from reconcile.values.frames.frame import Adjustment, Joint, Window
from reconcile.values.records import dataclass


@dataclass(frozen=True, slots=True)
class BoltRow:
    """One joint of one side with so many steps on that side."""

    steps: int
    size: Fraction | None
    """The size with these steps on every side; None where at the largest size one side has a step less."""
    length: Fraction
    """The bolt asked for."""
    grip: Fraction | None
    window: Window | None
    stack: tuple[tuple[str, int], ...] | None
    """Spacers of one stack, part and pieces; empty for none, None where the listed ones do not add up."""
    preferred: bool | None
    """Whether bolts are made in this length by the standard carried; None where none is carried."""
    to_buy: Fraction
    """The length that is asked of a supplier where no stock part serves."""
    shank_bottoms: bool = False
    """By the standard of its head, the bolt's plain shank is longer than the grip."""

    @property
    def engagement(self) -> Fraction | None:
        """Thread past the grip with the bolt asked for."""
        return None if self.grip is None else self.length - self.grip

    @property
    def wanted_bolt(self) -> tuple[object, ...]:
        """All but step and size: rows alike in this ask for the same."""
        return (self.length, self.grip, self.window, self.stack)


@dataclass(frozen=True, slots=True)
class BoltTable:
    """The rows of one joint from no step to its most, for one set of fitted options."""

    joint: Joint
    options: tuple[str, ...]
    """Those of the fitted options (folded) that lengthen this joint."""
    rows: tuple[BoltRow, ...]
    left_out: int = 0
    """Steps after the last row that are not listed."""


@dataclass(frozen=True, slots=True)
class AdjustmentTables:
    """All tables of one adjustment, joint by joint."""

    adjustment: Adjustment
    tables: tuple[BoltTable, ...]
