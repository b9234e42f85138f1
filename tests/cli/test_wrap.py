"""`wrap` on the command line: from readings or a job to pieces and papers; slips told; the bar of two seconds.

The rim of 400 mm over all with a grip of 94.2478 mm is the one whose figures tests/geometry holds.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest

from tests.cli.conftest import Trimwright
from tests.plan.quantities.cabins import job_of, part
from trimwright.job.files import read_job, write_job

RIM = ("--outside", "400", "--grip", "94.24778")
SPOKES = ("--spoke", "90=32x18", "--spoke", "180=40x14", "--spoke", "270=32x18")


@pytest.fixture
def wheel_job(tmp_path: Path) -> Path:
    """A cabin whose only part is a worn leather rim."""
    path = tmp_path / "wheel.json"
    write_job(job_of(part("wheel_rim_leather", "rim-leather", 3, "W_worn heavy")), path)
    return path


def test_plain_numbers_make_a_wrap(trimwright: Trimwright) -> None:
    told = trimwright("wrap", *RIM, "--lacing", "ladder", "--json").json
    assert told["seam"]["pairs"] == 213
    assert told["strip"]["turn_mm"] == pytest.approx(1162.39, abs=0.01)
    assert told["strip"]["wide_mm"] == pytest.approx([92.3247, 92.3247], abs=1e-3)
    assert told["lacing"]["chords_mm"] == pytest.approx(3475.36, abs=0.01)
    assert told["strain"]["stretched"] == pytest.approx(0.0843243, abs=1e-6)
    assert sum(each["holes"] for each in told["pieces"]) == 2 * 213


def test_inches_are_read_too(trimwright: Trimwright) -> None:
    inches = trimwright("wrap", "--outside", "15.748 in", "--grip", "3.7 in", "--json").json["measures"]
    assert inches["outside"] == pytest.approx(400, abs=0.01)
    assert inches["grips"] == [{"at": 0.0, "grip": pytest.approx(93.98)}]


def test_tables_tell_what_is_unwise_and_the_cautions(trimwright: Trimwright) -> None:
    ran = trimwright("wrap", *RIM, *SPOKES, "--working")
    assert ran.code == 0, ran.err
    assert "The outer line must stretch 8.4%" in ran.out
    assert "halves" in ran.out
    assert "the wheel's own measures" in ran.out
    assert "within the sweep of its door" in " ".join(ran.out.split())
    assert "Battery negative off first" in ran.out


def test_papers_and_drawings(trimwright: Trimwright) -> None:
    ran = trimwright("wrap", *RIM, *SPOKES, "--sheets", "out", "--letter", "--svg", "w.svg", "--dxf", "w.dxf", "--json")
    assert ran.code == 0, ran.err
    assert {each.name for each in Path("out").iterdir()} == {"true-size-sheets.pdf", "long-page.pdf", "lacing-card.pdf"}
    assert set(map(Path, ran.json["written"])) == {*Path("out").iterdir(), Path("w.svg"), Path("w.dxf")}
    drawn = ezdxf.readfile("w.dxf")  # type: ignore[attr-defined]
    assert not drawn.audit().errors
    assert len(drawn.modelspace().query("INSERT")) == 3
    again = trimwright("wrap", *RIM, "--svg", "w.svg")
    assert again.code == 2
    assert "already there" in again.err


def test_measures_are_kept_and_fill_in_the_next_time(trimwright: Trimwright, wheel_job: Path) -> None:
    job = ("--job", wheel_job)
    kept = trimwright("wrap", *job, *RIM, *SPOKES, "--note", "--json")
    assert kept.code == 0, kept.err
    measures = read_job(wheel_job).parts[0].wheel
    assert measures is not None
    assert [each.at for each in measures.spokes] == [90, 180, 270]
    again = trimwright("wrap", *job, "--pitch", "6", "--json").json
    assert again["measures"] == {**kept.json["measures"], "pitch": 6}
    assert again["seam"]["pairs"] < kept.json["seam"]["pairs"]
    assert "Battery negative" not in " ".join(again["cautions"])  # this car has no airbag


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--grip", "94"), "--outside: is not measured"),
        (("--outside", "400", "--grip", "940"), "not between 40 and 220"),
        (("--outside", "230", "--grip", "210"), "grip"),
        ((*RIM, "--pitch", "0"), "pitch: '0'"),
        ((*RIM, "--spoke", "90=30x12", "--spoke", "92=30x12"), "overlap"),
        ((*RIM, "--spoke", "7"), "90=32x18"),
        ((*RIM, "--lacing", "plait"), "herring-bone"),
        ((*RIM, "--grip", "60=98", "--thumb", "70=106"), "one --grip"),
        ((*RIM, "--part", "rim"), "needs a job"),
        ((*RIM, "--arm", "100"), "too short for one stitch"),
        ((*RIM, "--oval", "0"), "oval"),
        ((*RIM, "--pieces", "0"), "between 1 and 12"),
        ((*RIM, "--svg", "nowhere/w.svg"), "Make the folder first"),
    ],
)
def test_slips_are_told(trimwright: Trimwright, arguments: tuple[str, ...], told: str) -> None:
    ran = trimwright("wrap", *arguments)
    assert ran.code == 2
    assert told in ran.err


def test_a_part_that_is_no_wheel_is_refused(trimwright: Trimwright, small: Path) -> None:
    ran = trimwright("wrap", "--job", small, "--part", "sun_visor_driver", *RIM)
    assert ran.code == 2
    assert "is no wheel rim of this job" in ran.err


def test_a_wrap_with_its_sheets_takes_two_seconds(tmp_path: Path) -> None:
    """Measured in the processor's time, so that a busy machine does not count; twice the bar is a slip, not noise."""
    before = _children_s()
    command = [sys.executable, "-m", "trimwright", "wrap", *RIM, *SPOKES, "--sheets", "out"]
    subprocess.run(command, cwd=tmp_path, check=True, capture_output=True)
    assert _children_s() - before < 4.0


def _children_s() -> float:
    return os.times().children_user + os.times().children_system
