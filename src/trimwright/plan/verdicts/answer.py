"""The best plan found, in the words people read: `Verdicts` from a counted and simulated candidate."""

from __future__ import annotations

from collections.abc import Mapping

from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.verdicts.recount import leaving
from trimwright.plan.verdicts.search import Candidate, Search
from trimwright.plan.verdicts.shares import fair_shares
from trimwright.plan.verdicts.verdict import Bought, Money, Proof, Short, Status, Verdict, Verdicts


def verdicts_of(search: Search, best: Candidate, status: Status, short: Short | None, seconds: float) -> Verdicts:
    """The answer in the words people read."""
    quantities, count, odds = search.quantities, best.count, best.odds
    terms = quantities.terms
    reserve = max(0, odds.quantile - count.firm)
    if short is None:  # a chance within the sampling error of `sure` may put the quantile just over the sum
        reserve = min(reserve, terms.sum - count.firm)
    shares = fair_shares(quantities, count, best.packs)
    if_left = leaving(quantities)
    gained = max(1, count.points - if_left)
    verdicts = []
    for part in quantities.parts:
        outcome = count.outcomes[part.part]
        own = outcome.settled_by is None
        verdicts.append(
            Verdict(
                part=part.part,
                name=part.name,
                zone=part.zone,
                course=outcome.course,
                settled_by=outcome.settled_by,
                money=shares[part.part] if own else 0,
                minutes=outcome.course.minutes if own else 0,
                finish_before=part.finish_now,
                finish_after=outcome.finish,
                pinned=outcome.course.pinned and own,
            )
        )
    return Verdicts(
        status=status,
        verdicts=tuple(verdicts),
        finish_before=count.finish_before,
        finish_after=count.finish_after,
        points=count.points,
        money=Money(
            currency=terms.currency,
            sum=terms.sum,
            firm=count.firm,
            expected=count.expected,
            reserve=reserve,
            left=terms.sum - count.firm - reserve,
            chance=odds.chance,
            chance_se=odds.standard_error,
        ),
        minutes=count.minutes,
        minutes_limit=terms.minutes,
        bought=tuple(_bought(quantities, best.packs)),
        used_milli=count.used_milli,
        carriage=count.carriage,
        steps=count.steps,
        shared=count.shared,
        hidden=count.hidden,
        sundries=count.sundries,
        given_up=count.given_up,
        short=short,
        proof=Proof(
            points=count.points,
            bound=best.bound,
            gap=max(0.0, (best.bound - count.points) / gained),
            points_if_left=if_left,
            z=best.z,
            tries=tuple(search.tries),
            columns=len(search.model.program.names),
            rows=len(search.model.program.rows),
            dropped=sum(part.dropped for part in quantities.parts),
        ),
        seconds=round(seconds, 3),
    )


def _bought(quantities: Quantities, packs: Mapping[tuple[str, str], int]) -> list[Bought]:
    rows = []
    for (key, pack_id), number in packs.items():
        material = quantities.materials[key]
        pack = next(each for each in material.packs if each.id == pack_id)
        rows.append(
            Bought(
                material=key,
                name=material.name,
                colour=material.colour,
                pack=pack.name,
                pack_id=pack.id,
                count=number,
                money=number * pack.price,
                supplier=pack.supplier,
            )
        )
    return sorted(rows, key=lambda row: (row.supplier, row.name, row.pack))
