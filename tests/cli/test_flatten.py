"""`trimwright flatten`: what it tells, what it writes, and what it refuses."""

from __future__ import annotations

from pathlib import Path

import pytest
import trimesh

from tests.cli.conftest import Trimwright
from tests.geometry.surfaces import cap, seat
from trimwright.geometry.scan import Surface


@pytest.fixture
def panel(tmp_path: Path) -> Path:
    return saved(seat(30, 25), tmp_path / "panel.ply")


def saved(surface: Surface, path: Path) -> Path:
    trimesh.Trimesh(surface.points, surface.faces, process=False).export(path)
    return path


def test_it_tells_stretch_seams_and_cautions_and_writes_the_pieces(
    panel: Path, tmp_path: Path, trimwright: Trimwright
) -> None:
    (tmp_path / "seam.txt").write_text("# across the middle\n240 -5\n\n240 600\n")
    sheets, drawing, picture = tmp_path / "sheets", tmp_path / "panel.dxf", tmp_path / "stretch.svg"
    asked = ["flatten", str(panel), "--seam", str(tmp_path / "seam.txt"), "--allowance", "10", "--mirror"]
    told = trimwright(*asked, "--sheets", str(sheets), "--dxf", str(drawing), "--picture", str(picture))
    assert "Seam 1:" in told.out
    assert "mm to ease in" in told.out
    assert "cut-proof glove" in told.out
    assert "No cover goes over a seat or panel that an airbag comes out of" in told.out.replace("\n", " ")
    assert (sheets / "true-size-sheets.pdf").read_bytes().startswith(b"%PDF")
    assert "panel 2 mirrored" in drawing.read_text()
    assert (tmp_path / "stretch-1.svg").read_text().startswith("<svg")
    plain = trimwright(*asked, "--json").json
    assert [each["name"] for each in plain["pieces"]] == ["panel 1", "panel 2"]
    assert [each["piece"] for each in plain["seams"][0]["flat_mm"]] == [1, 2]


def test_a_dart_is_offered_where_the_material_cannot_follow(tmp_path: Path, trimwright: Trimwright) -> None:
    told = trimwright("flatten", str(saved(cap(100, 1.0, 16), tmp_path / "dome.obj")), "--limit", "3")
    assert "a dart through" in told.out
    assert "instead of" in told.out


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--limit", "0"], "--limit"),
        (["--unit", "m"], "fit a cabin"),
        (["--smooth", "-1"], "5 or 6 mm"),
        (["--seam", "SEAM"], "is no point of a seam"),
    ],
)
def test_bad_input_is_named_with_the_way_out(
    options: list[str], said: str, panel: Path, tmp_path: Path, trimwright: Trimwright
) -> None:
    (tmp_path / "seam.txt").write_text("1 2\nthree four\n")
    told = trimwright(
        "flatten", str(panel), *[str(tmp_path / "seam.txt") if each == "SEAM" else each for each in options]
    )
    assert told.code == 2
    assert said in told.err
