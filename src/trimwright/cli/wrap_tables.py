"""A wheel wrap on the command line: as tables, with its working, and as plain data."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimwright.cli.tables import plain_table
from trimwright.plan.quantities.wheel import LEATHER
from trimwright.plan.wrapping.found import Found, facts, order, pieces, runs
from trimwright.plan.wrapping.found import working as how
from trimwright.worked import rounded_up

if TYPE_CHECKING:
    from rich.console import Console


def print_wrap(console: Console, found: Found, *, working: bool) -> None:
    """The strip, the pieces, the runs with their threads, the order, what is unwise, and the cautions."""
    from rich.text import Text

    for heading, rows in (
        (("The wrap", ""), facts(found)),
        (("Piece", "Long", "Wide", "Holes"), pieces(found)),
        (("Run", "Holes", "Pitch", "On the flat", "Threads to cut", "Threads meet"), runs(found)),
        (("In this order", "Run", "Holes"), order(found)),
    ):
        console.print(plain_table(heading, rows))
        console.print()
    for each in found.advice:
        console.print(Text(each.what, style="bold"))
        for way_out in each.helps:
            console.print(Text(f"  {way_out}"))
    if working:
        console.print()
        for line in how(found):
            console.print(Text(line))
    console.print()
    for line in found.all_cautions:
        console.print(Text(f"Caution: {line}", style="red"))


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
        "cautions": list(found.all_cautions),
        "written": [str(path) for path in written],
    }  # fmt: skip
