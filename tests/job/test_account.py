from __future__ import annotations

from typing import Any

from trimwright.job.account import Owed, owed, waited_for
from trimwright.job.document import Job
from trimwright.job.edits import AddEntry, apply
from trimwright.job.events import Ordered

AT = {"at": "2026-03-05T10:00:00"}
YES = {"at": "2026-03-05T09:00:00", "name": "Kim", "how": "signed"}


def with_events(job: Job, *events: dict[str, Any]) -> Job:
    job = job.model_copy(update={"events": ()})
    for number, event in enumerate(events):
        job = apply(job, AddEntry(path=("events",), value=AT | {"id": f"a{number}"} | event))
    return job


def test_before_a_yes_the_jobs_own_sum_is_owed(job: Job) -> None:
    assert owed(with_events(job)) == Owed(job.money.sum, False, 0, 0, 0, 0)


def test_what_is_due_is_the_sum_agreed_with_fees_less_credit_and_payments(job: Job) -> None:
    """Worked by hand: 9000 + 300 − 250 − (4000 + 1000 − 200) = 4250; the core that went back is held no more."""
    account = owed(
        with_events(
            job,
            {"kind": "promised", "sum": 9000, "verdicts": {"shelf": "leave"}, "yes": YES},
            {"kind": "payment", "what": "deposit", "money": 4000},
            {"kind": "payment", "what": "stage", "money": 1000},
            {"kind": "payment", "what": "given back", "money": 200},
            {
                "kind": "account",
                "what": "owner's material",
                "name": "a hide",
                "money": 300,
                "came": 77,
                "for_owner": True,
            },
            {"kind": "account", "what": "left-over", "name": "old seats", "money": 400, "came": 250, "for_owner": True},
            {"kind": "account", "what": "left-over", "name": "half a hide", "money": 400, "came": 90},
            {"kind": "account", "what": "core", "name": "old pump", "money": 60},
            {"kind": "account", "what": "core", "name": "old rack", "money": 80, "came": 80},
        )
    )
    assert account == Owed(agreed=9000, is_agreed=True, fees=300, credit=250, paid=4800, held=60)
    assert account.due == 4250


def test_an_order_is_waited_for_until_all_of_it_came_or_nobody_waits(job: Job) -> None:
    order = {"kind": "ordered", "thing": "material", "material": "dye", "pack": "dye-1", "count": 3}
    two = {"kind": "bought", "thing": "material", "material": "dye", "pack": "dye-1", "count": 2, "paid": 5,
           "order": "a0"}  # fmt: skip

    def waiting(*events: dict[str, Any]) -> int:
        told = with_events(job, *events).events
        assert isinstance(told[0], Ordered)
        return waited_for(told[0], told)

    assert waiting(order) == 3
    assert waiting(order, two) == 1
    assert waiting(order, two, two) == 0
    assert waiting(order | {"off": True}, two) == 0
