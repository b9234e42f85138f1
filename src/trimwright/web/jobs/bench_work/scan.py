"""A scan, and what is asked beside it: looked at before it is laid flat, with a picture to draw its seams on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from trimwright.craft.asking import Ask, Typed, bare_mm
from trimwright.web.jobs.bench_work.kind import Kind, tell

UNITS = ("mm", "cm", "m", "in")
ASKS = (
    Ask("name", "what the panel is called", "seat back"),
    Ask("unit", "a length of 1 in the scan is", usual="mm", choices=UNITS),
    Ask("smooth", "take out bumps shorter than", "2", usual="0"),
    Ask("limit", "what the material gives, per cent", "5", usual="5"),
    Ask("allowance", "left beyond the seam all round", "10", usual="0"),
    Ask("mirror", "the other side's pieces as well", usual="no", choices=("no", "yes")),
    Ask(
        "seams",
        "seams, a point to a line, a blank line between two",
        "x y in mm on the flat piece, or x y z on the scan",
    ),
)
LONG = frozenset({"seams"})
ENDINGS = (".obj", ".ply", ".stl")
MOST_BYTES = 400_000_000
MANY_FACES = 200_000
SLOW = (
    "So many triangles take minutes to lay flat, and longer for every seam. Sides of 3 mm are fine enough for "
    "leather: let the scanning program make it coarser, or wait."
)
PICTURE = "scan.bin"
"""The picture beside the scan, as `geometry.light_mesh.packed` writes it."""


def scan_lines(asked: Mapping[str, str]) -> dict[str, Any]:
    """What was typed beside a scan, read; BadInput with everything that is wrong."""
    from trimwright.geometry.flat_panel import share_given
    from trimwright.units import parse_number

    lines = Typed(ASKS, asked)
    read = {
        "unit": lines.choice("unit"),
        "smooth_mm": lines.take("smooth", bare_mm, 0.0),
        "limit": lines.take("limit", lambda text, where: share_given(float(parse_number(text, where)), where), 0.05),
        "allowance_mm": lines.take("allowance", bare_mm, 0.0),
        "mirror": lines.choice("mirror") == "yes",
        "seams": [
            (f"seam {number}", each)
            for number, each in enumerate(re.split(r"\n\s*\n", lines.text("seams").replace("\r", "")), 1)
            if each.strip()
        ],
    }
    lines.refuse_slips()
    return read


def look(scan: Path, asked: Mapping[str, str], _made_at: datetime, into: Path) -> dict[str, Any]:
    """What its page shows; the picture is written beside it. BadInput when there is nothing to be seen."""
    from trimwright.errors import BadInput
    from trimwright.geometry.light_mesh import light_mesh, packed
    from trimwright.geometry.scan import MM, check_disk, read_scan

    unit = scan_lines(asked)["unit"]
    tell(into, "Reading the scan")
    surface = read_scan(scan, unit)
    tell(into, f"Making a picture of its {len(surface.faces):,} triangles")
    light = light_mesh(surface)
    (into / PICTURE).write_bytes(packed(light, unit))
    wrong: list[str] = []
    try:
        check_disk(surface, "scan")
    except BadInput as error:
        wrong = [f"The scan {each.what} {each.way_out}" for each in error.problems]
    return {
        "sides": [each / MM[unit] for each in surface.size_mm],
        "size": size_told(surface.size_mm),
        "triangles": f"{len(surface.faces):,}",
        "off_mm": round(light.off_mm, 1),
        "wrong": wrong,
        "notes": [*surface.notes, *([SLOW] if len(surface.faces) > MANY_FACES else [])],
    }


def size_told(sides_mm: tuple[float, ...]) -> str:
    """A box in millimetres and in inches, since the one is often given for the other.

    >>> size_told((480.0, 430.4, 61.0))
    '480 × 430 × 61 mm (18.9 × 16.9 × 2.4 in)'
    """
    from trimwright.geometry.scan import MM

    millimetres = " × ".join(f"{each:.0f}" for each in sides_mm)
    inches = " × ".join(f"{each / MM['in']:.1f}" for each in sides_mm)
    return f"{millimetres} mm ({inches} in)"


SCAN = Kind(
    id="scan",
    asks=ASKS,
    long=LONG,
    endings=ENDINGS,
    most_bytes=MOST_BYTES,
    refuse_slips=scan_lines,
    work=look,
    files={PICTURE: "application/octet-stream"},
)
