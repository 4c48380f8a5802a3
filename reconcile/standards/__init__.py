"""What the published standards of fasteners list: threads, lengths, nuts, washers, drives, grades.

The tables are short because a wheelchair workshop needs few sizes: #4 to 1/2 in, M3 to M12. A table
marked *from memory* was written down without the standard at hand; its tests say which figures were
seen in print.
"""

from reconcile.standards.lengths import preferred_lengths, standard_thread_length
from reconcile.standards.threads import (
    METRIC,
    METRIC_FURTHER,
    UNIFIED,
    NoSuchThread,
    inch_size,
    inch_thread,
    metric_pitches,
    metric_thread,
    stress_area,
    threads,
)

__all__ = [
    "METRIC",
    "METRIC_FURTHER",
    "UNIFIED",
    "NoSuchThread",
    "inch_size",
    "inch_thread",
    "metric_pitches",
    "metric_thread",
    "preferred_lengths",
    "standard_thread_length",
    "stress_area",
    "threads",
]
