"""How long the questions round a decided plan take: `python benchmarks/money.py [--cabin demo|110] [--tricks]`.

The staircase, every most-to-pay price, replays on one worker and on two, and a find weighed; on the demo cabin and on
a random survey of a real body with 110 parts. With --tricks: the same staircase without its starts, and with a model
built anew for each question instead of one whose bounds change.
"""

from __future__ import annotations

import argparse
import resource
from collections.abc import Callable
from dataclasses import replace
from time import perf_counter
from typing import TypeVar

from surveyed_cabins import surveyed_cabin

from trimwright.demo import demo_job
from trimwright.facts import load
from trimwright.plan.quantities.cabin import Hidden, Quantities, Spread
from trimwright.plan.quantities.measure import measure
from trimwright.plan.verdicts import Verdicts, decide
from trimwright.plan.verdicts.again import decide_again
from trimwright.plan.verdicts.asking import Asking, Held
from trimwright.plan.verdicts.replay import replay
from trimwright.plan.verdicts.staircase import between, climb, ends_of, slack, used
from trimwright.plan.verdicts.walkaway import walk_away

CABINS: dict[str, Callable[[], Quantities]] = {
    "demo": lambda: measure(demo_job(), load()),
    "110": lambda: surveyed_cabin(4, 110),
}
REPLAYS = 300
AGAIN = 60
"""Replays to compare one worker with two."""
TRICK_LIMITS = 8

Answer = TypeVar("Answer")


def main() -> None:
    """Run what the options ask for and print it."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--cabin", choices=tuple(CABINS), help="only this cabin")
    options.add_argument("--tricks", action="store_true", help="what starts and one model kept gain")
    asked = options.parse_args()
    for name in [asked.cabin] if asked.cabin else CABINS:
        quantities = CABINS[name]()
        verdicts, seconds = timed(lambda cabin=quantities: decide(cabin))  # type: ignore[misc]
        courses = sum(len(part.courses) for part in quantities.parts)
        print(
            f"{name}: {len(quantities.parts)} parts, {courses} courses, decided in {seconds:.1f} s, {verdicts.status}"
        )
        if asked.tricks:
            tricks(quantities, verdicts)
        else:
            questions(quantities, verdicts)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"most memory: {peak:.0f} MB")


def timed(work: Callable[[], Answer]) -> tuple[Answer, float]:
    """What `work` gives, and its seconds."""
    started = perf_counter()
    return work(), perf_counter() - started


def questions(quantities: Quantities, verdicts: Verdicts) -> None:
    """The staircase, most to pay, replays, a find."""
    stairs, seconds = timed(lambda: climb(quantities, verdicts))
    gaps = [each.gap for each in stairs.stairs]
    print(f"  staircase: {len(gaps)} stairs in {seconds:.1f} s, largest gap {max(gaps):.2%} of the points gained")
    looks, seconds = timed(lambda: walk_away(quantities, verdicts))
    proven = sum(each.proven for each in looks)
    matters = [each for each in looks if each.at_most >= each.sought.price.low]
    print(
        f"  most to pay: {len(looks)} prices in {seconds:.1f} s, {proven} proven; {len(matters)} could be as high as "
        f"somebody asks, {sum(each.proven for each in matters)} of those proven"
    )
    found, seconds = timed(lambda: replay(quantities, verdicts, n=REPLAYS))
    print(f"  {REPLAYS} replays: {seconds:.1f} s; the sum holds in {found.holds:.0%}")
    one, two = (timed(lambda n=workers: replay(quantities, verdicts, n=AGAIN, workers=n)) for workers in (1, 2))  # type: ignore[misc]
    same = replace(one[0], seconds=0) == replace(two[0], seconds=0)
    print(f"  {AGAIN} replays: a second worker is {one[1] / two[1]:.2f} × as fast; the answer is the same: {same}")
    again, seconds = timed(lambda: decide_again(with_a_find(quantities, verdicts), verdicts))
    print(f"  a find decided again: {seconds:.2f} s, gap {again.proof.gap:.2%}")


def with_a_find(quantities: Quantities, verdicts: Verdicts) -> Quantities:
    """The cabin after strip-down has shown something that takes half of the reserve and two hours."""
    money = verdicts.money.reserve // 2
    find = Hidden("found", "found", 1.0, 0.0, Spread(money, money, money), Spread(120, 120, 120), "damp", True, True)
    return replace(quantities, hidden={**quantities.hidden, find.id: find})


def tricks(quantities: Quantities, verdicts: Verdicts) -> None:
    """The same limits, each solved to the same closeness: what each trick gains."""
    asker = Asking(quantities, verdicts)
    lowest, highest = ends_of(asker, "money", 5.0)
    below, above = between(*(used(asker, "money", each) for each in (lowest, asker.plan, highest)))
    limits = [*below, *above][:: max(1, len(below + above) // TRICK_LIMITS)]
    gap = slack(asker)

    def climbing() -> None:
        best = lowest
        for limit in limits:
            best = asker.most_points(Held(money=limit), best.values, seconds=60, gap=gap) or best

    def from_the_plan() -> None:
        for limit in limits:
            asker.most_points(Held(money=limit), asker.plan.values, seconds=60, gap=gap)

    def without_starts() -> None:
        for limit in limits:
            with asker.holding(Held(money=limit)):
                asker.search.narrow(None)
                costs = asker.search.model.costs("points")
                asker.search.solver.improve(costs, None, seconds=60, absolute_gap=gap)

    def built_anew() -> None:
        best = lowest
        for limit in limits:
            fresh = Asking(quantities, verdicts)
            best = fresh.most_points(Held(money=limit), best.values, seconds=60, gap=gap) or best

    base = timed(climbing)[1]
    print(f"  {len(limits)} stairs, each from the one below, one model kept: {base:.1f} s")
    for name, work in (
        ("each from the decided plan", from_the_plan),
        ("no start and no look near it, V bounded without it", without_starts),
        ("a model built anew for each", built_anew),
    ):
        seconds = timed(work)[1]
        print(f"  {name}: {seconds:.1f} s, {seconds / base:.2f} × as long")


if __name__ == "__main__":
    main()
