"""How thick plain washers are, each table with its source."""

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from reconcile.standards.threads import inch_size
from reconcile.values.measure import MM_PER_INCH, inches
from reconcile.values.stock.parts import Thread


class Thickness(NamedTuple):
    """Of a washer, in mm: what it is made to, and the most that may come."""

    nominal: Fraction
    most: Fraction


METRIC_WASHERS: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "ISO 7089": {
        "3": ("0.5", "0.55"),
        "4": ("0.8", "0.9"),
        "5": ("1", "1.1"),
        "6": ("1.6", "1.8"),
        "8": ("1.6", "1.8"),
        "10": ("2", "2.2"),
        "12": ("2.5", "2.7"),
    },
}
"""Standard: diameter, nominal and greatest thickness (mm). ISO 7089, plain washers, normal series: the
greatest from a published table, the nominal as two others give it."""

INCH_WASHERS: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "ASME B18.21.1 type A narrow": {
        "#4": ("0.032", "0.040"),
        "#6": ("0.049", "0.065"),
        "#8": ("0.049", "0.065"),
        "#10": ("0.049", "0.065"),
        "#12": ("0.065", "0.080"),
        "1/4": ("0.065", "0.080"),
        "5/16": ("0.065", "0.080"),
        "3/8": ("0.065", "0.080"),
        "7/16": ("0.065", "0.080"),
        "1/2": ("0.095", "0.121"),
    },
    "ASME B18.21.1 type A wide": {
        "1/4": ("0.065", "0.080"),
        "5/16": ("0.083", "0.104"),
        "3/8": ("0.083", "0.104"),
        "7/16": ("0.083", "0.104"),
        "1/2": ("0.109", "0.132"),
    },
}
"""Standard and series: size, basic and greatest thickness (in). ASME B18.21.1-2009 (R2016), plain washers,
type A, preferred sizes, as Machinery's Handbook, 31st ed., prints it; below 1/4 in there is one series."""

WASHER_STANDARDS = (*METRIC_WASHERS, *INCH_WASHERS)
"""Every standard, with its series, of washers that are carried here."""


def washer_thickness(standard: str, thread: Thread) -> Thickness | None:
    """The thickness of a plain washer of this standard for this thread, or None if not carried."""
    if thread.series == "M":
        written = METRIC_WASHERS.get(standard, {}).get(str(thread.diameter))
        return Thickness(Fraction(written[0]), Fraction(written[1])) if written else None
    written = INCH_WASHERS.get(standard, {}).get(inch_size(thread.diameter / MM_PER_INCH) or "")
    return Thickness(inches(written[0]), inches(written[1])) if written else None
