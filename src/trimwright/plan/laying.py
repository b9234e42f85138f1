"""What pieces come to for a part of the job: what they may be cut for, and its share of what they were laid on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade
from trimwright.geometry.nest.hide import usable
from trimwright.job.cutting import Cutting
from trimwright.job.document import Job
from trimwright.job.edits import SetField
from trimwright.job.refusals import near, shortened
from trimwright.plan.quantities.cutting import is_cut_of
from trimwright.plan.quantities.needs import come_to
from trimwright.plan.quantities.safety import refusal
from trimwright.plan.quantities.suiting import fits
from trimwright.plan.quantities.surveyed import Surveyed, survey

if TYPE_CHECKING:
    from trimwright.geometry.nest.layout import Layout

CUT_FOR = ("re-cover", "mend")
"""Kinds of treatment that pieces are cut for."""


@dataclass(frozen=True, slots=True)
class Cover:
    """A treatment of a part and the material of its cover, the first that it cuts pieces out of; by their ids."""

    treatment: str
    material: str


@dataclass(frozen=True, slots=True)
class Laid:
    """What pieces were laid on: hides that can be cut so far [mm²], or a length off a roll so wide [mm]."""

    on: str
    hides_mm2: float = 0.0
    length_mm: float = 0.0
    wide_mm: float = 0.0

    def taken(self, unit: str) -> float:
        """All that was taken, in a material's unit; BadInput where it is sold in another way."""
        if unit == "m" and self.length_mm:
            return self.length_mm / 1000
        if unit == "m²":
            return (self.hides_mm2 or self.length_mm * self.wide_mm) / 1e6
        raise BadInput(Problem("laid on", self.on, f"is no way to take what is sold by the {unit}.", "Lay on a roll."))


def laid_on_hides(layout: Layout) -> Laid:
    """The hides of a layout that have a piece on them, as far as they can be cut."""
    used = sorted({each.on for each in layout.placed})
    area = sum(usable(layout.hides[on], frozenset(), layout.clear).area for on in used)
    names = ", ".join(layout.hides[on].name for on in used)
    return Laid(f"{len(used)} hide{'s' if len(used) > 1 else ''} ({names})", hides_mm2=float(area))


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
    pieces_mm2: Mapping[str, float], cover: Mapping[str, Cover], laid: Laid | None, trade: Trade, day: date
) -> tuple[SetField, ...]:
    """Changes to the job that note pieces by part [mm²]; what they were laid on is shared out by their areas."""
    problems: list[Problem] = []
    changes: list[SetField] = []
    for part, area in pieces_mm2.items():
        material = trade.materials[cover[part].material]
        taken = None
        if laid is not None:
            try:
                taken = round(laid.taken(material.unit) * area / sum(pieces_mm2.values()), 4)
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
