"""Open strip instances: `python benchmarks/nesting.py DIR [--seconds S]`.

DIR holds `best_known_nesting.csv` and the instances it names. For each: how far the density is below the best known
(in per cent of it), ours (several seeds in parallel) and the packer alone with as many threads and the same seconds.
"""

from __future__ import annotations

import argparse
import csv
import json
from pathlib import Path
from statistics import mean
from typing import Any

from spyrrow import Item, StripPackingConfig, StripPackingInstance

from trimwright.geometry.nest.asked import ToLay
from trimwright.geometry.nest.hide import Clearances
from trimwright.geometry.nest.roll import Roll, density, lay_on_roll
from trimwright.geometry.nest.search import WORKERS, Effort
from trimwright.geometry.pattern import Piece

WIDE_MM = 1000.0
"""Every instance is drawn to one width, so that the roll's own limits hold."""


def main() -> None:
    """Run every instance both ways."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("folder", type=Path)
    options.add_argument("--seconds", type=int, default=10)
    options.add_argument("--seed", type=int, default=1)
    asked = options.parse_args()
    below: list[tuple[float, float]] = []
    with (asked.folder / "best_known_nesting.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            told = json.loads((asked.folder / row["file"]).read_text(encoding="utf-8"))
            best = float(row["best_density_pct"]) / 100
            ours, alone = our_density(told, asked.seconds, asked.seed), packer_density(told, asked.seconds, asked.seed)
            below.append((1 - ours / best, 1 - alone / best))
            print(
                f"{told['name']:10} best known {best:6.2%}  ours {ours:6.2%} ({below[-1][0]:+.2%} below)"
                f"  packer alone {alone:6.2%} ({below[-1][1]:+.2%} below)",
                flush=True,
            )
    print(f"mean below best known: ours {mean(x for x, _ in below):.2%}, packer alone {mean(x for _, x in below):.2%}")


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


def packer_density(told: dict[str, Any], seconds: int, seed: int = 1) -> float:
    """What the packer alone fills, with our number of threads."""
    items = [
        Item(str(each["id"]), list(_open(each, 1.0)), each["demand"], each.get("allowed_orientations"))
        for each in told["items"]
    ]
    instance = StripPackingInstance(told["name"], told["strip_height"], items)
    return instance.solve(StripPackingConfig(total_computation_time=seconds, num_workers=WORKERS, seed=seed)).density


def _open(item: dict[str, Any], by: float) -> tuple[tuple[float, float], ...]:
    points = tuple((x * by, y * by) for x, y in item["shape"]["data"])
    return points[:-1] if points[0] == points[-1] else points


if __name__ == "__main__":
    main()
