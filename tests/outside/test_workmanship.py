"""How bolts are put in, by free public standards of maintenance and workmanship.

Past a nut: FAA Advisory Circular 43.13-1B, 7-37: *at least one thread of the bolt protruding through the
nut*; NASA Workmanship Standards, book 6, 6.03: one and a half preferred. In a tapped hole: a published
workmanship text (sections 15.8.8 to 15.8.13; its publisher was not told where it was seen) asks for one
diameter in steel, one and a half in aluminium, and that in no case the screw bottoms in the hole.
"""

from fractions import Fraction

import pytest

from reconcile.standards import nut_height, threads
from reconcile.values.frames.frame import ENGAGEMENT_IN_DIAMETERS


def test_engagement_is_that_of_the_workmanship_text():
    assert ENGAGEMENT_IN_DIAMETERS["steel"] == 1
    assert ENGAGEMENT_IN_DIAMETERS["aluminium"] == Fraction(3, 2)


LOCK_NUTS = [
    (thread, nut_height(standard, thread))
    for standard in ("ISO 7040", "ASME B18.16.6")
    for thread in threads()
    if nut_height(standard, thread) is not None
]


@pytest.mark.parametrize(("thread", "height"), LOCK_NUTS, ids=[str(thread) for thread, _ in LOCK_NUTS])
def test_one_pitch_past_a_lock_nut_is_more_than_one_diameter_through_it(thread, height):
    """One pitch is one full thread: a bolt that shows it has the whole nut, insert and all, on thread."""
    assert height + thread.pitch > thread.diameter
