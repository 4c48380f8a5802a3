"""What the published standards of fasteners list: threads, lengths, nuts, washers, drives, grades.

The tables are short because a wheelchair workshop needs few sizes: #4 to 1/2 in, M3 to M12. A table
marked *from memory* was written down without the standard at hand; its tests say which figures were
seen in print.

May enter: ``values``. Tests: tests/test_standards.py; against what is published: tests/outside.
"""

from reconcile.standards.drives import drive_of, drive_size
from reconcile.standards.grades import ASTM_SPECIFICATIONS, PROPERTY_CLASSES, SAE_GRADES, astm_grades
from reconcile.standards.lengths import preferred_lengths, standard_thread_length
from reconcile.standards.nuts import NUT_STANDARDS, nut_height
from reconcile.standards.threads import (
    METRIC,
    METRIC_FURTHER,
    UNIFIED,
    NoSuchThread,
    inch_size,
    inch_thread,
    metric_pitches,
    metric_thread,
    threads,
)
from reconcile.standards.washers import WASHER_STANDARDS, Thickness, washer_thickness

__all__ = [
    "ASTM_SPECIFICATIONS",
    "METRIC",
    "METRIC_FURTHER",
    "NUT_STANDARDS",
    "PROPERTY_CLASSES",
    "SAE_GRADES",
    "UNIFIED",
    "WASHER_STANDARDS",
    "NoSuchThread",
    "Thickness",
    "astm_grades",
    "drive_of",
    "drive_size",
    "inch_size",
    "inch_thread",
    "metric_pitches",
    "metric_thread",
    "nut_height",
    "preferred_lengths",
    "standard_thread_length",
    "threads",
    "washer_thickness",
]
