"""What one item adds to the money, the minutes and the points: whole numbers, rounded once, used by every counter.

The model, the recount and the simulation sum these; none of them rounds again, so they agree to the minor unit.
"""

from __future__ import annotations

from trimwright.plan.quantities.cabin import Course, Hidden, PartOptions, Terms
from trimwright.worked import rounded_up


def labour(terms: Terms, minutes: float, factor: float = 1.0) -> int:
    """Money for hands-on `minutes` with talk and ordering on top [minor]; 0 when labour is outside the sum."""
    return round(minutes * (1 + terms.talk_share) * factor * terms.labour_per_hour / 60)


def planned_minutes(terms: Terms, minutes: float) -> int:
    """Minutes on the clock for hands-on `minutes`: talk and ordering on top, times the hours factor."""
    return round(minutes * (1 + terms.talk_share) * terms.hours_factor)


def with_sundries(terms: Terms, price: int) -> int:
    """A pack's price with its share of sundries on top, rounded up [minor]."""
    return rounded_up(price * (1 + terms.sundries_share))


def redo_odds(redo: float) -> float:
    """Expected number of times a course is done again: q + q² and so on."""
    return redo / (1 - redo)


def redo_spread(redo: float) -> float:
    """Variance of that number."""
    return redo / (1 - redo) ** 2


def redo_cost(terms: Terms, course: Course) -> int:
    """What doing the course once more costs [minor]."""
    return course.redo_money + labour(terms, course.minutes, terms.hours_factor)


def purchases_mean(course: Course) -> int:
    """The mean price of what is bought or sent out for the course [minor]."""
    return round(sum(purchase.price.mean for purchase in course.purchases))


def purchases_variance(course: Course) -> float:
    """Variance of that price."""
    return sum(purchase.price.variance for purchase in course.purchases)


def find_cost(terms: Terms, hidden: Hidden) -> int:
    """Mean cost of a hidden fault once it is there [minor]."""
    return round(hidden.money.mean) + labour(terms, hidden.minutes.mean, terms.hours_factor)


def find_variance(terms: Terms, hidden: Hidden) -> float:
    """Variance of what a hidden fault costs, beyond what its cause moves: there or not, and how dear."""
    cost = find_cost(terms, hidden)
    per_minute = (1 + terms.talk_share) * terms.hours_factor * terms.labour_per_hour / 60
    within = hidden.money.variance + per_minute**2 * hidden.minutes.variance
    lump = hidden.chance * (1 - hidden.chance) * cost**2 + hidden.chance * within
    return max(0.0, lump - (hidden.loading * cost) ** 2)


def course_variance(terms: Terms, course: Course, level: int) -> float:
    """Variance of a course's purchases and of how often it is done again."""
    return purchases_variance(course) + redo_spread(course.redo_at[level]) * redo_cost(terms, course) ** 2


def floor_payment(terms: Terms, part: PartOptions, finish: int) -> int:
    """Points paid for ending `finish` below the part's floor."""
    return terms.floor_points * max(0, (part.floor or 0) - finish)
