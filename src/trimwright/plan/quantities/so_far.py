"""What has happened so far, as the plan needs it: what is spent, what is done, what is off, what was found.

Money that is spent stays spent, as it was paid; what it bought is on the shelf, among the tools or among the parts
that are there. What is done stays done. What is promised is kept until the owner lets go of it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from trimwright.facts.trade import Trade
from trimwright.job import events
from trimwright.job.document import Job, Offer, Part, StockItem
from trimwright.plan.quantities.cabin import Line, Spent, Terms
from trimwright.plan.quantities.needs import visit_key
from trimwright.worked import rounded_up


@dataclass(frozen=True)
class SoFar:
    """The events of a job by what they mean for the plan; of several about one thing the last holds."""

    done: Mapping[str, events.Done]
    """By part."""
    off: frozenset[str]
    """Strip-down steps that are off and not back on."""
    back_on: Mapping[str, int]
    """How often each strip-down step has gone back on."""
    bags: Mapping[str, events.Bag]
    """By strip-down step, as each stands now."""
    looks: tuple[events.Look, ...]
    finds: tuple[events.Find, ...]
    dealt_with: frozenset[str]
    """Ids of the finds that have been dealt with and paid."""
    here: tuple[events.Bought, ...]
    """What was bought and has not gone back."""
    lines: frozenset[str]
    """Lines of the whole job that are done."""
    promised: Mapping[str, str]
    """The course promised, by part."""
    money: int
    minutes: int

    @property
    def lost(self) -> dict[str, int]:
        """Fixings counted missing or broken, by the strip-down step whose bag they should be in."""
        return {step: bag.missing + bag.broken for step, bag in self.bags.items()}

    @property
    def waiting(self) -> tuple[events.Find, ...]:
        """Finds that are still to be dealt with."""
        return tuple(each for each in self.finds if not each.is_left and each.id not in self.dealt_with)

    @property
    def left(self) -> tuple[events.Find, ...]:
        """Finds that are left and recorded."""
        return tuple(each for each in self.finds if each.is_left)

    @property
    def visits(self) -> frozenset[str]:
        """Visits that took place: keys into `Quantities.shared`."""
        return frozenset(visit_key(each.tool) for each in self.here if each.thing == "visit" and each.tool)

    def has(self, part: str, offer: Offer | None) -> bool:
        """Whether the part is here by this offer; without an offer, whether work sent out for it is paid."""
        of_part = [each for each in self.here if each.part == part]
        if offer is None:
            return any(each.source == "service" for each in of_part)
        return any(paid_offer(each) == offer.model_copy(update={"finish": each.finish}) for each in of_part)


def paid_offer(bought: events.Bought) -> Offer | None:
    """A bought part as an offer whose price is known; None for work sent out and for what is no part."""
    if bought.source is None or bought.source == "service":
        return None
    price = bought.paid
    return Offer(
        source=bought.source, low=price, likely=price, high=price, days=0, seller=bought.seller, finish=bought.finish
    )


def so_far(job: Job) -> SoFar:
    """What the events of the job come to."""
    bought = [each for each in job.events if isinstance(each, events.Bought)]
    spent = [each for each in job.events if isinstance(each, events.Spent)]
    opened = [each for each in job.events if isinstance(each, events.Opened)]
    done = [each for each in job.events if isinstance(each, events.Done)]
    is_off = {each.step: not each.back_on for each in opened}
    return SoFar(
        done={each.part: each for each in done},
        off=frozenset(step for step, off in is_off.items() if off),
        back_on=Counter(each.step for each in opened if each.back_on),
        bags={each.step: each for each in job.events if isinstance(each, events.Bag)},
        looks=tuple(each for each in job.events if isinstance(each, events.Look)),
        finds=tuple(each for each in job.events if isinstance(each, events.Find)),
        dealt_with=frozenset(each.find for each in spent if each.find is not None),
        here=tuple(each for each in bought if each.returned is None),
        lines=frozenset(each.line for each in spent if each.line is not None),
        promised=promises(job.events),
        money=sum(each.cost for each in bought) + sum(each.money for each in spent),
        minutes=sum(
            each.minutes
            for each in job.events
            if isinstance(each, events.Spent | events.Opened | events.Done | events.Snag)
        ),
    )


def promises(happened: Iterable[events.Event]) -> dict[str, str]:
    """The course each part is promised, once everything that was let go of is taken out."""
    held: dict[str, str] = {}
    for event in happened:
        if isinstance(event, events.Promised):
            held |= event.verdicts
        if isinstance(event, events.Released | events.Find):
            for part in event.parts if isinstance(event, events.Released) else event.drops:
                held.pop(part, None)
    return held


def spent_of(known: SoFar, terms: Terms) -> Spent:
    """What is spent, with the hours that went into it at the sum's rate."""
    return Spent(known.money, known.minutes, round(known.minutes * terms.labour_per_hour / 60))


# ---- what it bought --------------------------------------------------------------------------------------------------


def as_it_stands(job: Job, trade: Trade, known: SoFar) -> Job:
    """The job with what was bought in it: packs on the shelf, tools among the tools, parts as offers already paid."""
    materials = (each for each in known.here if each.material in trade.materials)
    tools = (each.tool for each in known.here if each.thing == "tool" and each.tool)
    return job.model_copy(
        update={
            "stock": (*job.stock, *(item for each in materials if (item := _on_the_shelf(each, trade)) is not None)),
            "tools": tuple(sorted({*job.tools, *tools})),
            "parts": tuple(_with_what_was_bought(part, known) for part in job.parts),
        }
    )


def _on_the_shelf(bought: events.Bought, trade: Trade) -> StockItem | None:
    """The packs as they stand on the shelf; None for a pack the trade does not know."""
    assert bought.material is not None
    sizes = {pack.id: pack.size for pack in trade.materials[bought.material].packs}
    amount = bought.amount if bought.pack is None else sizes.get(bought.pack, 0) * bought.count
    # not validated again: a shelf may hold more than anybody would type
    return StockItem.model_construct(material=bought.material, colour=bought.colour, amount=amount) if amount else None


def _with_what_was_bought(part: Part, known: SoFar) -> Part:
    """The part with an offer for each one bought: the offer that was taken, else a new one behind the others."""
    offers = list(part.offers)
    for each in known.here:
        paid = paid_offer(each) if each.part == part.id else None
        if paid is None:
            continue
        alike = [offer for offer in offers if offer.source == paid.source]
        exact = [offer for offer in alike if offer.seller == paid.seller]
        taken = exact[0] if exact else alike[0] if len(alike) == 1 and not paid.seller else None
        if taken is None:
            offers.append(paid)
        else:
            known_finish = taken.finish if paid.finish is None else paid.finish
            offers[offers.index(taken)] = paid.model_copy(update={"finish": known_finish})
    return part.model_copy(update={"offers": tuple(offers)})


def sundries_to_come(known: SoFar, terms: Terms) -> Iterator[Line]:
    """The small things that go with packs already bought, as far as they have not been bought themselves."""
    asked = sum(
        each.count * rounded_up(each.paid / each.count * (1 + terms.sundries_share)) - each.paid
        for each in known.here
        if each.thing == "material"
    )
    rest = asked - sum(each.cost for each in known.here if each.thing == "sundries")
    if rest > 0:
        yield Line("sundries", "Small things for the packs bought", rest, 0)
