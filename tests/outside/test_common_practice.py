"""Figures that stand outside this project: the inch, and the two habits of the trade.

Common practice (no source): half an inch of bolt for each half-inch spacer, and even sides.
"""

from fractions import Fraction

import pytest
from workshop import MON, exploded, frame, inch, job, joint, seat_width, spacer_kinds

from reconcile.values.measure import inches

BUILT = frame(seat_width(joint(spacers=spacer_kinds(SP_050="1/2"))))


def bolt_of(found, do, side):
    return next(each.length for each in found.lines if (each.what, each.do, each.side) == ("bolt", do, side))


@pytest.mark.parametrize(
    ("sizes", "spacers"),
    [(("14", "15"), 1), (("15", "14"), -1), (("14", "16"), 2), (("18", "17"), -1), (("14", "20"), 6)],
)
def test_half_an_inch_of_bolt_for_each_half_inch_spacer(sizes, spacers):
    # Common practice: one more spacer asks for a bolt half an inch longer, one fewer for half an inch less.
    found = exploded(BUILT, job("J-1", MON, *sizes))
    for side in ("left", "right"):
        assert bolt_of(found, "fit", side) - bolt_of(found, "remove", side) == spacers * inch("1/2")
    on_and_off = [(each.do, int(each.quantity)) for each in found.lines if each.what == "spacer"]
    if spacers > 0:
        pieces = [dict(each.choices[0].parts)["SP-050"] for each in found.lines if each.what == "spacer"]
        assert (pieces, on_and_off) == ([spacers] * 2, [("fit", 1)] * 2)
    else:
        assert on_and_off == [("remove", -spacers)] * 2


@pytest.mark.parametrize("steps_now", range(13))
@pytest.mark.parametrize("steps_wanted", range(13))
def test_sides_end_even_or_one_step_apart(steps_now, steps_wanted):
    # Common practice: adjustments are kept symmetric.
    low, step = inch("14"), inch("1/2")
    one = job("J-1", MON, size_from=low + steps_now * step, size_to=low + steps_wanted * step)
    sides = [wanted for _, _, wanted in exploded(BUILT, one).steps.sides]
    assert sum(sides) == steps_wanted
    assert abs(sides[0] - sides[1]) == steps_wanted % 2


def test_an_inch_is_25_4_mm_exactly():
    # NIST SP 811, appendix B.8.
    assert inches(1) == Fraction("25.4")
    assert inches("1/128") * 128 == Fraction("25.4")
