"""A scan: laid flat, cut along its seams; stretch, pieces, true-size sheets and drawings as files beside it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from trimwright.web.jobs.bench_work.cut_pieces import FILES, areas_of, write_pieces
from trimwright.web.jobs.bench_work.kind import Kind, tell
from trimwright.web.jobs.bench_work.scan import ASKS, ENDINGS, LONG, MOST_BYTES, SCAN, scan_lines


def panel(scan: Path, asked: Mapping[str, str], made_at: datetime, into: Path) -> dict[str, Any]:
    """The flat pieces of a scan; their files are written beside it."""
    from trimwright.charts.flat_stretch import flat_stretch_chart
    from trimwright.facts import load
    from trimwright.geometry import flat_panel
    from trimwright.geometry.pattern import CAUTIONS

    title = asked.get("name") or "panel"
    lines = scan_lines(asked)
    found = flat_panel.panel_of(scan, title, **lines, tell=lambda what: tell(into, what))
    tell(into, "Drawing its sheets")
    cautions = [load().cautions[each].text for each in CAUTIONS]
    cut = write_pieces(title, found.pieces, cautions, made_at, into)
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
            {"lines": drawn, "way": [[float(f"{each:.6g}") for each in point] for point in way]}
            for (_, drawn), way in zip(lines["seams"], found.ways, strict=True)
        ],
        "notes": list(found.notes),
        "moved": round(found.moved_mm, 2),
        "cautions": cautions,
        "pictures": [
            flat_stretch_chart(patch, found.limit, seams=(dart.drawn,) if dart else (), name=f"flat-{number}")
            for number, (patch, dart) in enumerate(zip(found.cut.patches, found.darts, strict=True), 1)
        ],
        "areas": areas_of((title, each) for each in found.pieces),
        "cut": cut,
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
