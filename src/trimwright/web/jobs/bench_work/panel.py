"""A scan: laid flat, cut along its seams; stretch, pieces, true-size sheets and drawings as files beside it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from trimwright.web.jobs.bench_work.kind import Kind, tell
from trimwright.web.jobs.bench_work.scan import ASKS, ENDINGS, LONG, MOST_BYTES, SCAN, scan_lines

FILES = {
    "true-size-a4.pdf": "application/pdf",
    "true-size-letter.pdf": "application/pdf",
    "long-page.pdf": "application/pdf",
    "pieces.svg": "image/svg+xml",
    "pieces.dxf": "application/dxf",
}


def panel(scan: Path, asked: Mapping[str, str], made_at: datetime, into: Path) -> dict[str, Any]:
    """The flat pieces of a scan; their files are written beside it."""
    from trimwright.charts.flat_stretch import flat_stretch_chart
    from trimwright.facts import load
    from trimwright.geometry import flat_panel
    from trimwright.geometry.dxf import drawing
    from trimwright.geometry.sheet import one_page
    from trimwright.papers.true_size import long_page_pdf, true_size_pdf

    title = asked.get("name") or "panel"
    lines = scan_lines(asked)
    found = flat_panel.panel_of(scan, title, **lines, tell=lambda what: tell(into, what))
    tell(into, "Drawing its sheets")
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
        "told": list(flat_panel.told(found, "Write its points among the seams, or take it with one touch below.")),
        "darts": [
            {"piece": piece.name, "lines": flat_panel.as_lines(points, found.unit)}
            for piece, points in zip(found.pieces, found.darts_on_scan, strict=False)
            if points
        ],
        "ways": [
            {"lines": lines, "way": [[float(f"{each:.6g}") for each in point] for point in way]}
            for (_, lines), way in zip(lines["seams"], found.ways, strict=True)
        ],
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
    long=LONG,
    endings=ENDINGS,
    most_bytes=MOST_BYTES,
    refuse_slips=scan_lines,
    work=panel,
    files={**FILES, **SCAN.files},
    look=SCAN,
)
