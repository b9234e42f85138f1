"""Open strip instances: `python benchmarks/nesting.py DIR [--seconds S] [--apart]`.

DIR holds the instances; `best_known_nesting.csv`, there or beside it, names them. For each: how far the density is
below the best known (in per cent of it), ours and the packer alone with as many threads and the same seconds; `--apart`
tells what becomes of it when each thread runs from a seed of its own instead.
"""

from __future__ import annotations

import argparse
import csv
import json
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from statistics import mean
from typing import Any

from spyrrow import Item, StripPackingConfig, StripPackingInstance

from trimwright.geometry.nest.asked import ToLay
from trimwright.geometry.nest.hide import Clearances
from trimwright.geometry.nest.roll import Roll, density, lay_on_roll
from trimwright.geometry.nest.search import WORKERS, Effort
from trimwright.geometry.pattern import Piece

TABLES = ("best_known_nesting.csv", "../best_known_nesting.csv")
WIDE_MM = 1000.0
"""Every instance is drawn to one width, so that the roll's own limits hold."""


def main() -> None:
    """Run every instance both ways."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("folder", type=Path)
    options.add_argument("--seconds", type=int, default=10)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--apart", action="store_true")
    asked = options.parse_args()
    ways: dict[str, Callable[[dict[str, Any], int, int], float]] = {"ours": our_density, "packer alone": packer_density}
    if asked.apart:
        ways["seeds apart"] = apart_density
    below: dict[str, list[float]] = {each: [] for each in ways}
    table = next(each for each in TABLES if (asked.folder / each).exists())
    with (asked.folder / table).open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            told = json.loads(((asked.folder / table).parent / row["file"]).read_text(encoding="utf-8"))
            best = float(row["best_density_pct"]) / 100
            line = f"{told['name']:10} best known {best:6.2%}"
            for name, fill in ways.items():
                filled = fill(told, asked.seconds, asked.seed)
                below[name].append(1 - filled / best)
                line += f"  {name} {filled:6.2%} ({below[name][-1]:+.2%} below)"
            print(line, flush=True)
    print("mean below best known: " + ", ".join(f"{name} {mean(each):.2%}" for name, each in below.items()))


def our_density(told: dict[str, Any], seconds: float, seed: int = 1) -> float:
    """What a layout of ours fills, after its exact check."""
    layout = lay_on_roll(Roll(WIDE_MM), asked_of(told), Clearances(0.0, 0.0), Effort(seconds=seconds, seed=seed))
    return density(layout)


def asked_of(told: dict[str, Any]) -> tuple[ToLay, ...]:
    """The instance's items as pieces, at our width."""
    by = WIDE_MM / told["strip_height"]
    found = []
    for item in told["items"]:
        outline = _open(item, by)
        turns = tuple(item.get("allowed_orientations", [float(turn) for turn in range(0, 360, 5)]))
        found += [ToLay(Piece(str(item["id"]), outline), turns)] * item["demand"]
    return tuple(found)


def apart_density(told: dict[str, Any], seconds: int, seed: int = 1) -> float:
    """The best of as many runs of the packer side by side as there are threads, each with one of them."""
    with ThreadPoolExecutor(WORKERS) as pool:
        seeds = range(seed, seed + WORKERS)
        return max(pool.map(lambda each: packer_density(told, seconds, each, threads=1), seeds))


def packer_density(told: dict[str, Any], seconds: int, seed: int = 1, threads: int = WORKERS) -> float:
    """What the packer alone fills."""
    items = [
        Item(str(each["id"]), list(_open(each, 1.0)), each["demand"], each.get("allowed_orientations"))
        for each in told["items"]
    ]
    instance = StripPackingInstance(told["name"], told["strip_height"], items)
    return instance.solve(StripPackingConfig(total_computation_time=seconds, num_workers=threads, seed=seed)).density


def _open(item: dict[str, Any], by: float) -> tuple[tuple[float, float], ...]:
    points = tuple((x * by, y * by) for x, y in item["shape"]["data"])
    return points[:-1] if points[0] == points[-1] else points


if __name__ == "__main__":
    main()
