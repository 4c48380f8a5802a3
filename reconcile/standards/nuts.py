"""How high nuts are at most, by the standard they are made to, each with its source."""

from collections.abc import Mapping
from fractions import Fraction

from reconcile.standards.threads import METRIC, inch_size
from reconcile.values.measure import MM_PER_INCH, inches
from reconcile.values.stock.parts import Thread

METRIC_NUTS: Mapping[str, Mapping[str, str]] = {
    "ISO 4032": {"3": "2.4", "4": "3.2", "5": "4.7", "6": "5.2", "8": "6.8", "10": "8.4", "12": "10.8"},
    "ISO 7040": {"3": "4.5", "4": "6", "5": "6.8", "6": "8", "8": "9.5", "10": "11.9", "12": "14.9"},
    "ISO 10511": {"3": "3.9", "4": "5", "5": "5", "6": "6", "8": "6.76", "10": "8.56", "12": "10.23"},
}
"""Standard: diameter, greatest height (mm), coarse pitches. Hexagon nuts, style 1: ISO 4032:1999, as two
printed tables give it. With a nylon insert, regular: ISO 7040, from memory, to M10 as the printed table of
ASME B18.16.3M; thin: ISO 10511, from memory."""

INCH_NUTS: Mapping[str, Mapping[str, str]] = {
    "ASME B18.2.2": {
        "#4": "0.098",
        "#5": "0.114",
        "#6": "0.114",
        "#8": "0.130",
        "#10": "0.130",
        "#12": "0.161",
        "1/4": "0.226",
        "5/16": "0.273",
        "3/8": "0.337",
        "7/16": "0.385",
        "1/2": "0.448",
    },
    "ASME B18.16.6": {"1/4": "0.328", "5/16": "0.359", "3/8": "0.468", "7/16": "0.468", "1/2": "0.609"},
}
"""Standard: size, greatest height (in). ASME B18.2.2, hex nuts and, below 1/4 in, hex machine screw nuts;
ASME B18.16.6, nylon insert, style NE: each as two printed tables give it. Styles below 1/4 in and thin
ones are left out: no table of them was at hand."""

NUT_STANDARDS = (*METRIC_NUTS, *INCH_NUTS)
"""Every standard of nuts whose heights are carried here."""


def nut_height(standard: str, thread: Thread) -> Fraction | None:
    """The greatest height (mm) of a nut of this standard and thread, or None if not carried."""
    if thread.series == "M":
        coarse = thread.diameter in METRIC and thread.pitch == METRIC[thread.diameter][0]
        written = METRIC_NUTS.get(standard, {}).get(str(thread.diameter)) if coarse else None
        return Fraction(written) if written else None
    written = INCH_NUTS.get(standard, {}).get(inch_size(thread.diameter / MM_PER_INCH) or "")
    return inches(written) if written else None
