"""Screw threads, their stress areas, preferred lengths and thread lengths, each with its source.

The tables are short because a wheelchair workshop needs few sizes: #4 to 1/2 in, M3 to M12. A table
marked *from memory* was written down without the standard at hand; its tests say which figures were
seen in print.
"""

from collections.abc import Iterable
from fractions import Fraction
from functools import cache

from reconcile.values.measure import MM_PER_INCH, decimal_text, inches
from reconcile.values.stock.parts import Bolt, Thread

UNIFIED: dict[str, tuple[Fraction, int, int]] = {
    "#4": (Fraction("0.112"), 40, 48),
    "#5": (Fraction("0.125"), 40, 44),
    "#6": (Fraction("0.138"), 32, 40),
    "#8": (Fraction("0.164"), 32, 36),
    "#10": (Fraction("0.190"), 24, 32),
    "#12": (Fraction("0.216"), 24, 28),
    "1/4": (Fraction(1, 4), 20, 28),
    "5/16": (Fraction(5, 16), 18, 24),
    "3/8": (Fraction(3, 8), 16, 24),
    "7/16": (Fraction(7, 16), 14, 20),
    "1/2": (Fraction(1, 2), 13, 20),
}
"""Size: major diameter (in), threads per inch UNC, threads per inch UNF. Source: ASME B1.1, Unified
Inch Screw Threads, UNC and UNF series."""

METRIC: dict[Fraction, tuple[Fraction, tuple[Fraction, ...]]] = {
    Fraction(3): (Fraction("0.5"), (Fraction("0.35"),)),
    Fraction("3.5"): (Fraction("0.6"), (Fraction("0.35"),)),
    Fraction(4): (Fraction("0.7"), (Fraction("0.5"),)),
    Fraction(5): (Fraction("0.8"), (Fraction("0.5"),)),
    Fraction(6): (Fraction(1), (Fraction("0.75"),)),
    Fraction(7): (Fraction(1), (Fraction("0.75"),)),
    Fraction(8): (Fraction("1.25"), (Fraction(1), Fraction("0.75"))),
    Fraction(10): (Fraction("1.5"), (Fraction("1.25"), Fraction(1))),
    Fraction(12): (Fraction("1.75"), (Fraction("1.5"), Fraction("1.25"))),
}
"""Diameter: coarse pitch, fine pitches (mm). Source: ISO 262, selected sizes for screws, bolts and
nuts; M8x0.75 is from ISO 261."""

METRIC_FURTHER: dict[Fraction, tuple[Fraction, ...]] = {
    Fraction(10): (Fraction("0.75"),),
    Fraction(12): (Fraction(1),),
}
"""Fine pitches (mm) that only the longer list, ISO 261, holds."""

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

SOCKET_CAP, HEX = "socket cap", "hex"
"""The heads whose standards are carried here."""


class NoSuchThread(ValueError):
    """No standard series lists the thread; the message says what is listed."""


def inch_thread(size: str, tpi: int) -> Thread:
    """The Unified thread of a size (``#10``, ``1/4``) with so many threads per inch.

    No size from #4 to 1/2 in has one pitch in both series, so the pitch fixes the series. Raises
    ``NoSuchThread``, which lists the pitches of the size, or the sizes.
    """
    if size not in UNIFIED:
        raise NoSuchThread(f"No inch thread {size} is listed; the sizes are {_listed(UNIFIED)}.")
    thread = _by_tpi().get((size, tpi))
    if thread is None:
        known = _listed((f"{size}-{UNIFIED[size][1]} UNC", f"{size}-{UNIFIED[size][2]} UNF"))
        raise NoSuchThread(f"No standard series lists {size}-{tpi}; listed are {known}.")
    return thread


def inch_size(diameter: Fraction) -> str | None:
    """The name of the Unified size with this major diameter in inches, or None: 0.19 is ``#10``."""
    return next((size for size, (major, _, _) in UNIFIED.items() if major == diameter), None)


def metric_thread(diameter: Fraction, pitch: Fraction | None = None) -> Thread:
    """The ISO metric thread of a diameter and pitch in mm; the coarse one where no pitch is given.

    Raises ``NoSuchThread``, which lists the pitches of the diameter, or the diameters.
    """
    name = f"M{_number(diameter)}"
    if diameter not in METRIC:
        known = _listed(f"M{_number(each)}" for each in METRIC)
        raise NoSuchThread(f"No metric thread {name} is listed; the sizes are {known}.")
    thread = _by_pitch().get((diameter, METRIC[diameter][0] if pitch is None else pitch))
    if thread is None:
        known = _listed(_number(metric_pitche) for metric_pitche in metric_pitches(diameter))
        wanted = "" if pitch is None else _number(pitch)
        raise NoSuchThread(f"No standard series lists {name}x{wanted}; {name} has the pitches {known} mm.")
    return thread


def metric_pitches(diameter: Fraction) -> tuple[Fraction, ...]:
    """Every listed pitch (mm) of a listed metric diameter, the coarse one first; () if not listed."""
    if diameter not in METRIC:
        return ()
    coarse, fine = METRIC[diameter]
    return (coarse, *fine, *METRIC_FURTHER.get(diameter, ()))


@cache
def threads() -> tuple[Thread, ...]:
    """Every listed thread: the inch ones by size, UNC before UNF, then the metric ones, coarse first."""
    return (*_by_tpi().values(), *_by_pitch().values())


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
    sizes below #10 the shorter of that and the printed figure. ``hex``, metric only: b = 2 d + 6 mm up to
    125 mm length, 2 d + 12 mm up to 200 mm, 2 d + 25 mm above (ISO 4014, ISO 888). Never more than the
    bolt's own length.
    """
    metric = bolt.thread.series == "M"
    if bolt.head == SOCKET_CAP:
        threaded = 2 * bolt.thread.diameter + 12 if metric else _inch_cap_thread(bolt.thread.diameter)
    elif bolt.head == HEX and metric:
        threaded = 2 * bolt.thread.diameter + _hex_allowance(bolt.length)
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


@cache
def _inch_cap_lengths() -> tuple[Fraction, ...]:
    found: set[Fraction] = set()
    for first, last, step in ((Fraction(a), Fraction(b), Fraction(c)) for a, b, c in INCH_CAP_STEPS):
        found.update(first + count * step for count in range(int((last - first) / step) + 1))
    return tuple(inches(length) for length in sorted(found))


@cache
def _by_tpi() -> dict[tuple[str, int], Thread]:
    return {
        (size, tpi): Thread(inches(major), MM_PER_INCH / tpi, series, f"{size}-{tpi} {series}")
        for size, (major, coarse, fine) in UNIFIED.items()
        for series, tpi in (("UNC", coarse), ("UNF", fine))
    }


@cache
def _by_pitch() -> dict[tuple[Fraction, Fraction], Thread]:
    return {
        (diameter, pitch): Thread(diameter, pitch, "M", _metric_designation(diameter, pitch))
        for diameter in METRIC
        for pitch in metric_pitches(diameter)
    }


def _metric_designation(diameter: Fraction, pitch: Fraction) -> str:
    """``M6`` for the coarse pitch, ``M8x1`` for a fine one (ISO 965-1)."""
    name = f"M{_number(diameter)}"
    return name if pitch == METRIC[diameter][0] else f"{name}x{_number(pitch)}"


def _number(value: Fraction) -> str:
    return decimal_text(value) or str(value)


def _listed(names: Iterable[str]) -> str:
    """``a, b and c``."""
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last
