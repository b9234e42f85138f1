"""What the owner owes: the sum agreed on, what comes on top or off, what is paid; whole minor units.

Money that the owner pays changes no plan: the plan spends the sum, the account says how much of it is here.
"""

from __future__ import annotations

from dataclasses import dataclass

from trimwright.job.document import Job
from trimwright.job.events import Account, Bought, Event, Ordered, Payment, Promised


@dataclass(frozen=True, slots=True)
class Owed:
    """The owner's account. `due` is less than nothing when more is paid than owed."""

    agreed: int
    """The sum of the owner's last yes; without one, the job's sum."""
    is_agreed: bool
    fees: int
    """For working the owner's own material."""
    credit: int
    """What came of cores and left-overs and goes to the owner."""
    paid: int
    """Less what was given back."""
    held: int
    """What sellers hold for cores that have not gone back yet."""

    @property
    def due(self) -> int:
        return self.agreed + self.fees - self.credit - self.paid


def owed(job: Job) -> Owed:
    """The account as the job's events have it."""
    yeses = [each for each in job.events if isinstance(each, Promised)]
    beside = [each for each in job.events if isinstance(each, Account)]
    payments = [each for each in job.events if isinstance(each, Payment)]
    return Owed(
        agreed=yeses[-1].sum if yeses else job.money.sum,
        is_agreed=bool(yeses),
        fees=sum(each.money for each in beside if each.what == "owner's material"),
        credit=sum(each.came or 0 for each in beside if each.for_owner and each.what != "owner's material"),
        paid=sum(-each.money if each.what == "given back" else each.money for each in payments),
        held=sum(each.money for each in beside if each.what == "core" and each.came is None),
    )


def waited_for(order: Ordered, events: tuple[Event, ...]) -> int:
    """How many packs or pieces of an order are still to come."""
    came = sum(each.count for each in events if isinstance(each, Bought) and each.order == order.id)
    return 0 if order.off else max(0, order.count - came)


def at_its_price(order: Ordered, count: int) -> int:
    """What so many of an order should cost, as it was ordered [minor]; 0 where it said nothing."""
    return order.expected * count // order.count
