"""Three offers for the quote: at the sum, for clearly less and for clearly more, and what each step more buys."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

from trimwright import units
from trimwright.charts.staircase import staircase as picture
from trimwright.papers import differences
from trimwright.papers.wording import Words, gauge
from trimwright.plan.plan import Plan
from trimwright.plan.verdicts.staircase import Stair, Staircase

LESS, MORE = 0.7, 1.4
"""The other offers are looked for near these shares of the sum."""
LESS_BAND, MORE_BAND = (0.45, 0.9), (1.1, 2.2)
"""What is no such share of the sum is no offer: too near to be another choice, or too far to be asked of anyone."""
TOLD = 4
"""So many differences are told, the rest counted."""
DRAWN = 2.5
"""The picture ends at this multiple of the sum."""
OPEN = 0.01
"""A gap worth a word, as a share of the points gained."""


def in_words(plan: Plan, staircase: Staircase | None) -> Words | None:
    """The offers side by side; None where there is nothing to set beside the plan."""
    if staircase is None or plan.verdicts.short is not None:
        return None
    stairs, here, the_sum = staircase.stairs, staircase.here, plan.job.money.sum
    less, more = chosen(staircase, the_sum)
    numbers = [each for each in (less, here, more) if each is not None]
    if numbers == [here]:
        return None
    sums = [the_sum if each == here else whole(stairs[each].sum, plan.job.money.currency) for each in numbers]
    pairs = list(pairwise(zip(numbers, sums, strict=True)))
    return {
        "columns": [column(stairs[each], sums[at], each - here, plan) for at, each in enumerate(numbers)],
        "steps": [step(stairs, low, high, here, plan) for low, high in pairs],
        "loosely": any(stairs[each].gap > OPEN for each in numbers if each != here),
        "picture": drawn(staircase, plan),
    }


def chosen(staircase: Staircase, sum_minor: int) -> tuple[int | None, int | None]:
    """The stairs under and over the plan's nearest to the usual shares of the sum, if the finish shows a difference."""
    finish = staircase.stairs[staircase.here].finish

    def nearest(share: float, band: tuple[float, float], way: int) -> int | None:
        fit = [
            (abs(stair.sum - share * sum_minor), number)
            for number, stair in enumerate(staircase.stairs)
            if band[0] * sum_minor <= stair.sum <= band[1] * sum_minor and (stair.finish - finish) * way > 0
        ]
        return min(fit)[1] if fit else None

    return nearest(LESS, LESS_BAND, -1), nearest(MORE, MORE_BAND, 1)


def column(stair: Stair, money: int, side: int, plan: Plan) -> Words:
    """One offer: its money [minor], the cabin's finish on the gauge and as a number, hours; `side` of the plan's."""
    before = plan.verdicts.finish_before
    return {
        "title": "This quote" if side == 0 else "For less" if side < 0 else "For more",
        "here": side == 0,
        "money": units.money(money, plan.job.money.currency, code=True),
        "gauge": gauge(round(before / 10), round(stair.finish / 10)) | {"told": f"{before} → {stair.finish}"},
        "hours": hours(stair.minutes),
    }


def step(stairs: Sequence[Stair], low: tuple[int, int], high: tuple[int, int], here: int, plan: Plan) -> Words:
    """What the step from one offer up to the next buys; each is told by its stair and its money [minor].

    What the step up to the plan buys is what is given up for less.
    """
    under, over = stairs[low[0]], stairs[high[0]]
    lines = differences.told(differences.between(stairs[low[0] + 1 : high[0] + 1], plan.quantities), plan.quantities)
    more = over.minutes - under.minutes
    time = f", {hours(abs(more))} {'more' if more > 0 else 'less'}" if abs(more) >= 60 else ""
    return {
        "money": units.money(high[1] - low[1], plan.job.money.currency, code=True),
        "told": f"{'Given up for less: finish' if high[0] == here else 'Finish'} {under.finish} → {over.finish}{time}.",
        "lines": lines[:TOLD],
        "more": counted(len(lines) - TOLD),
    }


def hours(minutes: int) -> str:
    """Whole hours.

    >>> hours(9078), hours(20)
    ('151 hours', '1 hour')
    """
    count = max(1, round(minutes / 60))
    return f"{count} hour{'s' * (count > 1)}"


def counted(rest: int) -> str:
    """How many differences are not told.

    >>> counted(0), counted(1), counted(7)
    ('', 'and 1 smaller change', 'and 7 smaller changes')
    """
    return "" if rest <= 0 else f"and {rest} smaller change{'s' * (rest > 1)}"


def whole(minor: int, currency: str) -> int:
    """Rounded up to a whole unit of the currency.

    >>> whole(158_148, "EUR"), whole(158_100, "EUR"), whole(1581, "JPY")
    (158200, 158100, 1581)
    """
    unit = int(10 ** units.exponent(currency))
    return ceil(minor / unit) * unit


def drawn(staircase: Staircase, plan: Plan) -> str:
    """The staircase as far as anybody would go."""
    money = plan.job.money
    near = [stair for stair in staircase.stairs if stair.sum <= DRAWN * money.sum]
    return picture(near, money.sum, money.currency, title="What more buys", wide=640.0, style="print")
