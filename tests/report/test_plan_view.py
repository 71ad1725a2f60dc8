"""What is worked out of a plan before it is shown."""

from planner.report.plan_view import deadlines_of
from tests.report import invented


def test_without_tasks_the_weeks_of_the_bench_are_what_to_sort():
    """One a week, from this week's Monday on, with the range and gouge of the week."""
    plan = invented.plan_document(prepare=())
    found = deadlines_of(plan)
    monday = invented.TODAY.replace(day=23)
    weeks = [week for week in plan.weeks if week.place == plan.workshop.bench]
    due = [week for week in weeks if week.sort_by >= monday]
    assert 0 < len(due) < len(weeks)
    assert [deadline.by for deadline in found] == [week.sort_by for week in due]
    for week, deadline in zip(due, found, strict=True):
        (task,) = deadline.tasks
        assert (task.action, task.pieces) == ("sort", 0)
        assert (task.diameter_low_mm, task.diameter_high_mm, task.gouge_mm) == (
            week.diameter_mm.low,
            week.diameter_mm.high,
            week.gouge_mm.target,
        )
