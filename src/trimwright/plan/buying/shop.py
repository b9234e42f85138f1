"""shop(job, quantities, verdicts) → Buying: what the verdicts ask for, by who sells it. Nothing is decided here."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from trimwright.job.document import Job
from trimwright.plan.buying.order import Buying, MaterialUse, Once, Order, Whole
from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.quantities.measured import BURN_RATE
from trimwright.plan.verdicts import charges
from trimwright.plan.verdicts.verdict import Bought, Verdict, Verdicts


def shop(job: Job, quantities: Quantities, verdicts: Verdicts) -> Buying:
    """What a plan still has to buy; its total, the hours charged to the sum and what is spent already are firm."""
    own = [verdict for verdict in verdicts.verdicts if verdict.settled_by is None]
    return Buying(
        currency=verdicts.money.currency,
        orders=tuple(orders(job.time.start, quantities, verdicts, own)),
        materials=tuple(materials(quantities, verdicts)),
        once=tuple(paid_once(quantities, verdicts, own)),
        sundries=verdicts.sundries,
        whole_job=sum(line.money for line in quantities.lines),
        evidence=dict(packs_known(quantities, verdicts)),
        burn_rate=tuple(each.part for each in own if each.course and BURN_RATE in each.course.cautions),
    )


def orders(start: date | None, quantities: Quantities, verdicts: Verdicts, own: Iterable[Verdict]) -> Iterator[Order]:
    """One order a seller: those the trade knows first, then sellers named in offers, each in order of name."""
    packs: dict[str, list[Bought]] = defaultdict(list)
    wholes: dict[str, list[Whole]] = defaultdict(list)
    for each in verdicts.bought:
        packs[each.supplier].append(each)
    for verdict in own:
        for supplier, whole in bought_whole(verdict):
            wholes[supplier].append(whole)
    known = quantities.suppliers
    names = {seller: known[seller].name if seller in known else seller for seller in {*packs, *wholes}}
    for seller in sorted(names, key=lambda seller: (seller not in known, names[seller], seller)):
        days = slowest([whole.days for whole in wholes[seller]] + ([known[seller].days] if packs[seller] else []))
        yield Order(
            supplier=seller,
            name=names[seller],
            packs=tuple(packs[seller]),
            wholes=tuple(wholes[seller]),
            carriage=verdicts.carriage.get(seller, 0),
            free_over=known[seller].free_over if seller in known else 0,
            days=days,
            order_by=start - timedelta(days=days[2]) if start else None,
        )


def bought_whole(verdict: Verdict) -> Iterator[tuple[str, Whole]]:
    """(seller, what is bought) of a verdict's course; the last purchase takes what rounding leaves over."""
    purchases = verdict.course.purchases if verdict.course else ()
    rest = charges.purchases_mean(verdict.course) if verdict.course else 0
    for number, each in enumerate(purchases, 1):
        money = rest if number == len(purchases) else min(rest, round(each.price.mean))
        rest -= money
        yield (
            each.supplier,
            Whole(
                part=verdict.part,
                name=verdict.name,
                what=each.what,
                source=each.source,
                money=money,
                low=round(each.price.low),
                high=round(each.price.high),
                days=each.days,
                evidence=each.evidence,
            ),
        )


def slowest(days: Iterable[tuple[int, int, int]]) -> tuple[int, int, int]:
    """Each figure the highest of its kind."""
    low, likely, high = (max(each) for each in zip(*days, strict=True))
    return low, likely, high


def materials(quantities: Quantities, verdicts: Verdicts) -> Iterator[MaterialUse]:
    """Every material used, in order of name."""
    sizes = {(key, pack.id): pack.size_milli for key, offer in quantities.materials.items() for pack in offer.packs}
    bought: dict[str, int] = defaultdict(int)
    for each in verdicts.bought:
        bought[each.material] += each.count * sizes[each.material, each.pack_id]
    for key in sorted(verdicts.used_milli, key=lambda key: (quantities.materials[key].name, key)):
        offer = quantities.materials[key]
        yield MaterialUse(
            key=key,
            name=offer.name,
            unit=offer.unit,
            used_milli=verdicts.used_milli[key],
            stock_milli=offer.stock_milli,
            bought_milli=bought[key],
            one_batch=offer.one_batch,
            handling=offer.handling,
        )


def packs_known(quantities: Quantities, verdicts: Verdicts) -> Iterator[tuple[str, str]]:
    """How the price of each pack bought is known."""
    offers = {pack.id: pack for offer in quantities.materials.values() for pack in offer.packs}
    yield from ((each.pack_id, offers[each.pack_id].evidence) for each in verdicts.bought)


def paid_once(quantities: Quantities, verdicts: Verdicts, own: Iterable[Verdict]) -> Iterator[Once]:
    """Tools and visits that cost money, with the parts that ask for them."""
    courses: dict[str, Course] = {verdict.part: verdict.course for verdict in own if verdict.course}
    for item in verdicts.shared:
        shared = quantities.shared[item]
        if shared.what != "batch" and shared.money:
            asking = tuple(part for part, course in courses.items() if item in course.once)
            yield Once(item, shared.name, shared.what, shared.money, asking)
