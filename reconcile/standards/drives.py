"""What a bolt is turned by, from the standard of its head and not measured; each with its source."""

from collections.abc import Mapping
from fractions import Fraction

from reconcile.standards.lengths import HEX, SOCKET_CAP
from reconcile.standards.threads import inch_size
from reconcile.values.frames.drive import KEY, SPANNER, Drive
from reconcile.values.measure import MM_PER_INCH, inches
from reconcile.values.stock.parts import Thread

METRIC_DRIVES: Mapping[str, Mapping[str, str]] = {
    SOCKET_CAP: {"3": "2.5", "4": "3", "5": "4", "6": "5", "8": "6", "10": "8", "12": "10"},
    HEX: {"3": "5.5", "4": "7", "5": "8", "6": "10", "8": "13", "10": "16", "12": "18"},
}
"""Head: diameter, width across flats (mm) of its socket or of itself. ISO 4762, as two printed tables
give it; ISO 4014, from memory, as wide as the nuts of ISO 4032, which were seen in print."""

INCH_DRIVES: Mapping[str, Mapping[str, str]] = {
    SOCKET_CAP: {
        "#4": "3/32",
        "#5": "3/32",
        "#6": "7/64",
        "#8": "9/64",
        "#10": "5/32",
        "1/4": "3/16",
        "5/16": "1/4",
        "3/8": "5/16",
        "7/16": "3/8",
        "1/2": "3/8",
    },
    HEX: {"1/4": "7/16", "5/16": "1/2", "3/8": "9/16", "7/16": "5/8", "1/2": "3/4"},
}
"""Head: size, width across flats (in). ASME B18.3, hexagon socket head cap screws, and ASME B18.2.1, hex
cap screws: each as two printed tables give it."""


SOURCES: Mapping[tuple[bool, str], str] = {
    (True, SOCKET_CAP): "ISO 4762",
    (True, HEX): "ISO 4014, from memory",
    (False, SOCKET_CAP): "ASME B18.3",
    (False, HEX): "ASME B18.2.1",
}
"""Whether a thread is metric, and the head: the standard that gives the width across flats."""


def drive_of(thread: Thread, head: str) -> Drive | None:
    """What turns this head by the standard, with its source; None where none is carried."""
    width = drive_size(thread, head)
    if width is None:
        return None
    return Drive(
        KEY if head == SOCKET_CAP else SPANNER, width, thread.unit, SOURCES[thread.unit == "mm", head]
    )


def drive_size(thread: Thread, head: str) -> Fraction | None:
    """The width across flats (mm) of the key or spanner for this head, or None if not carried."""
    if thread.series == "M":
        written = METRIC_DRIVES.get(head, {}).get(str(thread.diameter))
        return Fraction(written) if written else None
    written = INCH_DRIVES.get(head, {}).get(inch_size(thread.diameter / MM_PER_INCH) or "")
    return inches(written) if written else None
