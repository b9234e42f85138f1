"""A wheel wrap worked out for the command line: as tables, with its working, and as plain data."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from trimwright import units
from trimwright.cli.tables import plain_table
from trimwright.facts.trade import Trade
from trimwright.geometry.advice import Advice, advice
from trimwright.geometry.lacing import Lacing, run_name
from trimwright.geometry.rim import clock
from trimwright.geometry.wrap import Wrap
from trimwright.job.document import Job
from trimwright.job.wheel import Wheel
from trimwright.plan.quantities.wheel import LEATHER, REWRAP, uses_measured, wrap_minutes, wrap_of
from trimwright.worked import Worked, rounded_up

if TYPE_CHECKING:
    from rich.console import Console

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


def worked_out(wheel: Wheel, trade: Trade, job: Job | None) -> Found:
    """The wrap of a wheel. BadInput with everything that is wrong with its measures."""
    made, laced = wrap_of(wheel)
    needs = uses_measured(wheel, (trade.treatments[REWRAP],))
    return Found(wheel, made, laced, wrap_minutes(wheel, trade), needs, trade, job)


def print_wrap(console: Console, found: Found, *, working: bool) -> None:
    """The strip, the pieces, the runs with their threads, the order, what is unwise, and the cautions."""
    from rich.text import Text

    for heading, rows in (
        (("The wrap", ""), _facts(found)),
        (("Piece", "Long", "Wide", "Holes"), _pieces(found)),
        (("Run", "Holes", "Pitch", "On the flat", "Threads to cut", "Threads meet"), _runs(found)),
        (("In this order", "Run", "Holes"), _order(found)),
    ):
        console.print(plain_table(heading, rows))
        console.print()
    for each in found.advice:
        console.print(Text(each.what, style="bold"))
        for way_out in each.helps:
            console.print(Text(f"  {way_out}"))
    if working:
        console.print()
        for line in _working(found):
            console.print(Text(line))
    console.print()
    for line in dict.fromkeys((*found.cautions("lace"), *found.cautions("cut"))):
        console.print(Text(f"Caution: {line}", style="red"))


def _facts(found: Found) -> Iterator[tuple[str, str]]:
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


def _pieces(found: Found) -> Iterator[tuple[str, ...]]:
    for piece in found.wrap.pieces:
        left, bottom, right, top = piece.box
        yield piece.name, f"{right - left:.1f} mm", f"{top - bottom:.1f} mm", f"{len(piece.holes)}"


def _runs(found: Found) -> Iterator[tuple[str, ...]]:
    for number, run in enumerate(found.wrap.runs):
        threads = [each for each in found.lacing.threads if each.run == number]
        needles = f" × {threads[0].needles} needles" if threads[0].needles > 1 else ""
        inside = ", ".join(f"{each.last}" for each in threads[:-1])
        meet = f"after hole {inside}" if inside else "at spokes" if all(run.at_spoke) else "at the ends"
        cut = f"{len(threads)} of {threads[0].cut_mm / 1000:.2f} m{needles}"
        yield run_name(run), f"{len(run.holes)}", f"{run.pitch_mm:.2f} mm", f"{run.flat_pitch_mm:.2f} mm", cut, meet


def _order(found: Found) -> Iterator[tuple[str, ...]]:
    for what, run, holes in found.lacing.in_order:
        yield what, run_name(found.wrap.runs[run]), holes


def _working(found: Found) -> Iterator[str]:
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


def as_plain(found: Found, written: Iterable[Path]) -> dict[str, Any]:
    """The same as one JSON object; lengths mm, places degrees clockwise from 12 o'clock."""
    made, laced = found.wrap, found.lacing
    return {
        "measures": found.wheel.model_dump(mode="json"),
        "strip": {
            "turn_mm": made.flat.turn_mm, "bend_mm": made.flat.bend_mm, "wide_mm": list(made.wide_mm),
            "area_mm2": made.area_mm2, "leather_m2": found.needs[LEATHER].value,
        },
        "seam": {"long_mm": made.seam_mm, "laced_mm": made.laced_mm, "edge_mm": made.edge_mm, "pairs": made.pairs},
        "strain": {
            "stretched": made.strain.stretched, "gathered": made.strain.gathered, "limit": made.leather.along,
            "across_mm": list(made.strain.across_mm), "least": list(made.strain.least), "most": list(made.strain.most),
        },
        "joins": list(made.joins),
        "pieces": [
            {"name": each.name, "box": list(each.box), "area_mm2": each.area_mm2, "holes": len(each.holes)}
            for each in made.pieces
        ],
        "runs": [
            {
                "from": run.start, "to": run.end, "long_mm": run.long_mm, "holes": len(run.holes),
                "pitch_mm": run.pitch_mm, "flat_pitch_mm": run.flat_pitch_mm, "at_spoke": list(run.at_spoke),
            }
            for run in made.runs
        ],
        "lacing": {
            "pattern": laced.pattern, "chords_mm": laced.chords_mm, "flat_mm": laced.flat_mm, "cut_mm": laced.cut_mm,
            "threads": [
                {
                    "run": each.run, "first": each.first, "last": each.last, "cut_mm": each.cut_mm,
                    "needles": each.needles,
                }
                for each in laced.threads
            ],
            "order": [
                {"what": each.what, "run": each.run, "first": each.first, "last": each.last} for each in laced.order
            ],
        },
        "minutes": rounded_up(found.minutes.value),
        "advice": [{"what": each.what, "helps": list(each.helps)} for each in found.advice],
        "cautions": list(dict.fromkeys((*found.cautions("lace"), *found.cautions("cut")))),
        "written": [str(path) for path in written],
    }  # fmt: skip
