"""The verdicts against brute force, another solver, and what must hold for any cabin."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import ceil, sqrt
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_cabins import random_cabin

from trimwright.plan.quantities.cabin import LEAVE, Quantities
from trimwright.plan.verdicts import charges, decide, write_mps
from trimwright.plan.verdicts.recount import recount
from trimwright.plan.verdicts.search import Search

Z = 1.0


def best_points(cabin: Quantities, z: float = Z) -> int | None:
    """Most points at a fixed z, by the program."""
    found = Search(cabin, seconds=60, draws=200, seed=0, progress=None).at(z)
    return None if found is None else found.count.points


def one_pack_each(cabin: Quantities) -> Quantities:
    """The same cabin with one pack size a material, so that the packs of a plan follow from its courses."""
    materials = {key: replace(offer, packs=offer.packs[:1]) for key, offer in cabin.materials.items()}
    suppliers = {key: replace(each, least_order=0) for key, each in cabin.suppliers.items()}
    return replace(cabin, materials=materials, suppliers=suppliers)


def covered_root(variance: float) -> float:
    """The least tangent over √V, at 100 minor units and every 2.2-fold variance from there, written down anew."""
    point, tangents = 10_000.0, []
    while variance > 0 and point < variance * 1e3 + 1e6:
        if variance <= point * sqrt(2.2) + 1e-6:
            tangents.append(sqrt(point) / 2 + variance / (2 * sqrt(point)))
        point *= 2.2
    return min(tangents, default=0.0)


def brute_force(cabin: Quantities) -> int | None:
    """Every combination of courses, packs rounded up, money and reserve at `Z`: the most points that fit."""
    terms = cabin.terms
    best = None
    for courses in product(*(part.courses for part in cabin.parts)):
        chosen = {course.part: course for course in courses}
        counted = recount(cabin, chosen, {})
        packs = {}
        for key, used in counted.used_milli.items():
            offer = cabin.materials[key]
            if (number := ceil(max(0, used - offer.stock_milli) / offer.packs[0].size_milli)) > 0:
                packs[key, offer.packs[0].id] = number
        counted = recount(cabin, chosen, packs)
        variance = sum(number * cabin.materials[key].packs[0].price_variance for (key, _), number in packs.items())
        hands_on = sum(cabin.steps[step].minutes for step in counted.steps)
        hands_on_swing = sum(charges.labour(terms, cabin.steps[step].minutes) for step in counted.steps)
        hands_on_swing += sum(charges.labour(terms, cabin.shared[item].minutes) for item in counted.shared)
        hands_on_swing += sum(charges.labour(terms, line.minutes) for line in cabin.lines)
        for outcome in counted.outcomes.values():
            course, redo = outcome.course, outcome.course.redo_at[outcome.level]
            variance += sum(purchase.price.variance for purchase in course.purchases)
            variance += redo / (1 - redo) ** 2 * charges.redo_cost(terms, course) ** 2
            hands_on_swing += charges.labour(terms, course.minutes)
        swings = hands_on_swing * terms.hours_spread
        for each in counted.hidden:
            hidden = cabin.hidden[each]
            cost = charges.find_cost(terms, hidden)
            per_minute = (1 + terms.talk_share) * terms.hours_factor * terms.labour_per_hour / 60
            within = hidden.money.variance + per_minute**2 * hidden.minutes.variance
            lump = hidden.chance * (1 - hidden.chance) * cost**2 + hidden.chance * within
            variance += max(0.0, lump - (hidden.loading * cost) ** 2)
            swings += hidden.loading * cost
        reserve = Z * (covered_root(variance) + swings)
        inside = counted.expected + reserve <= terms.sum + 1e-6 and counted.minutes <= (terms.minutes or 10**9)
        if inside and hands_on >= 0 and (best is None or counted.points > best):
            best = counted.points
    return best


@pytest.mark.parametrize("seed", range(12))
def test_the_plan_is_the_best_of_all_combinations(seed: int) -> None:
    cabin = one_pack_each(random_cabin(seed, 5, courses=3, sum_share=0.2 + 0.05 * (seed % 6), labour=seed % 2 == 1))
    assert best_points(cabin) == brute_force(cabin)


@pytest.mark.parametrize("seed", range(4))
def test_another_solver_reads_the_mps_and_finds_the_same_points(seed: int, tmp_path: Path) -> None:
    """SCIP, through the OR-Tools model builder, on the exported first stage: minimise −points, no constant."""
    from ortools.linear_solver.python import model_builder

    cabin = random_cabin(100 + seed, 12, labour=seed % 2 == 1)
    verdicts = decide(cabin, seconds=60, draws=2_000)
    path = tmp_path / "stage.mps"
    write_mps(cabin, verdicts.proof.z, path)
    model = model_builder.Model()  # type: ignore[no-untyped-call]
    model.import_from_mps_file(str(path))
    solver = model_builder.Solver("scip")
    solver.set_time_limit_in_seconds(60)
    assert solver.solve(model) == model_builder.SolveStatus.OPTIMAL
    assert round(solver.objective_value) == -verdicts.points


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 10_000), more=st.integers(1, 40_000))
def test_more_money_never_gives_fewer_points(seed: int, more: int) -> None:
    cabin = random_cabin(seed, 7, courses=4)
    richer = replace(cabin, terms=replace(cabin.terms, sum=cabin.terms.sum + more))
    poor, rich = best_points(cabin), best_points(richer)
    assert poor is None or (rich is not None and rich >= poor)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 10_000), data=st.data())
def test_an_added_option_never_hurts(seed: int, data: st.DataObject) -> None:
    cabin = random_cabin(seed, 7, courses=4)
    number = data.draw(st.integers(0, len(cabin.parts) - 1))
    part = cabin.parts[number]
    fewer = replace(part, courses=tuple(course for course in part.courses if course is not part.courses[-1]))
    without = replace(cabin, parts=tuple(fewer if each is part else each for each in cabin.parts))
    before, after = best_points(without) if fewer.courses else None, best_points(cabin)
    assert before is None or (after is not None and after >= before)


@pytest.mark.parametrize("seed", range(6))
def test_money_adds_up_and_the_chance_is_kept(seed: int) -> None:
    cabin = random_cabin(200 + seed, 14, labour=seed % 2 == 0)
    verdicts = decide(cabin, seconds=60)
    money = verdicts.money
    assert verdicts.status == "optimal"
    lines = sum(line.money + charges.labour(cabin.terms, line.minutes) for line in cabin.lines)
    assert sum(verdict.money for verdict in verdicts.verdicts) + lines == money.firm
    assert money.firm + money.reserve + money.left == money.sum
    assert money.left >= 0
    assert money.chance >= cabin.terms.sure
    better = [chance for _, points, chance in verdicts.proof.tries if points > verdicts.points]
    assert all(chance < cabin.terms.sure for chance in better)
    assert verdicts.proof.bound == verdicts.points


def test_a_pin_holds_and_costs_points_or_nothing() -> None:
    cabin = random_cabin(7, 10)
    free = decide(cabin, draws=4_000)
    part = cabin.parts[3]
    taken = next(verdict.course for verdict in free.verdicts if verdict.part == part.part)
    other = next(course for course in part.courses if course is not taken)
    pinned = replace(part, courses=tuple(replace(course, pinned=course is other) for course in part.courses))
    held = decide(replace(cabin, parts=tuple(pinned if each is part else each for each in cabin.parts)), draws=4_000)
    chosen = next(verdict for verdict in held.verdicts if verdict.part == part.part)
    assert chosen.course is not None
    assert chosen.course.id == other.id
    assert chosen.pinned


def test_a_sum_that_cannot_pay_the_pins_says_what_is_short() -> None:
    cabin = random_cabin(11, 8)
    dear = [max(part.courses, key=lambda course: course.minutes) for part in cabin.parts]
    parts = tuple(
        replace(part, courses=tuple(replace(course, pinned=course is wanted) for course in part.courses))
        for part, wanted in zip(cabin.parts, dear, strict=True)
    )
    short = decide(replace(cabin, parts=parts, terms=replace(cabin.terms, sum=1_000, minutes=30)), draws=4_000)
    assert short.status == "short"
    assert short.short is not None
    assert short.short.money == short.money.firm + short.money.reserve - 1_000
    assert short.short.minutes == short.minutes - 30
    assert all(
        verdict.course and verdict.course.id == wanted.id for verdict, wanted in zip(short.verdicts, dear, strict=True)
    )
    assert len(short.short.because) >= len(parts)


def test_a_sum_of_nothing_leaves_everything_or_is_short() -> None:
    cabin = random_cabin(5, 8)
    free_of_suspicion = replace(
        cabin,
        hidden={key: replace(each, certain=False) for key, each in cabin.hidden.items()},
        lines=(),
        terms=replace(cabin.terms, sum=0),
    )
    verdicts = decide(free_of_suspicion, draws=2_000)
    assert verdicts.status == "optimal"
    assert all(
        verdict.course is not None and verdict.course.id == LEAVE for verdict in verdicts.verdicts if verdict.money
    )
    assert verdicts.money.firm == 0


def test_the_same_question_gets_the_same_answer() -> None:
    cabin = random_cabin(3, 10)
    first, second = decide(cabin, draws=2_000), decide(cabin, draws=2_000)
    assert replace(first, seconds=0.0) == replace(second, seconds=0.0)


@pytest.mark.parametrize("seed", range(3))
def test_a_search_cut_off_at_once_still_gives_a_plan_inside_the_sum(seed: int) -> None:
    cabin = random_cabin(300 + seed, 30)
    verdicts = decide(cabin, seconds=0.05, draws=2_000)
    assert verdicts.status in ("feasible", "optimal")
    assert verdicts.money.firm + verdicts.money.reserve <= cabin.terms.sum
    assert verdicts.minutes <= (cabin.terms.minutes or 0)
    assert verdicts.proof.bound >= verdicts.points
