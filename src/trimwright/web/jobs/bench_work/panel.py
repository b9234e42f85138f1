"""A scan: laid flat, cut along its seams; stretch, pieces, true-size sheets and drawings as files beside it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from trimwright.craft.asking import Ask, Typed, bare_mm
from trimwright.web.jobs.bench_work.kind import Kind

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
FILES = {
    "true-size-a4.pdf": "application/pdf",
    "true-size-letter.pdf": "application/pdf",
    "long-page.pdf": "application/pdf",
    "pieces.svg": "image/svg+xml",
    "pieces.dxf": "application/dxf",
}


def panel_lines(asked: Mapping[str, str]) -> dict[str, Any]:
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
            for number, each in enumerate(lines.text("seams").replace("\r", "").split("\n\n"), 1)
            if each.strip()
        ],
    }
    lines.refuse_slips()
    return read


def panel(scan: Path, asked: Mapping[str, str], made_at: datetime, into: Path) -> dict[str, Any]:
    """The flat pieces of a scan; their files are written beside it."""
    from trimwright.charts.flat_stretch import flat_stretch_chart
    from trimwright.facts import load
    from trimwright.geometry import flat_panel
    from trimwright.geometry.dxf import drawing
    from trimwright.geometry.sheet import one_page
    from trimwright.papers.true_size import long_page_pdf, true_size_pdf

    title = asked.get("name") or "panel"
    found = flat_panel.panel_of(scan, title, **panel_lines(asked))
    cautions = (*(load().cautions[each].text for each in flat_panel.CAUTIONS), flat_panel.BEFORE_COVERING)
    page = one_page(found.pieces).svg
    files = {
        "true-size-a4.pdf": true_size_pdf(title, found.pieces, made_at, "a4", cautions),
        "true-size-letter.pdf": true_size_pdf(title, found.pieces, made_at, "us-letter", cautions),
        "long-page.pdf": long_page_pdf(title, found.pieces, made_at),
        "pieces.svg": page.encode(),
        "pieces.dxf": drawing(found.pieces).encode("ascii"),
    }
    for name, data in files.items():
        (into / name).write_bytes(data)
    return {
        "heads": list(flat_panel.heads(found)),
        "rows": [list(each) for each in flat_panel.rows(found)],
        "told": list(flat_panel.told(found, "Write the two points among the seams and lay it flat once more.")),
        "notes": list(found.notes),
        "moved": round(found.moved_mm, 2),
        "cautions": list(cautions),
        "pictures": [
            flat_stretch_chart(patch, found.limit, seams=(dart.drawn,) if dart else (), name=f"flat-{number}")
            for number, (patch, dart) in enumerate(zip(found.cut.patches, found.darts, strict=True), 1)
        ],
        "cut": page,
    }


PANEL = Kind(
    id="panel",
    asks=ASKS,
    long=frozenset({"seams"}),
    endings=(".obj", ".ply", ".stl"),
    most_bytes=400_000_000,
    refuse_slips=panel_lines,
    work=panel,
    files=FILES,
)
