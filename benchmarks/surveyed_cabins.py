"""Random surveys of real bodies: the trade's own parts, with faults that suit them, seeded; never the demo."""

from __future__ import annotations

import random

from trimwright.facts import load
from trimwright.facts.trade import EXTENTS, Trade
from trimwright.job.document import Part, PartFault
from trimwright.job.starting import started
from trimwright.plan.quantities.cabin import Quantities
from trimwright.plan.quantities.measure import measure

BODIES = ("two-door", "four-door", "open", "estate", "van", "pickup")


def surveyed_cabin(seed: int, parts: int) -> Quantities:
    """A cabin of about `parts` parts, measured; larger ones are several cabins under one sum."""
    trade, rng = load(), random.Random(seed)
    fitted = rng.choice(("yes", "no"))
    equipment = dict.fromkeys(("pretensioner", "curtain_airbag", "side_airbag", "knee_airbag", "seat_sensor"), "no")
    equipment |= {"driver_airbag": fitted, "passenger_airbag": rng.choice(("no", fitted))}
    body = rng.choice(BODIES) if parts < 60 else rng.choice(("four-door", "estate"))
    job = started(
        trade,
        car={"text": f"random {seed}", "year": rng.randrange(1985, 2004), "body": body, "equipment": equipment},
        money={"currency": "USD", "sum": rng.randrange(1_000, 2_500) * parts},
    )
    gathered: list[Part] = []
    while len(gathered) < parts:
        wanted = min(len(job.parts), parts - len(gathered))
        picked = sorted(rng.sample(range(len(job.parts)), wanted))
        suffix = f".c{len(gathered)}" if gathered else ""
        for index in picked:
            part = _surveyed(job.parts[index], trade, rng)
            gathered.append(part.model_copy(update={"id": part.id + suffix}))
    return measure(job.model_copy(update={"parts": tuple(gathered)}), trade)


def _surveyed(part: Part, trade: Trade, rng: random.Random) -> Part:
    kind = trade.parts[part.kind]
    material = rng.choice(kind.materials)
    suiting = [fault for fault in trade.faults.values() if material in fault.materials and not fault.must_deal]
    found = rng.sample(suiting, min(len(suiting), rng.choice((0, 1, 1, 2))))
    faults = tuple(PartFault(fault=fault.id, extent=rng.choice(EXTENTS[:2])) for fault in found)
    caps = [fault.caps[EXTENTS.index(each.extent)] for fault, each in zip(found, faults, strict=True)]
    finish = max(0, min([8, *caps]) - rng.choice((0, 0, 1)))
    return part.model_copy(update={"material": material, "faults": faults, "finish_now": finish})
