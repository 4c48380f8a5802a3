"""How words are rendered: nothing is broken that would be read as something else."""

import pytest

from reconcile.page.shown import said


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        ("Order 4 of 2 1/2 in today", "Order 4 of 2\N{NO-BREAK SPACE}1/2\N{NO-BREAK SPACE}in today"),
        ("80 mm long", "80\N{NO-BREAK SPACE}mm long"),
        ("by 2026-12-01 at last", 'by <span class="nb">2026-12-01</span> at last'),
        ("5 < 6 each", "5 &lt; 6 each"),
    ],
)
def test_a_length_and_a_day_stay_on_one_line(words: str, shown: str) -> None:
    assert said(words) == shown
