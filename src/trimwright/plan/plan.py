"""The plan: every stage's answer to one job, run in order. Holds no rule of its own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.plan.buying import Buying, shop
from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.quantities.measure import measure
from trimwright.plan.verdicts import Decision, Verdicts, decide

if TYPE_CHECKING:
    from datetime import datetime

    from trimwright.plan.calendar.tasks import Air, Bench
    from trimwright.plan.verdicts.program import Progress


@dataclass(frozen=True)
class Plan:
    """One job, what each stage made of it, and the facts behind it."""

    job: Job
    quantities: Quantities
    verdicts: Verdicts
    buying: Buying
    trade: Trade
    """The facts it was made with, the shop's own among them."""

    @property
    def decision(self) -> Decision:
        """What a later plan may stand on."""
        return Decision(self.quantities, self.verdicts)


def make_plan(job: Job, trade: Trade, *, before: Decision | None = None, progress: Progress | None = None) -> Plan:
    """Measure, decide, shop. BadInput when the job names what the trade does not know.

    Where the decision `before` still stands, nothing is decided again.
    """
    quantities = measure(job, trade)
    if before is not None and before.stands_for(quantities):
        verdicts = before.verdicts
    else:
        verdicts = decide(quantities, progress=progress)
    return Plan(job, quantities, verdicts, shop(job, quantities, verdicts), trade)


def bench_of(plan: Plan, *, start: datetime, air: Air | None = None) -> Bench:
    """All that is still to be made from `start` on, in the air of the shop as last read where none is given.

    The calendar is made of it when somebody asks (`calendar.schedule`), since that takes its time. BadInput with
    everything that fits nowhere.
    """
    from trimwright.plan.calendar.listing import list_tasks
    from trimwright.plan.sequence import arrange

    made = (plan.job, plan.trade, plan.quantities, plan.verdicts)
    return list_tasks(*made, plan.buying, arrange(*made), start=start, air=air)
