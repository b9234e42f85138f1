"""What own jobs teach: textbook Bayesian updating with conjugate priors, the trade's figure being the prior.

The formulas are those of any textbook on Bayesian data analysis, under "normal data with known variance", "binomial
data, beta prior" and "exponential data, gamma prior". `weight` is how many own jobs the trade's figure counts as; with
none seen it stands as it is, and the more are seen the less it says. Nothing is forgotten and no order matters:
everything is learned from all observations at once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import exp, log

from trimwright.book.document import Book, Held, Timed
from trimwright.facts.trade import Trade

WEIGHT = "own_jobs_weight"
"""The constant of the trade that says how many own jobs its figure weighs as much as."""


@dataclass(frozen=True, slots=True)
class Pace:
    """The shop's hours at a treatment over the table's, and how often it was timed."""

    times: float
    """What to multiply the table's hours by."""
    seen: int

    def __str__(self) -> str:
        return f"timed {_times(self.seen)}"


@dataclass(frozen=True, slots=True)
class Chance:
    """The chance of something, how often it was looked for and how often it was so."""

    chance: float
    seen: int
    so: int

    def __str__(self) -> str:
        return f"{self.so} of {_times(self.seen)}"


@dataclass(frozen=True, slots=True)
class Life:
    """How long a treatment holds, how often it was looked at again and how often it had failed."""

    years: float
    seen: int
    failed: int

    def __str__(self) -> str:
        return f"failed {self.failed} of {_times(self.seen)} looked at again"


@dataclass(frozen=True, slots=True)
class Lessons:
    """All that a book teaches: pace, redo chance and life of treatments, the chance of finds, by their ids."""

    paces: Mapping[str, Pace]
    redos: Mapping[str, Chance]
    finds: Mapping[str, Chance]
    lives: Mapping[str, Life]


def lessons(book: Book, trade: Trade) -> Lessons:
    """What the book's observations make of the trade's figures; KeyError for an id that the trade does not have.

    The prior of a redo is the middle of the table's low and high, that of a find the mean of its three points: what a
    plan counts with before anything is learned.
    """
    weight = trade.practice[WEIGHT].value
    timed: defaultdict[str, list[Timed]] = defaultdict(list)
    redone: defaultdict[str, list[bool]] = defaultdict(list)
    found: defaultdict[str, list[bool]] = defaultdict(list)
    held: defaultdict[str, list[Held]] = defaultdict(list)
    for spell in book.held:
        held[spell.treatment].append(spell)
    for time in book.timed:
        timed[time.treatment].append(time)
    for redo in book.redone:
        redone[redo.treatment].append(redo.again)
    for find in book.found:
        found[find.find].append(find.there)
    return Lessons(
        paces={each: learned_pace(seen, weight) for each, seen in sorted(timed.items())},
        redos={
            each: learned_chance(sum(trade.treatments[each].redo) / 2, seen, weight)
            for each, seen in sorted(redone.items())
        },
        finds={
            each: learned_chance(sum(trade.finds[each].chance) / 3, seen, weight)
            for each, seen in sorted(found.items())
        },
        lives={
            each: learned_life(trade.treatments[each].life_years[1], seen, weight)
            for each, seen in sorted(held.items())
        },
    )


def learned_pace(timed: Iterable[Timed], weight: float) -> Pace:
    """How much slower or quicker the shop is at one treatment than the table.

    The logarithm of real over planned minutes is taken as normal, with the prior mean 0 (the table is right) and the
    prior variance 1/`weight` of one job's. Whatever that variance is, the posterior of the typical log-ratio is normal
    round m = n/(n + weight) · mean(log(real/planned)).

    The answer is exp(m), the posterior *median* of the ratio: the table's hours are typical ones, and so are these.
    The mean of a log-normal lies above its median, but a plan already counts that once, by its hours factor (mean of
    real hours over planned ones); taking the mean here as well would count it twice.
    """
    ratios = [log(each.real / each.planned) for each in timed]
    return Pace(exp(sum(ratios) / (len(ratios) + weight)), len(ratios))


def learned_chance(prior: float, seen: Iterable[bool], weight: float) -> Chance:
    """The chance of a redo or a find.

    The prior is the beta distribution with mean `prior` and `weight` looks: Beta(weight·prior, weight·(1 − prior)).
    After n looks with k hits the posterior is Beta(weight·prior + k, weight·(1 − prior) + n − k); its mean is the
    answer, (weight·prior + k)/(weight + n).
    """
    looks = list(seen)
    hits = sum(looks)
    return Chance((weight * prior + hits) / (weight + len(looks)), len(looks), hits)


def learned_life(prior: float, seen: Iterable[Held], weight: float) -> Life:
    """How many years a treatment holds.

    The time to failure is taken as exponential, its rate with the gamma prior of shape `weight` and mean 1/`prior`.
    What still held when it was last looked at counts with the years it has held. After t years in all with k failures
    the rate's mean is (weight + k)/(weight·prior + t), and the answer one over it: (weight·prior + t)/(weight + k).
    """
    spells = list(seen)
    failed = sum(each.failed for each in spells)
    years = weight * prior + sum(each.years for each in spells)
    return Life(years / (weight + failed), len(spells), failed)


def _times(count: int) -> str:
    return "1 time" if count == 1 else f"{count} times"
