"""What is on its way: packs by seller, parts bought whole, work sent out; what needs it starts when it is here.

A delivery runs by the calendar, from its order to its arrival, and needs no hands. What is on the shelf or paid is
here already, and has no delivery.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from trimwright.job import events
from trimwright.plan.buying import Order
from trimwright.plan.buying.order import Whole
from trimwright.plan.calendar.drafts import Drafts
from trimwright.plan.calendar.shop import Shop
from trimwright.plan.calendar.shop_hours import DAY_MINUTES, minutes_between, moved
from trimwright.plan.calendar.tasks import After, Minutes, Task
from trimwright.plan.quantities.cabin import Course, Need
from trimwright.plan.verdicts.verdict import Bought

OVERDUE_DAYS = 2
"""What should have come and has not is waited for so much longer: our own guess."""


@dataclass(frozen=True)
class Coming:
    """Deliveries by what they bring."""

    materials: Mapping[str, tuple[str, ...]]
    """By material key."""
    parts: Mapping[str, str]
    """By part, of parts bought whole."""
    on_the_shelf: frozenset[tuple[str, str]]
    """(who needs it, material key) of what the shelf gives before any pack is opened."""

    def of(self, owner: str, needs: tuple[Need, ...], materials: frozenset[str] | None = None) -> Iterator[After]:
        """What to wait for before the needs of a part, a step or a batch; of certain materials where they are given."""
        for need in needs:
            wanted = materials is None or need.material.partition(":")[0] in materials
            if wanted and (owner, need.material) not in self.on_the_shelf:
                yield from map(After, self.materials.get(need.material, ()))


def delivery_id(what: str) -> str:
    """The task of a seller's packs, or of a part bought whole."""
    return f"delivery:{what}"


def deliveries(shop: Shop, drafts: Drafts) -> Coming:
    """A task for each seller's packs, and one for each part bought whole."""
    materials: defaultdict[str, list[str]] = defaultdict(list)
    parts: dict[str, str] = {}
    for order in shop.buying.orders:
        for since, packs in by_order_day(order, shop).items():
            task = drafts.add(packs_task(order, packs, since, shop, drafts))
            for pack in packs:
                materials[pack.material].append(task)
        for whole in order.wholes:
            if whole.source != "service":
                parts[whole.part] = drafts.add(part_task(order, whole, shop))
    by_key = {key: tuple(found) for key, found in materials.items()}
    return Coming(by_key, parts, frozenset(from_the_shelf(shop)))


def from_the_shelf(shop: Shop) -> Iterator[tuple[str, str]]:
    """(who, material key) as long as the shelf lasts: steps and batches first, then parts in the survey's order.

    What has to come from one batch waits for it.
    """
    offers, quantities = shop.quantities.materials, shop.quantities
    left = {key: 0 if offer.one_batch else offer.stock_milli for key, offer in offers.items()}
    needs = [(step, need) for step in shop.verdicts.steps for need in quantities.steps[step].needs]
    needs += [(item, need) for item in shop.verdicts.shared for need in quantities.shared[item].needs]
    needs += [(part, need) for part, course in shop.courses.items() for need in course.needs]
    for owner, need in needs:
        if 0 < need.milli <= left.get(need.material, 0):
            left[need.material] -= need.milli
            yield owner, need.material


def by_order_day(order: Order, shop: Shop) -> dict[datetime | None, list[Bought]]:
    """A seller's packs by when they were ordered; None = still to be ordered."""
    ordered = {
        (each.material, each.pack): each.at
        for each in shop.job.events
        if isinstance(each, events.Ordered) and not each.off and each.material is not None
    }
    found: dict[datetime | None, list[Bought]] = {}
    for pack in order.packs:
        found.setdefault(ordered.get((pack.material.partition(":")[0], pack.pack_id)), []).append(pack)
    return found


def packs_task(order: Order, packs: list[Bought], since: datetime | None, shop: Shop, drafts: Drafts) -> Task:
    """All packs of one seller, on one way; carriage is paid with the first."""
    days = shop.quantities.suppliers[order.supplier].days
    first = packs[0] is order.packs[0]
    return under_way(
        Task(
            id=drafts.free(delivery_id(order.supplier) + (f"/{since:%Y-%m-%d}" if since else "")),
            kind="delivery",
            name=f"from {order.name or 'a seller not named'}: {listed(packs)}",
            place="away",
            people=0,
            minutes=in_minutes(days),
            money=sum(each.money for each in packs) + (order.carriage if first else 0),
        ),
        since,
        shop,
    )


def listed(packs: list[Bought]) -> str:
    """The first few things of an order, in words.

    >>> listed([])
    ''
    """
    names = list(dict.fromkeys(each.name for each in packs))
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def part_task(order: Order, whole: Whole, shop: Shop) -> Task:
    """A part bought whole, on its way."""
    since = next(
        (
            each.at
            for each in reversed(shop.job.events)
            if isinstance(each, events.Ordered) and not each.off and each.part == whole.part
        ),
        None,
    )
    return under_way(
        Task(
            id=delivery_id(whole.part),
            kind="delivery",
            name=f"from {order.name or 'a seller not named'}",
            part=whole.part,
            place="away",
            people=0,
            minutes=in_minutes(whole.days),
            money=whole.money,
        ),
        since,
        shop,
    )


def in_minutes(days: tuple[int, int, int]) -> Minutes:
    """Days of the calendar as minutes."""
    low, likely, high = (each * DAY_MINUTES for each in days)
    return low, likely, high


def under_way(task: Task, since: datetime | None, shop: Shop) -> Task:
    """The delivery as begun on the day of its order; one that should be here by now is waited for a little longer."""
    if since is None:
        return task
    since = aware(since, shop)
    gone = max(0, minutes_between(since, shop.start))
    late = gone + OVERDUE_DAYS * DAY_MINUTES
    low, likely, high = (each if each > gone else late for each in task.minutes)
    return replace(task, begun=since, minutes=(min(low, likely), likely, max(high, likely)))


def aware(moment: datetime, shop: Shop) -> datetime:
    """An event's moment in the shop's zone; one without a zone is the shop's own clock."""
    zone = shop.hours.zone
    return moment.replace(tzinfo=zone) if moment.tzinfo is None else moment.astimezone(zone)


def sent_out(course: Course, minutes: Minutes) -> Task:
    """Work done elsewhere: the piece is away, and no hands are needed."""
    services = [each for each in course.purchases if each.source == "service"]
    return Task(
        id=f"{course.part}/away",
        kind="sent out",
        name=f"away: {services[0].what if services else course.name}",
        part=course.part,
        place="away",
        people=0,
        minutes=minutes,
        money=sum(round(each.price.mean) for each in services),
    )


def arrives(task: Task, shop: Shop) -> datetime:
    """When it comes at the earliest that is planned."""
    return moved(task.begun or shop.start, task.minutes[1])
