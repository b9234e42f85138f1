"""Open instances through our model and the plain one: `python benchmarks/scheduling.py DIR [--seconds S]`.

DIR holds `best_known_scheduling.csv` (columns set, group, file, best) and the instances it names: PSPLIB `.sm`, `.sch`
with time lags, and a json of job shops (`file.json#name`). For each group: how many are solved to proof and the mean
gap to the best known end, ours and the plain CP-SAT model's (no start given, no bounds of ours, the same seconds and
workers). The best known ends are only compared with, never given to a solver.
"""

from __future__ import annotations

import argparse
import csv
import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import mean
from time import perf_counter

from instances import job_shop, read_sch, read_sm

from trimwright.errors import NoTimetable
from trimwright.plan.calendar.check import faults
from trimwright.plan.calendar.greedy import end_of
from trimwright.plan.calendar.model import Asked, ask
from trimwright.plan.calendar.network import network_of
from trimwright.plan.calendar.project import Project
from trimwright.plan.calendar.solve import solve

NONE_THERE = "unsat"


@dataclass(frozen=True)
class Instance:
    """One instance and what is known of it."""

    group: str
    name: str
    best: int | None
    """None = it is known to have no timetable."""
    project: Project


@dataclass(frozen=True)
class Run:
    """How one way did on one instance."""

    end: int | None
    proven: bool
    seconds: float

    def above(self, best: int | None) -> float | None:
        """The gap to the best known end; None where there is no end to compare."""
        return None if best is None or self.end is None else self.end / best - 1


def main() -> None:
    """Run every instance both ways and print each and its group's figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("folder", type=Path)
    options.add_argument("--seconds", type=float, default=10.0)
    options.add_argument("--only", default="", help="only groups and files whose name holds this")
    options.add_argument("--alone", action="store_true", help="without the plain model beside it")
    asked = options.parse_args()
    groups: dict[str, list[tuple[Instance, Run, Run | None]]] = defaultdict(list)
    for instance in instances_in(asked.folder, asked.only):
        mine = ours(instance.project, asked.seconds)
        beside = None if asked.alone else plain(instance.project, asked.seconds)
        groups[instance.group].append((instance, mine, beside))
        both = told(mine) if beside is None else f"{told(mine)}; plain {told(beside)}"
        print(f"  {instance.name:12} best {instance.best}: {both}", flush=True)
    for group, runs in groups.items():
        print(summary(group, runs))


def instances_in(folder: Path, only: str) -> Iterator[Instance]:
    """Every single-mode instance that the list of best known ends names."""
    readers = {".sm": read_sm, ".sch": read_sch}
    with (folder / "best_known_scheduling.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            where, _, name = row["file"].partition("#")
            path = folder / where
            if only not in row["group"] and only not in row["file"]:
                continue
            if path.suffix in readers:
                project = readers[path.suffix](path)
            elif path.suffix == ".json":
                shop = json.loads(path.read_text(encoding="utf-8"))[name]
                project = job_shop(shop["duration_matrix"], shop["machines_matrix"])
            else:
                continue
            best = None if row["best"] == NONE_THERE else int(row["best"])
            yield Instance(row["group"], name or path.stem, best, project)


def ours(project: Project, seconds: float) -> Run:
    """Our way: start, bound, breeding, model."""
    begun = perf_counter()
    try:
        found = solve(project, seconds=seconds)
    except NoTimetable as none:
        return Run(None, none.proven, perf_counter() - begun)
    if faults(project, found):
        raise AssertionError(faults(project, found))
    return Run(found.end, found.proven, perf_counter() - begun)


def plain(project: Project, seconds: float) -> Run:
    """The constraint model alone."""
    begun = perf_counter()
    try:
        network = network_of(project)
    except NoTimetable:
        return Run(None, True, perf_counter() - begun)
    answer = ask(network, Asked(seconds))
    end = None if answer.starts is None else end_of(network, answer.starts)
    return Run(end, answer.outcome in {"proven", "none there"}, perf_counter() - begun)


def told(run: Run) -> str:
    """One run in words."""
    return f"{run.end if run.end is not None else 'none'}{' proven' if run.proven else ''} in {run.seconds:.1f} s"


def summary(group: str, runs: list[tuple[Instance, Run, Run | None]]) -> str:
    """A group's figures."""
    lines = [figures([(instance, run) for instance, run, _ in runs], f"{group}: ours")]
    beside = [(instance, run) for instance, _, run in runs if run is not None]
    if beside:
        lines.append(figures(beside, "plain"))
        sooner = [other.end / mine.end - 1 for _, mine, other in runs if other is not None and other.end and mine.end]
        worse = sum(gain < 0 for gain in sooner)
        lines.append(f"gain {mean(sooner):+.2%}, worse on {worse}" if sooner else "nothing to compare")
    return "; ".join(lines)


def figures(runs: list[tuple[Instance, Run]], who: str) -> str:
    """Share solved to proof and mean gap."""
    gaps = [gap for instance, run in runs if (gap := run.above(instance.best)) is not None]
    proven = sum(run.proven for _, run in runs)
    return f"{who} {proven} of {len(runs)} proven, {mean(gaps) if gaps else 0:.2%} above best known"


if __name__ == "__main__":
    main()
