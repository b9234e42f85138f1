"""The lacing card, read back with pypdf: one page whatever the lacing and the paper, with counts, order, cautions."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import pytest
from pypdf import PdfReader

from trimwright.geometry.lacing import PATTERNS, Pattern, lacing, paths
from trimwright.geometry.rim import Rim, Spoke, with_thumbs
from trimwright.geometry.wrap import Leather, Seam, Shape, wrap
from trimwright.papers.lacing_card import lacing_card_pdf, moves_of
from trimwright.papers.press import PaperSize

DAY = datetime(2026, 11, 25, tzinfo=UTC)
RIM = Rim(185, with_thumbs(94, [(70, 106), (290, 106)]), spokes=tuple(Spoke(at, 32, 16) for at in (60, 140, 220, 300)))
MADE = wrap(RIM, Leather(), Seam(), Shape())
CAUTIONS = ("Battery off first. " * 6, "Nothing within the sweep of the door. " * 4, "Solvent vapour. " * 8)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("pattern", PATTERNS)
def test_the_card_is_one_page(pattern: Pattern, paper: PaperSize) -> None:
    """Four spokes, two thumb rests and a short arm fill it most."""
    laced = lacing(pattern, RIM, MADE.leather, MADE.seam, MADE.runs, arm_mm=700)
    pdf = lacing_card_pdf("Wheel", MADE, laced, DAY, paper, minutes="5 h 01", cautions=CAUTIONS)
    (page,) = PdfReader(io.BytesIO(pdf)).pages
    told = " ".join(page.extract_text().split())
    assert f"{MADE.pairs} pairs of holes" in told
    assert f"{laced.cut_mm / 1000:.2f} m" in told
    assert "Tightening, after mounting" in told
    assert "Solvent vapour." in told
    assert told.index("Straight:") < told.index("Thumb rest:") < told.index("Corner:")


def test_moves_in_words() -> None:
    (path,) = paths("ladder", 2)
    assert list(moves_of(path, 0)) == [
        "up through driver’s hole 1", "over, straight to dash hole 1", "down through dash hole 1",
    ]  # fmt: skip
    assert next(moves_of(path, 1)) == "under, on to dash hole 2"
