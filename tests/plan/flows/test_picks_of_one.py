"""What one job takes from which bin is its share of the list for all jobs, whichever job is asked about."""

from bench_week import planned_demo, workshop_week

from reconcile.plan.flows.picks import Takes, picks_of
from reconcile.values.week.results import SHORT, Week


def shares(week: Week) -> dict[tuple[str, str], tuple]:
    """By job and part, the bins of the list for all."""
    return {
        (job.job, pick.part.number): job.bins for pick in week.picks for day in pick.days for job in day.jobs
    }


def asked_one_by_one(week: Week) -> dict[tuple[str, str], tuple]:
    parts = {**week.stock.parts, **week.unlisted}
    earlier = [result for result in week.others if result.job.day <= week.period.last]
    takes = [
        Takes(result.job.order, result.takes, result.awaited, result.missing)
        for result in (*week.jobs, *earlier)
        if result.kit != SHORT
    ]
    return {
        (result.job.number, pick.part.number): pick.bins
        for result in (*week.jobs, *earlier)
        for pick in picks_of(result, takes, parts)
        if pick.days
    }


def test_each_job_of_the_demo_takes_its_share() -> None:
    week = planned_demo()
    found = asked_one_by_one(week)
    assert len(found) > 100
    assert found == shares(week)


def test_so_does_each_of_many_jobs_that_run_a_part_down() -> None:
    week = workshop_week(40)
    found = asked_one_by_one(week)
    assert len(found) > 20
    assert found == shares(week)


def test_a_job_without_a_kit_takes_nothing() -> None:
    week = planned_demo()
    short = [result for result in week.jobs if result.kit == SHORT]
    assert short
    assert all(picks_of(result, (), week.stock.parts) == () for result in short)
