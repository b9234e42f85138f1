"""What pieces come to for a part of the job: what they may be cut for, and its share of what they were laid on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade
from trimwright.geometry.nest.taken import Taken
from trimwright.job.cutting import Cutting
from trimwright.job.document import Job
from trimwright.job.edits import SetField
from trimwright.job.refusals import near, shortened
from trimwright.plan.quantities.cutting import is_cut_of
from trimwright.plan.quantities.needs import come_to
from trimwright.plan.quantities.safety import refusal
from trimwright.plan.quantities.suiting import fits
from trimwright.plan.quantities.surveyed import Surveyed, survey

CUT_FOR = ("re-cover", "mend")
"""Kinds of treatment that pieces are cut for."""


@dataclass(frozen=True, slots=True)
class Cover:
    """A treatment of a part and the material of its cover, the first that it cuts pieces out of; by their ids."""

    treatment: str
    material: str


def by_rule_of_thumb(part_id: str, cover: Cover, job: Job, trade: Trade) -> float:
    """What the trade reckons for the same cover without knowing its pieces, in the material's unit."""
    part = next(each for each in survey(job, trade) if each.id == part_id)
    treatment, material = trade.treatments[cover.treatment], trade.materials[cover.material]
    return come_to(dict(treatment.uses)[cover.material], material.unit, treatment, part).value


def covers(part: Surveyed, job: Job, trade: Trade) -> tuple[tuple[Cover, ...], str]:
    """What pieces of a part may be cut for and out of; and, where nothing may, why not: no cover over an airbag."""
    offered: list[Cover] = []
    why = ""
    for treatment in trade.treatments.values():
        cover = next((each for each, rates in treatment.uses if is_cut_of(trade.materials[each], rates)), None)
        if cover is None or treatment.kind not in CUT_FOR or not fits(treatment, part, trade):
            continue
        refused = refusal(treatment, part, job)
        why = refused or why
        if not refused:
            offered.append(Cover(treatment.id, cover))
    return tuple(offered), "" if offered else why


def cover_of(part_id: str, said: str, job: Job, trade: Trade, where: str) -> Cover:
    """What the pieces of a part are cut for: the treatment said, or the only one; BadInput when there is none such."""
    parts = {each.id: each for each in survey(job, trade)}
    if part_id not in parts:
        way_out = near(part_id, parts) or f"Parts: {', '.join(list(parts)[:12])}."
        raise BadInput(Problem(where, shortened(part_id), "is no part of this job.", way_out))
    offered, why = covers(parts[part_id], job, trade)
    if not offered:
        raise BadInput(Problem(where, part_id, "has no cover that is cut.", why or "Nothing is cut for such a part."))
    meant = [each for each in offered if said in ("", each.treatment)]
    if len(meant) != 1:
        what = "is none of its covers." if not meant else "may be cut for more than one cover."
        way_out = f"Say one of {', '.join(each.treatment for each in meant or offered)}."
        raise BadInput(Problem(where, shortened(said or part_id), what, way_out))
    return meant[0]


def noted(
    pieces_mm2: Mapping[str, float], cover: Mapping[str, Cover], laid: Taken | None, trade: Trade, day: date
) -> tuple[SetField, ...]:
    """Changes to the job that note pieces by part [mm²]; what they were laid on is shared out by their areas."""
    problems: list[Problem] = []
    changes: list[SetField] = []
    for part, area in pieces_mm2.items():
        material = trade.materials[cover[part].material]
        taken = None
        if laid is not None:
            try:
                taken = round(laid.by(material.unit) * area / sum(pieces_mm2.values()), 4)
            except BadInput as wrong:
                problems += wrong.problems
        cutting = Cutting(
            treatment=cover[part].treatment,
            material=material.id,
            pieces_mm2=round(area),
            taken=taken,
            laid_on=laid.on if laid else "",
            day=day,
        )
        changes.append(SetField(path=("parts", part, "cutting"), value=cutting.model_dump(mode="json")))
    if problems:
        raise BadInput(problems)
    return tuple(changes)
