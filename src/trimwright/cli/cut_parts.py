"""Which pieces of a layout are for which part of a job, and noting there what they take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from trimwright.cli.surroundings import today
from trimwright.cli.terminal import console

if TYPE_CHECKING:
    from trimwright.facts.trade import Trade
    from trimwright.geometry.nest.layout import Layout
    from trimwright.geometry.nest.roll import Roll
    from trimwright.job.document import Job
    from trimwright.job.edits import SetField
    from trimwright.plan.laying import Cover

LITTLE = 0.4
"""Of a hide filled: a flawed one that is well laid is filled by 45 to 60 per cent."""


@dataclass(frozen=True)
class CutParts:
    """The job, the part of each file of pieces, the cover of each part; `owners` is the part of every piece asked."""

    path: Path
    job: Job
    trade: Trade
    owners: tuple[str, ...]
    covers: Mapping[str, Cover]
    note: bool

    def noted(self, layout: Layout, roll: Roll | None) -> tuple[SetField, ...]:
        """What each part's pieces take, noted in the job where that was asked; BadInput when not all pieces lie."""
        from trimwright.geometry.nest.taken import taken
        from trimwright.job.edits import apply
        from trimwright.job.files import write_job
        from trimwright.plan.laying import noted

        laid = taken(layout, roll)
        areas: dict[str, float] = {}
        for asked, owner in zip(layout.asked, self.owners, strict=True):
            areas[owner] = areas.get(owner, 0.0) + asked.piece.area_mm2
        changes = noted(areas, self.covers, laid, self.trade, today().date())
        if self.note:
            job = self.job
            for each in changes:
                job = apply(job, each)
            write_job(job, self.path)
        return changes

    def tell(self, changes: Sequence[SetField], layout: Layout) -> None:
        """What each part takes, beside what the rule of thumb would say."""
        from trimwright.plan.laying import by_rule_of_thumb

        out = console()
        for each in changes:
            part, cut = str(each.path[1]), each.value
            assert isinstance(cut, dict)
            unit = self.trade.materials[str(cut["material"])].unit
            thumb = by_rule_of_thumb(part, self.covers[part], self.job, self.trade)
            area = int(str(cut["pieces_mm2"])) / 1e6
            out.print(
                f"{part}: {area:.2f} m² of pieces for {cut['treatment']}, {cut['taken']:.2f} {unit} of "
                f"{cut['material']} as their share of {cut['laid_on']}; by the rule of thumb {thumb:.2f} {unit}."
            )
        if min(layout.filled(each.on) for each in layout.placed) < LITTLE:
            out.print(
                "Much of that stays empty and is counted all the same: lay on what will be bought, a smaller piece, or "
                "more parts together."
            )
        out.print(f"Noted in {self.path}." if self.note else "With --note the job keeps that, and buys by it.")


def parts_of(files: Sequence[str], said: Sequence[str], path: Path | None, *, note: bool) -> CutParts | None:
    """What `--part` says of each piece, told by its file; None where no job is named. BadInput with every slip."""
    from trimwright.errors import BadInput, Problem
    from trimwright.facts import load
    from trimwright.job.files import read_job
    from trimwright.plan.laying import cover_of

    if path is None:
        if said or note:
            raise BadInput(Problem("--part" if said else "--note", "", "needs a job.", "Say --job as well."))
        return None
    job, trade = read_job(path), load()
    problems = []
    owners: dict[str, str] = {}
    covers: dict[str, Cover] = {}
    for each in said:
        name, _, rest = each.partition("=")
        part, _, cover = rest.partition("=")
        if name.removesuffix(".dxf") not in files:
            problems.append(
                Problem("--part", each, "names no file of pieces.", f"Files: {', '.join(sorted({*files}))}.")
            )
        try:
            covers[part] = cover_of(part, cover, job, trade, "--part")
        except BadInput as wrong:
            problems += wrong.problems
        owners[name.removesuffix(".dxf")] = part
    for name in sorted({*files} - owners.keys()):
        problems.append(Problem("--part", name, "is for no part yet.", f"Say --part {name}=PART."))
    if problems:
        raise BadInput(problems)
    return CutParts(path, job, trade, tuple(owners[each] for each in files), covers, note)
