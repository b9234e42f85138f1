"""worked_out(wheel) → Found: a wheel wrap with its lacing and hours, and the rows in which it is told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from trimwright import units
from trimwright.facts.trade import Trade
from trimwright.geometry.advice import Advice, advice
from trimwright.geometry.lacing import Lacing, run_name
from trimwright.geometry.rim import clock
from trimwright.geometry.wrap import Wrap
from trimwright.job.document import Job
from trimwright.job.wheel import Wheel
from trimwright.plan.quantities.wheel import LEATHER, REWRAP, uses_measured, wrap_minutes, wrap_of
from trimwright.worked import Worked, rounded_up

CAUTIONS: Mapping[str, tuple[str, ...]] = {"cut": ("blades",), "lace": ("airbag_sweep", "solvent")}
"""What goes with cutting the pieces, and with lacing and gluing them on."""
SAFE_FIRST = ("make_safe",)
"""What comes before, where the wheel may hold an airbag."""


@dataclass(frozen=True)
class Found:
    """The wrap, its lacing and its hours, for this job where there is one."""

    wheel: Wheel
    wrap: Wrap
    lacing: Lacing
    minutes: Worked
    needs: Mapping[str, Worked]
    trade: Trade
    job: Job | None

    @property
    def title(self) -> str:
        return f"Wheel wrap, {self.job.name}" if self.job else f"Wheel wrap, {self.wheel.outside:g} mm"

    @property
    def hours(self) -> str:
        return units.hours(rounded_up(self.minutes.value))

    @property
    def advice(self) -> tuple[Advice, ...]:
        return advice(self.wrap)

    @property
    def may_have_airbag(self) -> bool:
        """Unknown counts as fitted."""
        return self.job is None or self.job.car.equipment.may_have("driver_airbag")

    def cautions(self, doing: Literal["cut", "lace"]) -> tuple[str, ...]:
        """The usual ones, those of the airbag in front."""
        first = SAFE_FIRST if doing == "lace" and self.may_have_airbag else ()
        return tuple(self.trade.cautions[each].text for each in (*first, *CAUTIONS[doing]))

    @property
    def all_cautions(self) -> tuple[str, ...]:
        """Those of lacing and of cutting, each once."""
        return tuple(dict.fromkeys((*self.cautions("lace"), *self.cautions("cut"))))


def worked_out(wheel: Wheel, trade: Trade, job: Job | None) -> Found:
    """The wrap of a wheel. BadInput with everything that is wrong with its measures."""
    made, laced = wrap_of(wheel)
    needs = uses_measured(wheel, (trade.treatments[REWRAP],))
    return Found(wheel, made, laced, wrap_minutes(wheel, trade), needs, trade, job)


def facts(found: Found) -> Iterator[tuple[str, str]]:
    """The strip, the seam, what goes into it and how long it takes."""
    made, laced = found.wrap, found.lacing
    least, most = made.wide_mm
    wide = f"{most:.1f} mm" if most - least < 0.05 else f"{least:.1f} to {most:.1f} mm"
    cut = f"curved, {made.flat.bend_mm:.0f} mm radius on the outer line" if made.flat.bend_mm else "straight"
    yield "strip, a whole turn", f"{made.flat.turn_mm:.1f} mm × {wide}, {cut}"
    yield "what it must give", f"{made.strain.stretched:.1%} stretched, {made.strain.gathered:.1%} gathered"
    yield "seam at the hub", f"{made.seam_mm:.1f} mm, {made.laced_mm:.1f} mm of it laced"
    yield "holes", f"{made.pairs} on either edge"
    yield "pieces", f"{len(made.pieces)}, joined at {', '.join(clock(each) for each in made.joins)}"
    yield "leather to have", f"{found.needs[LEATHER].value:.2f} m² ({made.area_mm2 / 1e6:.3f} m² in the pieces)"
    yield "lacing", laced.name
    yield "thread in the seam", f"{laced.chords_mm / 1000:.2f} m drawn tight, {laced.flat_mm / 1000:.2f} m laid flat"
    yield "thread to cut", f"{laced.cut_mm / 1000:.2f} m, tails and take-up in it"
    yield "hands on", found.hours


def pieces(found: Found) -> Iterator[tuple[str, ...]]:
    """Every piece: its name, how long and wide it is, its holes."""
    for piece in found.wrap.pieces:
        left, bottom, right, top = piece.box
        yield piece.name, f"{right - left:.1f} mm", f"{top - bottom:.1f} mm", f"{len(piece.holes)}"


def runs(found: Found) -> Iterator[tuple[str, ...]]:
    """Every run of the seam: its holes, their pitch on the wheel and on the flat, its threads and where they meet."""
    for number, run in enumerate(found.wrap.runs):
        threads = [each for each in found.lacing.threads if each.run == number]
        needles = f" × {threads[0].needles} needles" if threads[0].needles > 1 else ""
        inside = ", ".join(f"{each.last}" for each in threads[:-1])
        meet = f"after hole {inside}" if inside else "at spokes" if all(run.at_spoke) else "at the ends"
        cut = f"{len(threads)} of {threads[0].cut_mm / 1000:.2f} m{needles}"
        yield run_name(run), f"{len(run.holes)}", f"{run.pitch_mm:.2f} mm", f"{run.flat_pitch_mm:.2f} mm", cut, meet


def order(found: Found) -> Iterator[tuple[str, ...]]:
    """What is laced first: what it is, on which run, which holes."""
    for what, run, holes in found.lacing.in_order:
        yield what, run_name(found.wrap.runs[run]), holes


def working(found: Found) -> Iterator[str]:
    """How the main figures came about, in the symbols a book would use."""
    made, seam = found.wrap, found.wrap.seam
    grips = [grip for _, grip in made.rim.grips]
    yield (
        f"strip width = (grip {max(grips):.2f} + π × leather {made.leather.thick_mm:g} − gap {seam.gap_mm:g}) ÷ "
        f"(1 + {made.leather.across:.1%}) = {made.wide_mm[1]:.2f} mm  [Steiner's formula]"
    )
    if made.flat.bend_mm is None:
        even = f"2π × R {made.rim.radius_mm:.2f} would stretch outside as much as it gathers at the seam"
        yield f"strip length, fit “{made.shape.fit}” = {made.flat.turn_mm:.2f} mm; {even}"
    yield f"pairs = laced {made.laced_mm:.2f} mm ÷ pitch {seam.pitch_mm:g}, rounded = {made.pairs}"
    yield f"thread = {found.lacing.chords_mm:.1f} mm, the sum of straight chords from hole to hole on the wheel"
    yield from map(str, found.needs.values())
    yield str(found.minutes)
