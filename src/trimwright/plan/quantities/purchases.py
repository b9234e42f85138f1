"""What is bought for one course: the part itself by an offer or the trade's marked guess, or work done elsewhere."""

from __future__ import annotations

from collections.abc import Sequence

from trimwright.facts.trade import Trade, Treatment
from trimwright.plan.quantities.cabin import Purchase
from trimwright.plan.quantities.courses import Outline, source_bought
from trimwright.plan.quantities.needs import come_to
from trimwright.plan.quantities.prices import Till
from trimwright.plan.quantities.surveyed import Surveyed
from trimwright.worked import rounded_up

SELLERS = {"new": "parts_counter", "used": "breaker", "reproduction": "reproduction_house"}
"""Which supplier stands behind a guess."""


def price_known(treatment: Treatment, part: Surveyed) -> bool:
    """Whether anything is known of the price of what the treatment buys."""
    if treatment.buys is None or treatment.buys == "service":
        return True
    return treatment.buys in part.kind.guessed_prices_usd or any(
        offer.source == treatment.buys for offer in part.offers
    )


def purchase_of(part: Surveyed, outline: Outline, trade: Trade, till: Till) -> tuple[Purchase, ...]:
    """The purchases of a course; empty when it only uses materials."""
    source = source_bought(outline.treatments)
    if source is None:
        return ()
    if source == "service":
        return _services(part, outline.treatments, trade, till)
    offer = outline.offer
    if offer is not None:
        price = till.spread((each + offer.delivery for each in (offer.low, offer.likely, offer.high)), "parts")
        return (Purchase(part.part.name, source, offer.seller, price, (offer.days,) * 3, "offer"),)
    price = till.spread_usd(part.kind.guessed_prices_usd[source], "parts", times=part.pieces)
    seller = SELLERS[source]
    return (Purchase(part.part.name, source, seller, price, trade.suppliers[seller].days, "guess"),)


def _services(part: Surveyed, treatments: Sequence[Treatment], trade: Trade, till: Till) -> tuple[Purchase, ...]:
    """Work sent out: what the treatment would use is bought as a service, by the piece."""
    bought = []
    for treatment in treatments:
        if treatment.buys != "service":
            continue
        for material_id, rates in treatment.uses:
            material = trade.materials[material_id]
            pack = min(material.packs, key=lambda each: sum(till.limits(each.price)) / each.size)
            low, high = till.limits(pack.price)
            times = come_to(rates, material.unit, treatment, part).value / pack.size
            price = till.spread((low * times, (low + high) / 2 * times, high * times), "outside work")
            days = away_days(treatment) or trade.suppliers[pack.supplier].days
            bought.append(Purchase(material.name, "service", pack.supplier, price, days, pack.evidence.told))
    return tuple(bought)


def away_days(treatment: Treatment) -> tuple[int, int, int] | None:
    """The days its pieces are away, by its own recipe; None where that does not say."""
    away = next((wait for wait in treatment.waits if wait.place == "away"), None)
    if away is None:
        return None
    low, likely, high = (rounded_up(each / 24) for each in away.hours)
    return low, likely, high
