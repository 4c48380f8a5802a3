"""What a waiting job relies on, in words: a delivery, or what comes off another job."""

import pytest
from weeks import WED, waiting_job, week
from workshop import MON, kit_frame, kit_job, part, planned, stock
from workshop import WED as MIDWEEK

from reconcile.reports.week.screen import answer_line, check_screen
from reconcile.values.week.results import Answer


@pytest.mark.parametrize("number", ["J-4103", "order J-4103", "J-4103, again", "order"])
def test_what_comes_off_a_job_is_no_delivery_whatever_the_job_is_called(number):
    # The one A of the second job is what the first takes off on Monday; it is inspected by Tuesday.
    gives, takes = kit_frame("H", {"B": 1}, ("A",)), kit_frame("F", {"A": 1})
    jobs = [kit_job(number, MON, "H"), kit_job("J-2", MIDWEEK, "F")]
    found = planned(jobs, [gives, takes], stock(part("A"), part("B", 1)))
    assert answer_line(found.jobs[1]) == (
        f"Yes, when what comes off {number} is back on Tue 2026-12-01, after inspection;"
        " planned for Wed 2026-12-02."
    )


def test_a_delivery_is_named_by_its_order():
    assert answer_line(waiting_job()).startswith("Yes, when the delivery of order PO-12 is in on Wed")
    assert waiting_job().awaited[0].day == WED
    assert "2 each  B-14-300  from order PO-12, Wed 2026-12-02" in check_screen(Answer(waiting_job(), week()))
