"""How fast the verdicts are proven, and against what: `python benchmarks/verdicts.py [--cabins N] [--tricks]`.

Random surveys of real bodies with 40, 110 and 300 parts: time to a proof or the gap after a minute; points gained
against the careful greedy at equal money and reserve; the first stage by CP-SAT on the same model. Random tangled
cabins (no body looks like that) show where it gets hard.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter

from careful_greedy import careful_greedy
from random_cabins import random_cabin
from surveyed_cabins import surveyed_cabin

from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.verdicts import Verdicts, decide, write_mps
from trimwright.plan.verdicts import program as solving

SECONDS = 60.0


def main() -> None:
    """Run what the options ask for and print it."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--cabins", type=int, default=10, help="cabins of 40 and of 110 parts; a fifth of it of 300")
    options.add_argument("--tricks", action="store_true", help="only what each setting of the solver gains on the demo")
    asked = options.parse_args()
    if asked.tricks:
        tricks()
        return
    for parts, number in ((40, asked.cabins), (110, asked.cabins), (300, max(1, asked.cabins // 5))):
        timed(f"surveyed cabins of {parts} parts", [surveyed_cabin(seed, parts) for seed in range(number)])
    timed("tangled cabins of 40 parts", [random_cabin(seed, 40) for seed in range(max(1, asked.cabins // 2))])
    for parts in (40, 110):
        against_greedy(parts, [surveyed_cabin(seed, parts) for seed in range(max(1, asked.cabins // 2))])
        against_cp_sat(parts, [surveyed_cabin(seed, parts) for seed in range(max(1, asked.cabins // 3))])


def timed(title: str, cabins: list[Quantities]) -> None:
    """Time, share proven and gap, all three stages and the reserve."""
    answers = [decide(cabin, seconds=SECONDS) for cabin in cabins]
    seconds = sorted(answer.seconds for answer in answers)
    ninth = quantiles(seconds, n=10, method="inclusive")[-1] if len(seconds) > 1 else seconds[0]
    proven = sum(answer.status == "optimal" for answer in answers)
    short = sum(answer.status == "short" for answer in answers)
    print(
        f"{title}: median {median(seconds):.1f} s, 90 % within {ninth:.1f} s, {proven} of {len(answers)} proven, "
        f"{short} short of money, "
        f"largest gap {max(answer.proof.gap for answer in answers):.4%} of the points gained"
    )


def against_greedy(parts: int, cabins: list[Quantities]) -> None:
    """Points gained over leaving everything, ours over the greedy's, at the same sum and z."""
    ratios = []
    for cabin in cabins:
        ours = decide(cabin, seconds=SECONDS)
        theirs = careful_greedy(cabin, ours.proof.z)
        gained = theirs.points - ours.proof.points_if_left
        if gained > 0:
            ratios.append((ours.points - ours.proof.points_if_left) / gained)
    print(
        f"points gained against the careful greedy, {parts} parts: {median(ratios):.3f} times in the median, "
        f"{min(ratios):.3f} to {max(ratios):.3f}, {len(ratios)} cabins"
    )


def against_cp_sat(parts: int, cabins: list[Quantities]) -> None:
    """The first stage at the z that was found, by HiGHS and by CP-SAT, 20 s each."""
    from ortools.linear_solver.python import model_builder

    rows = []
    for cabin in cabins:
        answer = decide(cabin, seconds=SECONDS)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "first.mps"
            write_mps(cabin, answer.proof.z, path)
            for name in ("highs", "sat"):
                model = model_builder.Model()  # type: ignore[no-untyped-call]
                model.import_from_mps_file(str(path))
                solver = model_builder.Solver(name)
                solver.set_time_limit_in_seconds(20)
                if name == "sat":  # its default scaling of real columns refuses the reserve's rows
                    solver.set_solver_specific_parameters("mip_var_scaling:100000")
                started = perf_counter()
                status = solver.solve(model)
                taken = perf_counter() - started
                done = status == model_builder.SolveStatus.OPTIMAL
                found = done or status == model_builder.SolveStatus.FEASIBLE
                rows.append((name, taken, done, -solver.objective_value / answer.points if found else 0.0))
    for name, title in (("highs", "HiGHS"), ("sat", "CP-SAT")):
        mine = [row for row in rows if row[0] == name]
        proven = f"{sum(row[2] for row in mine)} of {len(mine)} proven in 20 s"
        worst = f"worst {min(row[3] for row in mine):.4f} of the points"
        print(f"first stage, {parts} parts, {title}: median {median(row[1] for row in mine):.1f} s, {proven}, {worst}")


def tricks() -> None:
    """The demo with each of the solver's costly habits back on."""
    from trimwright.demo import demo_job
    from trimwright.facts import load
    from trimwright.plan.quantities.measure import measure

    cabin = measure(demo_job(), load())
    told("as it is", lambda: decide(cabin, seconds=SECONDS))
    everything = solving.COSTLY
    for habit in everything:
        solving.COSTLY = tuple(each for each in everything if each != habit)
        told(f"with {habit}", lambda: decide(cabin, seconds=SECONDS))
    solving.COSTLY = ()
    told("with all of them", lambda: decide(cabin, seconds=SECONDS))
    solving.COSTLY = everything


def told(title: str, ask: Callable[[], Verdicts]) -> None:
    """One line of time and status."""
    answer = ask()
    print(f"{title}: {answer.seconds:.1f} s, {answer.status}, {len(answer.proof.tries)} values of z tried")


if __name__ == "__main__":
    main()
