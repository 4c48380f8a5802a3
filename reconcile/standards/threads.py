"""Screw threads, each with its source."""

from collections.abc import Iterable
from fractions import Fraction
from functools import cache

from reconcile.values.measure import MM_PER_INCH, decimal_text, inches
from reconcile.values.stock.parts import Thread

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
nuts; M8x0.75 and the fine pitches below M8 are from ISO 261: not every edition of ISO 262 lists them."""

METRIC_FURTHER: dict[Fraction, tuple[Fraction, ...]] = {
    Fraction(10): (Fraction("0.75"),),
    Fraction(12): (Fraction(1),),
}
"""Fine pitches (mm) that only the longer list, ISO 261, holds."""


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
