"""What is left of the materials that a job has bought or used, once no more of it is done: what may go on the shelf."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.plan.quantities.measure import bench_of, choices_of, used_so_far
from trimwright.plan.quantities.needs import material_key
from trimwright.plan.quantities.so_far import as_it_stands, so_far
from trimwright.plan.quantities.surveyed import survey
from trimwright.worked import rounded_down


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A material that work or buying has touched, and how much of it is there now [thousandths of its unit]."""

    key: str
    """Material and colour, as a plan's materials are named."""
    material: str
    colour: str
    milli: int


def left_over(job: Job, trade: Trade) -> tuple[LeftOver, ...]:
    """Every material that this job has bought or used up, as it stands now; what lies untouched is not told."""
    known = so_far(job)
    standing = as_it_stands(job, trade, known)
    choices = [choices_of(part, standing, trade, known) for part in survey(standing, trade)]
    used = used_so_far(choices, bench_of(choices, standing, trade, known)[0])
    stock: Counter[str] = Counter()
    colours: dict[str, tuple[str, str]] = {}
    for item in standing.stock:
        key = material_key(trade.materials[item.material], item.colour)
        stock[key] += rounded_down(item.amount * 1000)
        colours.setdefault(key, (item.material, item.colour))
    bought = {
        material_key(trade.materials[each.material], each.colour)
        for each in known.here
        if each.material is not None and each.material in trade.materials
    }
    touched = sorted((bought | used.keys()) & stock.keys())
    return tuple(LeftOver(key, *colours[key], max(0, stock[key] - used[key])) for key in touched)
