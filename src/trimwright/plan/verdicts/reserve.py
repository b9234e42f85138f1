"""What the job may really cost: the plan's money drawn many times over, causes common, lumps as lumps.

Every draw takes one value for each cause (damp, sun, wear, earlier work) and one for the hours factor; hidden
faults happen together when they share a cause, prices and redo on their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING, get_args

from trimwright.facts.trade import Cause
from trimwright.plan.quantities.cabin import Quantities, Spread
from trimwright.plan.verdicts import charges
from trimwright.plan.verdicts.recount import Count, Packs, hands_on_minutes, pack_offer
from trimwright.plan.verdicts.tangents import covered_root
from trimwright.worked import rounded_up

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from trimwright.plan.verdicts.program import Values

DRAWS = 20_000
LEAST_HOURS_FACTOR = 0.6
"""However well it goes, hours do not fall below this share of the plan."""


@dataclass(frozen=True, slots=True)
class Odds:
    """The simulated cost [minor]: chance of ending inside the sum, its standard error, the quantile at `sure`."""

    chance: float
    standard_error: float
    quantile: int

    def sure_enough(self, sure: float) -> bool:
        """Whether the simulated chance is at least `sure`."""
        return self.chance >= sure


def simulate(quantities: Quantities, count: Count, packs: Packs, *, draws: int = DRAWS, seed: int = 1) -> Odds:
    """The odds of a counted plan; the same seed gives the same odds."""
    import numpy as np

    cost = draw_costs(quantities, count, packs, draws=draws, rng=np.random.default_rng(seed))
    inside = float(np.mean(cost <= quantities.terms.sum))
    quantile = float(np.quantile(cost, quantities.terms.sure, method="higher"))
    return Odds(inside, sqrt(max(inside * (1 - inside), 1 / draws) / draws), rounded_up(quantile))


def spread_of(quantities: Quantities, count: Count, packs: Packs) -> float:
    """√V, covered from above, and the swings of a counted plan [minor]: what z multiplies in the model."""
    terms = quantities.terms
    own = [outcome for outcome in count.outcomes.values() if outcome.settled_by is None]
    found = [quantities.hidden[each] for each in count.hidden]
    variance = sum(charges.course_variance(terms, outcome.course, outcome.level) for outcome in own)
    variance += sum(charges.find_variance(terms, hidden) for hidden in found)
    variance += sum(number * pack_offer(quantities, pack).price_variance for pack, number in packs.items())
    hands_on = hands_on_minutes(quantities, count.outcomes, count.steps, count.shared)
    swings = sum(charges.labour(terms, minutes) for minutes in hands_on) * terms.hours_spread
    swings += sum(hidden.loading * charges.find_cost(terms, hidden) for hidden in found)
    return covered_root(variance) + swings


def draw_costs(quantities: Quantities, count: Count, packs: Packs, *, draws: int, rng: np.random.Generator) -> Values:
    """`draws` values of the whole job's money [minor]."""
    import numpy as np

    terms = quantities.terms
    own = [outcome for outcome in count.outcomes.values() if outcome.settled_by is None]
    factor = np.maximum(LEAST_HOURS_FACTOR, rng.normal(terms.hours_factor, terms.hours_spread, draws))
    per_minute = (1 + terms.talk_share) * terms.labour_per_hour / 60

    hands_on = sum(hands_on_minutes(quantities, count.outcomes, count.steps, count.shared))
    cost = count.firm + per_minute * hands_on * (factor - 1.0)

    for outcome in own:
        for purchase in outcome.course.purchases:
            cost = cost + _triangular(rng, purchase.price, draws) - purchase.price.mean
        redo = outcome.course.redo_at[outcome.level]
        again = outcome.course.redo_money + per_minute * outcome.course.minutes * factor
        if redo and np.any(again):
            cost = cost + again * (rng.geometric(1 - redo, draws) - 1)
    for pack, number in sorted(packs.items()):
        variance = pack_offer(quantities, pack).price_variance
        if variance:
            cost = cost + number * sqrt(3 * variance) * rng.uniform(-1, 1, draws)
    hidden: Values = _hidden_costs(quantities, count.hidden, factor * per_minute, draws, rng)
    return hidden + cost


def _hidden_costs(
    quantities: Quantities, ids: tuple[str, ...], per_minute: Values, draws: int, rng: np.random.Generator
) -> Values:
    import numpy as np

    cost = np.zeros(draws)
    for drawn in draw_finds(quantities, ids, draws=draws, rng=rng):
        cost += drawn.there * (drawn.money + per_minute * drawn.minutes)
    return cost


@dataclass(frozen=True, slots=True)
class DrawnFind:
    """One hidden fault in every draw: whether it is there, and what it would take [minor], [min]."""

    id: str
    there: NDArray[np.bool_]
    money: Values
    minutes: Values


def draw_finds(
    quantities: Quantities, ids: Iterable[str], *, draws: int, rng: np.random.Generator
) -> Iterator[DrawnFind]:
    """Hidden faults in `draws` draws, those of one cause coming together."""
    import numpy as np

    correlation = quantities.terms.correlation
    causes = {cause: rng.standard_normal(draws) for cause in get_args(Cause)}
    for each in ids:
        hidden = quantities.hidden[each]
        if not 0 < hidden.chance < 1:
            there = np.full(draws, hidden.chance >= 1)
        else:
            threshold = NormalDist().inv_cdf(hidden.chance)
            shared = correlation if hidden.loading else 0.0
            luck = sqrt(shared) * causes[hidden.cause] + sqrt(1 - shared) * rng.standard_normal(draws)
            there = luck < threshold
        minutes = _triangular(rng, hidden.minutes, draws)
        yield DrawnFind(each, there, _triangular(rng, hidden.money, draws), minutes)


def _triangular(rng: np.random.Generator, spread: Spread, draws: int) -> Values:
    import numpy as np

    if spread.high <= spread.low:
        return np.full(draws, float(spread.likely))
    drawn: Values = rng.triangular(spread.low, spread.likely, spread.high, draws)
    return drawn
