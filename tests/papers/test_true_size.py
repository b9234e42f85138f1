"""True-size sheets as PDF: bars measured in the file and, where poppler is at hand, as printed at 600 dpi."""

from __future__ import annotations

import io
import shutil
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from trimwright.errors import BadInput
from trimwright.geometry.pattern import Piece
from trimwright.papers.press import PaperSize
from trimwright.papers.true_size import BAR_ACROSS_MM, BAR_DOWN_MM, long_page_pdf, true_size_pdf

DAY = datetime(2026, 11, 25, tzinfo=UTC)
PANEL = Piece("panel", ((0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (0.0, 100.0)))
DPI = 600
MM = 25.4 / 72


def sheets(paper: PaperSize = "a4") -> bytes:
    return true_size_pdf("Wheel wrap", (PANEL,), DAY, paper, cautions=("Blades cut.",))


def rectangles(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height [mm] of what is filled on the first page, by the numbers in its content."""
    page = PdfReader(io.BytesIO(pdf)).pages[0]
    found: list[tuple[float, float]] = []
    points: list[tuple[float, float]] = []

    def seen(operator: bytes, operands: list[float], cm: list[float], _tm: object) -> None:
        nonlocal points
        if operator in (b"m", b"l"):
            x, y = map(float, operands)
            points.append((cm[0] * x + cm[2] * y + cm[4], cm[1] * x + cm[3] * y + cm[5]))
        elif operator in (b"f", b"f*") and points:
            xs, ys = zip(*points, strict=True)
            found.append(((max(xs) - min(xs)) * MM, (max(ys) - min(ys)) * MM))
            points = []
        elif operator in (b"n", b"S"):
            points = []

    page.extract_text(visitor_operand_before=seen)
    return found


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_bars_are_as_long_as_they_say(paper: PaperSize) -> None:
    """In the file itself, before any printer: to a hundredth of a millimetre, on either paper."""
    sizes = rectangles(sheets(paper))
    assert any(size == pytest.approx((BAR_ACROSS_MM, 3), abs=0.01) for size in sizes)
    assert any(size == pytest.approx((3, BAR_DOWN_MM), abs=0.01) for size in sizes)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="poppler is not at hand")
def test_bars_as_printed_at_600_dots(tmp_path: Path) -> None:
    """Rasterised by poppler: each bar within one dot of its length, 0.042 mm."""
    (tmp_path / "sheets.pdf").write_bytes(sheets())
    command = ["pdftoppm", "-r", f"{DPI}", "-gray", "-f", "1", "-l", "1", "sheets.pdf", "page"]
    subprocess.run(command, cwd=tmp_path, check=True, stderr=subprocess.DEVNULL)
    dark = np.asarray(Image.open(next(tmp_path.glob("page*.pgm")))) < 128
    across, down = int(dark.sum(axis=1).max()), int(dark.sum(axis=0).max())
    assert abs(across - BAR_ACROSS_MM / 25.4 * DPI) <= 1
    assert abs(down - BAR_DOWN_MM / 25.4 * DPI) <= 1


def test_the_reader_is_asked_not_to_scale() -> None:
    """ISO 32000-1, table 150: /PrintScaling /None; the rest of the catalogue is as it was."""
    for pdf in (sheets(), long_page_pdf("Wheel wrap", (PANEL,), DAY)):
        reader = PdfReader(io.BytesIO(pdf), strict=True)
        assert "'/PrintScaling': '/None'" in str(reader.root_object["/ViewerPreferences"].get_object())
        assert len(reader.pages) >= 1
        assert reader.metadata is not None
        assert "Wheel wrap" in (reader.metadata.title or "")


def test_a_sheet_for_each_tile_and_the_plan_in_front() -> None:
    reader = PdfReader(io.BytesIO(sheets()))
    assert len(reader.pages) == 1 + 2
    first = reader.pages[0].extract_text()
    assert "180 mm across" in first
    assert "240 mm down" in first
    assert "Blades cut." in first
    assert "1-B1" in reader.pages[2].extract_text()


def test_one_long_page_is_as_long_as_the_piece() -> None:
    page = PdfReader(io.BytesIO(long_page_pdf("Strip", (PANEL,), DAY, ["Blades cut."]))).pages[0]
    assert float(page.mediabox.width) * MM == pytest.approx(320, abs=0.01)
    assert "Blades cut." in page.extract_text()


def test_a_page_longer_than_readers_take_is_refused() -> None:
    long = Piece("long", ((0.0, 0.0), (6000.0, 0.0), (6000.0, 10.0)))
    with pytest.raises(BadInput, match="longer than a page can be"):
        long_page_pdf("Strip", (long,), DAY)
