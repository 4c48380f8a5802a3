"""The lengths that bolts are made in, and how far they are threaded, each with its source."""

from fractions import Fraction
from functools import cache

from reconcile.values.measure import MM_PER_INCH, inches
from reconcile.values.stock.parts import Bolt, Thread

METRIC_LENGTHS: tuple[Fraction, ...] = (
    *(Fraction(text) for text in ("2", "2.5")),
    *(Fraction(mm) for mm in (3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70)),
    *(Fraction(mm) for mm in (80, 90, 100, 110, 120, 130, 140, 150, 160, 180, 200)),
)
"""Preferred nominal lengths (mm). Source: ISO 888, from memory; the bracketed lengths are left out."""

INCH_CAP_STEPS: tuple[tuple[str, str, str], ...] = (
    ("1/8", "1/4", "1/16"),
    ("1/4", "1", "1/8"),
    ("1", "7/2", "1/4"),
    ("7/2", "7", "1/2"),
    ("7", "10", "1"),
)
"""From, to, step (in) of the lengths of inch socket head cap screws. Source: ASME B18.3, from memory."""

INCH_CAP_THREAD: dict[Fraction, Fraction] = {
    Fraction("0.112"): Fraction("0.75"),
    Fraction("0.125"): Fraction("0.75"),
    Fraction("0.138"): Fraction("0.75"),
    Fraction("0.164"): Fraction("0.88"),
}
"""Major diameter: basic thread length LT (in) of the small inch socket head cap screws, #4 to #8, for
which the printed figure is not 2 D + 1/2 in. Source: ASME B18.3, 1960 series, from memory."""

SMALLEST_INCH_HEX = inches("1/4")
"""Diameter (mm) from which ASME B18.2.1 lists hex cap screws; smaller ones are machine screws."""

SOCKET_CAP, HEX = "socket cap", "hex"
"""The heads whose standards are carried here."""


def preferred_lengths(thread: Thread, head: str) -> tuple[Fraction, ...] | None:
    """The lengths (mm, rising) that bolts of this thread and head are made in, or None if not carried.

    Metric threads: ISO 888 for any head. Inch threads: ASME B18.3, for the head ``socket cap`` only.
    """
    if thread.series == "M":
        return METRIC_LENGTHS
    return _inch_cap_lengths() if head == SOCKET_CAP else None


def standard_thread_length(bolt: Bolt) -> Fraction | None:
    """The threaded length (mm) that the standard of the bolt's head gives, or None if not carried.

    ``socket cap``: metric b = 2 d + 12 mm (ISO 4762); inch LT = 2 D + 1/2 in (ASME B18.3), and for the
    sizes below #10 the shorter of that and the printed figure. ``hex``: metric b = 2 d + 6 mm up to
    125 mm length, 2 d + 12 mm up to 200 mm, 2 d + 25 mm above (ISO 4014, ISO 888); inch, from 1/4 in on,
    LT = 2 D + 1/4 in up to 6 in length, 2 D + 1/2 in above (ASME B18.2.1, hex cap screws). Never more
    than the bolt's own length: a short bolt is threaded to the head.
    """
    metric, diameter = bolt.thread.series == "M", bolt.thread.diameter
    if bolt.head == SOCKET_CAP:
        threaded = 2 * diameter + 12 if metric else _inch_cap_thread(diameter)
    elif bolt.head == HEX and metric:
        threaded = 2 * diameter + _hex_allowance(bolt.length)
    elif bolt.head == HEX and diameter >= SMALLEST_INCH_HEX:
        threaded = 2 * diameter + _inch_hex_allowance(bolt.length)
    else:
        return None
    return min(threaded, bolt.length)


def _inch_cap_thread(diameter: Fraction) -> Fraction:
    """LT in mm of an inch socket head cap screw with this diameter in mm."""
    major = diameter / MM_PER_INCH
    formula = 2 * major + Fraction(1, 2)
    # Table and formula disagree below #10 and neither was seen in print. The shorter thread is the safe
    # one: it leaves the longer plain shank, so it can only refuse a bolt that would bottom on its shank.
    return inches(min(formula, INCH_CAP_THREAD.get(major, formula)))


def _hex_allowance(length: Fraction) -> int:
    """What ISO 4014 adds to 2 d (mm) for a bolt of this length (mm)."""
    if length <= 125:
        return 6
    return 12 if length <= 200 else 25


def _inch_hex_allowance(length: Fraction) -> Fraction:
    """What ASME B18.2.1 adds to 2 D (mm) for a hex cap screw of this length (mm)."""
    return inches("1/4") if length <= inches(6) else inches("1/2")


@cache
def _inch_cap_lengths() -> tuple[Fraction, ...]:
    found: set[Fraction] = set()
    for first, last, step in ((Fraction(a), Fraction(b), Fraction(c)) for a, b, c in INCH_CAP_STEPS):
        found.update(first + count * step for count in range(int((last - first) / step) + 1))
    return tuple(inches(length) for length in sorted(found))
