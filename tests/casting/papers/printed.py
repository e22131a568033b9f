"""Print jobs for tests: a plan, or a day before any plan, as a paper takes it."""

from casting.models import Plan
from casting.papers.print_job import PlanPrintJob, PrintJob
from casting.presenters.opened_plan import OpenedPlan


def job_of(of, **how):
    """The job of a stored plan or of a day, the plan opened again; `how` may name its edition and origin."""
    if isinstance(of, Plan):
        return PlanPrintJob(day=of.day, opened=OpenedPlan(of, on_paper=True), **how)
    return PrintJob(day=of, **how)
