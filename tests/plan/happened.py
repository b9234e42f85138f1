"""Events for the tests: what a person would note down about a plan as it is carried out."""

from __future__ import annotations

from typing import Any

from trimwright.job.document import Job
from trimwright.plan.plan import Plan
from trimwright.plan.verdicts import charges

AT = "2026-03-05T10:00:00"
YES = {"at": AT, "name": "Kim", "how": "signed"}


def happened(job: Job, *events: dict[str, Any]) -> Job:
    """The job with these events behind its own; each gets an id where it has none, and a time."""
    raw = job.model_dump(mode="json")
    for event in events:
        raw["events"].append({"id": f"h{len(raw['events'])}", "at": AT} | event)
    return Job.from_plain(raw)


def promise(plan: Plan) -> dict[str, Any]:
    """Every verdict of the plan promised."""
    own = [each for each in plan.verdicts.verdicts if each.settled_by is None and each.course]
    return {
        "kind": "promised",
        "sum": plan.job.money.sum,
        "yes": YES,
        "verdicts": {each.part: each.course.id for each in own if each.course},
    }


def everything_bought(plan: Plan) -> list[dict[str, Any]]:
    """All the plan buys, at exactly the prices it reckons with; the small things are still to come."""
    events: list[dict[str, Any]] = []
    for pack in plan.verdicts.bought:
        material, _, colour = pack.material.partition(":")
        events.append(
            {"thing": "material", "material": material, "colour": colour, "pack": pack.pack_id, "count": pack.count,
             "paid": pack.money, "seller": pack.supplier}
        )  # fmt: skip
    for verdict in plan.verdicts.verdicts:
        if verdict.course and verdict.course.purchases and verdict.settled_by is None:
            [purchase] = verdict.course.purchases
            paid = charges.purchases_mean(verdict.course)
            seller = purchase.supplier if purchase.evidence == "offer" else ""
            events.append(
                {"thing": "part", "part": verdict.part, "source": purchase.source, "seller": seller, "paid": paid}
            )
    for item in plan.verdicts.shared:
        shared = plan.quantities.shared[item]
        if shared.what != "batch":
            events.append({"thing": shared.what, "tool": item.partition(":")[2], "paid": shared.money})
    events += [{"thing": "carriage", "seller": each, "paid": paid} for each, paid in plan.verdicts.carriage.items()]
    return [{"kind": "bought"} | each for each in events]


def work(plan: Plan, part: str, **more: Any) -> dict[str, Any]:
    """The part's verdict done, in the time it was planned to take."""
    verdict = next(each for each in plan.verdicts.verdicts if each.part == part)
    assert verdict.course is not None
    return {"kind": "done", "part": part, "course": verdict.course.id, "minutes": verdict.course.minutes} | more
