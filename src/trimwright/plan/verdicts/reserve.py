"""What the job may really cost: the plan's money drawn many times over, causes common, lumps as lumps.

Every draw takes one value for each cause (damp, sun, wear, earlier work) and one for the hours factor; hidden
faults happen together when they share a cause, prices and redo on their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
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

    cost = draw_costs(quantities, count, packs, draws=draws, rng=np.random.default_rng(seed)).total()
    inside = float(np.mean(cost <= quantities.terms.sum))
    quantile = quantile_at(quantities.terms.sure, cost)
    return Odds(inside, sqrt(max(inside * (1 - inside), 1 / draws) / draws), quantile)


def quantile_at(sure: float, cost: Values) -> int:
    """The least of the drawn costs that so large a share does not pass, in whole minor units."""
    import numpy as np

    return rounded_up(float(np.quantile(cost, sure, method="higher")))


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


@dataclass(frozen=True, eq=False)
class Drawn:
    """The whole job's money in every draw [minor], by what it hangs on: all of it adds up."""

    firm: int
    rest: Values
    """Hours and prices, more or less than firm."""
    redo: Mapping[str, Values]
    """What doing it again takes, by part."""
    found: Mapping[str, Values]
    """What each hidden fault takes, by its id."""

    def total(self, *, redo: Iterable[str] | None = None, found: Iterable[str] | None = None) -> Values:
        """Everything, or of what is done again and what is found only so much: parts and hidden faults by id."""
        parts = self.redo if redo is None else redo
        finds = self.found if found is None else found
        return self.firm + self.rest + sum(self.redo[each] for each in parts) + sum(self.found[each] for each in finds)


def draw_costs(quantities: Quantities, count: Count, packs: Packs, *, draws: int, rng: np.random.Generator) -> Drawn:
    """`draws` values of the job's money."""
    import numpy as np

    terms = quantities.terms
    factor = np.maximum(LEAST_HOURS_FACTOR, rng.normal(terms.hours_factor, terms.hours_spread, draws))
    per_minute = (1 + terms.talk_share) * terms.labour_per_hour / 60

    hands_on = sum(hands_on_minutes(quantities, count.outcomes, count.steps, count.shared))
    rest = per_minute * hands_on * (factor - 1.0)
    redone: dict[str, Values] = {}
    for part, outcome in count.outcomes.items():
        if outcome.settled_by is not None:
            continue
        for purchase in outcome.course.purchases:
            rest = rest + _triangular(rng, purchase.price, draws) - purchase.price.mean
        redo = outcome.course.redo_at[outcome.level]
        again = outcome.course.redo_money + per_minute * outcome.course.minutes * factor
        if redo and np.any(again):
            redone[part] = again * (rng.geometric(1 - redo, draws) - 1)
    for pack, number in sorted(packs.items()):
        variance = pack_offer(quantities, pack).price_variance
        if variance:
            rest = rest + number * sqrt(3 * variance) * rng.uniform(-1, 1, draws)
    found = {
        each.id: each.there * (each.money + factor * per_minute * each.minutes)
        for each in draw_finds(quantities, count.hidden, draws=draws, rng=rng)
    }
    return Drawn(count.firm, rest, redone, found)


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
        own = rng.standard_normal(draws)  # drawn for certain ones too: what is known of one leaves the others as drawn
        if not 0 < hidden.chance < 1:
            there = np.full(draws, hidden.chance >= 1)
        else:
            threshold = NormalDist().inv_cdf(hidden.chance)
            shared = correlation if hidden.loading else 0.0
            there = sqrt(shared) * causes[hidden.cause] + sqrt(1 - shared) * own < threshold
        minutes = _triangular(rng, hidden.minutes, draws)
        yield DrawnFind(each, there, _triangular(rng, hidden.money, draws), minutes)


def _triangular(rng: np.random.Generator, spread: Spread, draws: int) -> Values:
    import numpy as np

    if spread.high <= spread.low:
        return np.full(draws, float(spread.likely))
    drawn: Values = rng.triangular(spread.low, spread.likely, spread.high, draws)
    return drawn
