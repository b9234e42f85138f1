"""What a course needs: materials by key, hands-on minutes, tools and visits, each figure with its working.

Amounts are thousandths of the material's unit, rounded up; minutes are whole, rounded up once for the course.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from trimwright.craft.amounts import milli, worked_amount
from trimwright.facts.trade import Material, Practice, Rate, Trade, Treatment
from trimwright.plan.quantities.cabin import Need
from trimwright.plan.quantities.cutting import HIDES, by_pieces
from trimwright.plan.quantities.surveyed import Surveyed
from trimwright.plan.quantities.wheel import REWRAP, uses_measured
from trimwright.worked import Factor, Term, Worked, rounded_up

CLIPS = "clips"


def material_key(material: Material, colour: str) -> str:
    """The material's id, with the colour behind a colon where it comes in colours."""
    return f"{material.id}:{colour.strip().lower()}" if material.coloured else material.id


def come_to(rates: Sequence[Rate], unit: str, treatment: Treatment, part: Surveyed) -> Worked:
    """What rates of a treatment come to on this part, in `unit`."""
    return worked_amount(
        rates,
        area_mm2=part.area_mm2,
        length_mm=part.length_mm,
        pieces=part.pieces,
        coats=treatment.coats,
        unit=unit,
        source=treatment.evidence.source,
    )


def needs_of(treatments: Sequence[Treatment], part: Surveyed, trade: Trade, *, clips: int = 0) -> tuple[Need, ...]:
    """What the treatments use on this part, and `clips` pieces of missing hardware; one `Need` a material."""
    spare = trade.practice["batch_spare"].value
    uses: dict[str, list[Worked]] = {}
    measured = uses_measured(part.part.wheel, treatments)
    for treatment in treatments:
        if treatment.buys == "service":
            continue
        for material_id, rates in treatment.uses:
            material = trade.materials[material_id]
            by_hand = measured.get(material_id) if treatment.id == REWRAP else None
            worked = by_hand or by_pieces(part.part.cutting, treatment, material, rates)
            worked = worked or come_to(rates, material.unit, treatment, part)
            uses.setdefault(material_key(material, part.colour), []).append(_as_bought(worked, material, spare))
    if clips:
        worked = Worked(trade.materials[CLIPS].unit, (Term(clips, "missing pieces"),), "the survey")
        uses.setdefault(CLIPS, []).append(worked)
    return tuple(Need(key, milli(total), total) for key, each in sorted(uses.items()) if (total := summed(each)).value)


def _as_bought(worked: Worked, material: Material, spare: float) -> Worked:
    """With spare where all must come from one batch, and rounded up to whole mixes where the rest dies."""
    if material.one_batch and worked.source != HIDES:
        extra = Factor(1 + spare, "spare of the batch")
        worked = replace(worked, terms=tuple(replace(term, factors=(*term.factors, extra)) for term in worked.terms))
    if material.least_mix > 0:
        mixes = rounded_up(worked.value / material.least_mix)
        rest = round(mixes * material.least_mix - worked.value, 9)
        if rest > 0:
            worked = replace(worked, terms=(*worked.terms, Term(rest, f"{material.unit} left in the last mix")))
    return worked


def summed(each: Iterable[Worked]) -> Worked:
    """Several workings of one unit as one."""
    each = tuple(each)
    sources = dict.fromkeys(worked.source for worked in each if worked.source)
    return Worked(each[0].unit, tuple(term for worked in each for term in worked.terms), "; ".join(sources))


def minutes_of(treatments: Iterable[Treatment], part: Surveyed, hunt: Practice | None = None) -> tuple[int, Worked]:
    """Hands-on minutes, rounded up, with their working; `hunt` where a part must be found first.

    They are those of a practised hand, or the shop's own where its jobs have taught them.
    """
    worked = summed(_bench_minutes(treatment, part) for treatment in treatments)
    if hunt is not None:
        worked = summed((worked, Worked("min", (Term(hunt.value, "min to find the part"),), hunt.evidence.source)))
    return rounded_up(worked.value), worked


def _bench_minutes(treatment: Treatment, part: Surveyed) -> Worked:
    hours = come_to(treatment.hours, "h", treatment, part)
    factors = (Factor(60, "min/h"), *((Factor(treatment.pace, "own pace"),) if treatment.pace != 1 else ()))
    return Worked("min", tuple(replace(term, factors=(*term.factors, *factors)) for term in hours.terms), hours.source)


def tool_key(tool: str) -> str:
    """The key of a tool to buy in `Quantities.shared`."""
    return f"tool:{tool}"


def visit_key(visit: str) -> str:
    """The key of a visit."""
    return f"visit:{visit}"


def batch_key(batch: str, colour: str) -> str:
    """The key of a batch of one colour."""
    return f"batch:{batch}:{colour.strip().lower()}"


def once_of(treatments: Iterable[Treatment], part: Surveyed, trade: Trade, owned: Iterable[str]) -> tuple[str, ...]:
    """Tools not owned, visits and batches the treatments share with other parts: keys into `Quantities.shared`."""
    owned = set(owned)
    keys: set[str] = set()
    for treatment in treatments:
        keys |= {tool_key(each) for each in treatment.tools if each not in owned and not trade.tools[each].hand_tool}
        if treatment.visit:
            keys.add(visit_key(treatment.visit))
        if treatment.batch:
            keys.add(batch_key(treatment.batch, part.colour))
    return tuple(sorted(keys))
