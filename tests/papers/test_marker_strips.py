"""The printed strips: bars and squares measured as printed, and found again by what will look for them."""

from __future__ import annotations

import io
import shutil
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from pypdf import PdfReader

from trimwright.geometry.outline.finding import find_strips
from trimwright.geometry.outline.photo import Photo
from trimwright.geometry.outline.strips import BAR_LONG_MM, BAR_SHORT_MM
from trimwright.papers.marker_strips import marker_strips_pdf
from trimwright.papers.press import PaperSize

DAY = datetime(2026, 11, 25, tzinfo=UTC)
DPI = 600
HIGH_PT: dict[PaperSize, float] = {"a4": 841.89, "us-letter": 792.0}


def longest_run(dark: NDArray[np.bool_]) -> int:
    """Of dots side by side that are dark."""
    ends = np.flatnonzero(np.diff(np.concatenate(([0], dark.astype(int), [0]))))
    return int(np.diff(ends)[::2].max(initial=0))


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_three_pages_that_ask_not_to_be_scaled(paper: PaperSize) -> None:
    reader = PdfReader(io.BytesIO(marker_strips_pdf(DAY, paper)), strict=True)
    assert "'/PrintScaling': '/None'" in str(reader.root_object["/ViewerPreferences"].get_object())
    assert len(reader.pages) == 3
    assert "sails of a mill" in reader.pages[0].extract_text().replace("\n", " ")
    assert "260 mm" in reader.pages[1].extract_text()
    assert float(reader.pages[1].mediabox.height) == pytest.approx(HIGH_PT[paper], abs=0.1)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="poppler is not at hand")
@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_as_printed_at_600_dots(paper: PaperSize, tmp_path: Path) -> None:
    """Bars within a dot of their length (0.042 mm), from outer edge to outer edge.

    Seen at 150 dots both strips are found, every corner within a quarter of a dot of where it should be, true to size.
    """
    (tmp_path / "strips.pdf").write_bytes(marker_strips_pdf(DAY, paper))
    command = ["pdftoppm", "-r", f"{DPI}", "-gray", "-f", "2", "-l", "2", "strips.pdf", "page"]
    subprocess.run(command, cwd=tmp_path, check=True, stderr=subprocess.DEVNULL)
    page = np.asarray(Image.open(next(tmp_path.glob("page*.pgm"))))
    dark = page < 128
    assert abs(int(dark.sum(axis=1).max()) - BAR_SHORT_MM / 25.4 * DPI) <= 1
    left = int(np.argmax(dark.any(axis=0)))
    margin = dark[:, left : left + round(7 / 25.4 * DPI)].T
    assert any(abs(longest_run(each) - BAR_LONG_MM / 25.4 * DPI) <= 1 for each in margin)
    small = cv2.resize(page, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    for seen in find_strips(Photo(cv2.cvtColor(small, cv2.COLOR_GRAY2BGR), None), ("a", "b"), "page"):
        assert len(seen.px) == 20
        grid = np.column_stack((seen.mm, np.ones(20)))
        laid, *_ = np.linalg.lstsq(grid, seen.px, rcond=None)
        assert np.abs(grid @ laid - seen.px).max() < 0.25
        assert np.linalg.norm(laid[:2], axis=1) * 25.4 / DPI * 4 == pytest.approx([1, 1], abs=2e-3)
