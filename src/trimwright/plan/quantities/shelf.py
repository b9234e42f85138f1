"""What can be bought for the courses: materials with their packs, suppliers, tools, visits and batches."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from math import ceil

from trimwright.facts.trade import Material, Pack, Price, Trade, Treatment
from trimwright.job.document import Job
from trimwright.plan.quantities.cabin import MaterialOffer, Need, PackOffer, Shared, SupplierOffer
from trimwright.plan.quantities.needs import batch_key, material_key, tool_key, visit_key
from trimwright.plan.quantities.prices import Till
from trimwright.plan.quantities.surveyed import Surveyed
from trimwright.worked import rounded_down

VISIT_PRICE = "scan_check"
"""The service whose price a visit is taken to cost."""


def materials(
    needs: Iterable[Need], job: Job, trade: Trade, till: Till, used: Mapping[str, int]
) -> dict[str, MaterialOffer]:
    """Every material that some course or step needs, by key, with its packs priced and what is in stock.

    `used` is what has gone into the work that is done, in thousandths by key: it is on the shelf no more.
    """
    stock: Counter[str] = Counter()
    for item in job.stock:
        stock[material_key(trade.materials[item.material], item.colour)] += rounded_down(item.amount * 1000)
    offers: dict[str, MaterialOffer] = {}
    for key in sorted({need.material for need in needs}):
        material_id, _, colour = key.partition(":")
        material = trade.materials[material_id]
        offers[key] = MaterialOffer(
            key=key,
            material=material.id,
            colour=colour,
            name=f"{material.name}, {colour}" if colour else material.name,
            unit=material.unit,
            packs=tuple(_pack(pack, till) for pack in material.packs),
            stock_milli=max(0, stock[key] - used.get(key, 0)),
            one_batch=material.one_batch,
            handling=material.handling,
        )
    return offers


def _pack(pack: Pack, till: Till) -> PackOffer:
    """A pack at its middle price; the price is anywhere between low and high alike, so a twelfth of the square."""
    low, high = (till.taxed(each, "materials") for each in till.limits(pack.price))
    return PackOffer(
        id=pack.id,
        name=pack.sold_as,
        size_milli=rounded_down(pack.size * 1000),
        price=till.middle(pack.price, "materials"),
        price_variance=(high - low) ** 2 / 12,
        supplier=pack.supplier,
        evidence=pack.evidence.told,
    )


def suppliers(asked: Iterable[str], trade: Trade, till: Till) -> dict[str, SupplierOffer]:
    """The suppliers behind packs and bought parts, with carriage in the job's currency."""
    return {
        each: SupplierOffer(
            id=each,
            name=trade.suppliers[each].name,
            carriage=till.middle(trade.suppliers[each].carriage, "materials", "parts"),
            free_over=_middle(till, trade.suppliers[each].free_over),
            least_order=_middle(till, trade.suppliers[each].least_order),
            days=trade.suppliers[each].days,
        )
        for each in sorted(set(asked) & set(trade.suppliers))
    }


def _middle(till: Till, price: Price | None) -> int:
    return 0 if price is None else till.middle(price, "materials", "parts")


def per_milli(material: Material, till: Till) -> float:
    """Price of a thousandth of the unit by the cheapest pack [minor]: what using it once more costs, pro rata."""
    return min((till.middle(pack.price, "materials") / (pack.size * 1000) for pack in material.packs), default=0.0)


def shared_of(treatment: Treatment, part: Surveyed, job: Job, trade: Trade, till: Till) -> Iterator[Shared]:
    """What a treatment on a part shares with other parts: tools, a visit, a batch."""
    for each in treatment.tools:
        yield tool(each, job, trade, till)
    if treatment.visit:
        yield visit(treatment.visit, trade, till)
    if treatment.batch:
        yield batch(treatment, part)


def tool(tool_id: str, job: Job, trade: Trade, till: Till) -> Shared:
    """A tool to buy: a shop is charged its share for one job, an owner with one car the whole price."""
    found = trade.tools[tool_id]
    price = till.middle(found.price, "tools")
    return Shared(tool_key(tool_id), found.name, "tool", ceil(price / found.jobs) if job.car.commercial else price, 0)


def visit(visit_id: str, trade: Trade, till: Till) -> Shared:
    """Somebody who comes once for the whole job, priced by the pack of that name."""
    service = trade.materials[VISIT_PRICE]
    price = min(till.middle(pack.price, "outside work") for pack in service.packs)
    return Shared(visit_key(visit_id), service.name, "visit", price, 0)


def batch(treatment: Treatment, part: Surveyed) -> Shared:
    """The work that all parts of one colour share."""
    assert treatment.batch is not None
    named = f"{treatment.batch.replace('_', ' ')}{f', {part.part.colour}' if part.part.colour else ''}"
    return Shared(batch_key(treatment.batch, part.colour), named, "batch", 0, treatment.batch_minutes)
