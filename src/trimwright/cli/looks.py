"""What to find out, what to hold for what is not known, and where to stop: `looks`, `reserve`, `papers --stop-at`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trimwright.cli.asked import end, planned
from trimwright.cli.money import Seconds
from trimwright.cli.options import AsJson, BookFile, JobFile
from trimwright.cli.terminal import console, counting, print_json, progress

if TYPE_CHECKING:
    from trimwright.plan.plan import Plan
    from trimwright.plan.verdicts.stop_loss import Stops


def looks(job_file: JobFile, seconds: Seconds = None, book: BookFile = None, as_json: AsJson = False) -> None:
    """Looks worth taking, what to open first, what to offer.

    Looks come before the quote, opening at strip-down, offers while the car is apart.
    """
    from trimwright.cli import looks_tables, shapes
    from trimwright.job.files import read_job
    from trimwright.plan.verdicts.asking import Asking
    from trimwright.plan.verdicts.looks import worth_taking
    from trimwright.plan.verdicts.opening import open_first, while_apart

    plan = planned(read_job(job_file), book)
    quantities, verdicts = plan.quantities, plan.verdicts
    with counting("what a look is worth") as answered:
        worth = worth_taking(quantities, verdicts, seconds=seconds, answered=answered)
    with counting("what is in reach while it is apart") as answered:
        apart = while_apart(quantities, verdicts, seconds=seconds, answered=answered)
    opened = open_first(quantities, Asking(quantities, verdicts).plan)
    if as_json:
        print_json(shapes.looks(worth, opened, apart, verdicts.money.currency))
    else:
        looks_tables.print_looks(console(), plan, worth)
        looks_tables.print_openings(console(), plan, opened)
        looks_tables.print_apart(console(), plan, apart)
    end(plan)


def reserve(job_file: JobFile, seconds: Seconds = None, book: BookFile = None, as_json: AsJson = False) -> None:
    """When the reserve may be let go, and what is given up first.

    The drop list stands behind the reserve: what goes, and in which order, should finds eat more.
    """
    from trimwright.cli import looks_tables, shapes
    from trimwright.job.files import read_job
    from trimwright.plan.verdicts.asking import Asking
    from trimwright.plan.verdicts.release import drop_list, release_plan

    plan = planned(read_job(job_file), book)
    quantities, verdicts = plan.quantities, plan.verdicts
    with progress("what would be given up first"):
        drops = drop_list(quantities, verdicts, seconds=seconds)
    release = release_plan(quantities, verdicts, Asking(quantities, verdicts).plan)
    if as_json:
        print_json(shapes.reserve(release, drops, verdicts.money))
    else:
        looks_tables.print_release(console(), plan, release)
        looks_tables.print_drops(console(), plan, drops)
    end(plan)


def stops_of(plan: Plan) -> Stops:
    """Where to stop with each mend, colour and cover of the plan, with progress on a terminal."""
    from trimwright.plan.verdicts.stop_loss import stops

    with counting("where to stop") as answered:
        return stops(plan.quantities, plan.verdicts, answered=answered)
