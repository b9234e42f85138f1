"""`trimwright nest`: what it tells, what it writes, and what it refuses."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.cli.conftest import Trimwright
from trimwright.demo import demo_job
from trimwright.geometry.dxf import drawing, read_drawing
from trimwright.geometry.pattern import Piece, labelled
from trimwright.job.files import read_job, write_job

HIDE = "outline\n0 0\n1400 0\n1400 900\n0 900\nflaw\n700 450 60\nzone belly\n0 0\n1400 0\n1400 150\n0 150\n"


@pytest.fixture
def pieces(tmp_path: Path) -> Path:
    path = tmp_path / "pieces.dxf"
    outline = ((0.0, 0.0), (300.0, 0.0), (260.0, 200.0), (0.0, 180.0))
    panel = Piece("side", outline, grain=((0.0, 0.0), (100.0, 0.0)))
    path.write_text(drawing([labelled(panel), labelled(panel)]), encoding="ascii")
    (tmp_path / "hide.txt").write_text(HIDE)
    return path


def test_pieces_on_a_hide_are_told_drawn_and_their_offcuts_laid_on_again(
    pieces: Path, tmp_path: Path, trimwright: Trimwright
) -> None:
    asked = ["nest", pieces, "--hide", "hide.txt", "--not-in", "belly", "--seconds", "2"]
    told = trimwright(*asked, "--picture", "p.svg", "--page", "p.pdf", "--dxf", "laid.dxf", "--offcuts", "left")
    assert told.code == 0, told.err
    assert "2 pieces" in told.out
    assert "better layout may exist" in told.out
    assert (tmp_path / "p.pdf").read_bytes().startswith(b"%PDF")
    assert "laid-piece" in (tmp_path / "p.svg").read_text()
    laid = read_drawing((tmp_path / "laid.dxf").read_text(), "laid")
    assert [each.name for each in laid] == ["side", "side"]
    assert all(each.box[1] >= 150 for each in laid)
    offcut = sorted((tmp_path / "left").iterdir())[0]
    again = trimwright("nest", pieces, "--hide", offcut, "--seconds", "1", "--json")
    assert again.json["left_over"] == []


def test_what_a_part_takes_is_noted_in_its_job(pieces: Path, tmp_path: Path, trimwright: Trimwright) -> None:
    job = tmp_path / "job.json"
    write_job(demo_job(), job)
    (tmp_path / "hide.txt").write_text("outline\n0 0\n1200 0\n1200 900\n0 900\n")
    asked = ["nest", pieces, "--hide", "hide.txt", "--seconds", "1", "--job", job]
    part = ["--part", f"{pieces.stem}=fseat_cushion_cover.d=leather_recover"]
    before = job.read_text()
    told = trimwright(*asked, *part)
    assert "by the rule of thumb" in " ".join(told.out.split())
    assert job.read_text() == before
    assert trimwright(*asked, *part, "--note").code == 0
    (cut,) = [each.cutting for each in read_job(job).parts if each.cutting]
    assert cut.taken == pytest.approx(1.176 * 0.876, abs=1e-4)  # all of the hide but its margin
    assert "needs a job" in trimwright(*asked[:-2], "--note").err
    assert "is for no part yet" in trimwright(*asked).err
    assert "names no file" in trimwright(*asked, "--part", "roof=fseat_cushion_cover.d=leather_recover").err


def test_a_roll_is_told_by_its_length(pieces: Path, trimwright: Trimwright) -> None:
    told = trimwright("nest", pieces, "--roll", "500", "--seconds", "2", "--json")
    (roll,) = told.json["hides"]
    assert 200 < roll["long_mm"] <= 310


def test_nothing_is_written_over_and_no_search_is_lost(pieces: Path, tmp_path: Path, trimwright: Trimwright) -> None:
    asked = ["nest", pieces, "--hide", "hide.txt", "--seconds", "1"]
    two = [*asked, "--hide", "hide.txt", "--page", "p.pdf", "--offcuts", "left"]
    assert trimwright(*two).code == 0
    again = trimwright(*two)
    assert again.code == 2
    assert "2 problems" in again.err
    assert "p-1.pdf: is already there" in again.err
    assert "1-hide-1.txt: is already there" in again.err
    assert "is no folder" in trimwright(*asked, "--offcuts", "hide.txt").err
    job = tmp_path / "job.json"
    write_job(demo_job(), job)
    (tmp_path / "hide.txt").write_text("outline\n0 0\n400 0\n400 300\n0 300\n")
    part = ["--job", job, "--part", f"{pieces.stem}=fseat_cushion_cover.d=leather_recover"]
    short = trimwright(*asked, *part, "--picture", "short.svg")
    assert short.code == 2
    assert "found no room" in short.err
    assert "No room found for 1" in short.out
    assert (tmp_path / "short.svg").exists()


def test_ctrl_c_keeps_the_best_so_far(pieces: Path, trimwright: Trimwright, monkeypatch: pytest.MonkeyPatch) -> None:
    @contextmanager
    def pressed(_doing: str) -> Iterator[Callable[..., None]]:
        """As the terminal, with somebody at it who presses the keys at the first layout that is told."""
        yield lambda *_: os.kill(os.getpid(), signal.SIGINT)

    monkeypatch.setattr("trimwright.cli.nest.progress", pressed)
    told = trimwright("nest", pieces, "--hide", "hide.txt", "--seconds", "600", "--chance")
    assert told.code == 0
    assert "2 pieces" in told.out
    assert "Stopped before the chance" in told.out


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ([], "not both"),
        (["--hide", "hide.txt", "--roll", "500"], "not both"),
        (["--hide", "hide.txt", "--repeat", "50"], "is of a roll"),
        (["--hide", "hide.txt", "--not-in", "neck"], "names no zone"),
        (["--hide", "hide.txt", "--not-in", "roof=belly"], "no piece's name"),
        (["--hide", "pieces.dxf"], "neither a heading"),
        (["--hide", "gone.txt"], "gone.txt: cannot be read"),
        (["--roll", "150"], "not narrower"),
        (["--hide", "hide.txt", "--seconds", "0"], "3600"),
    ],
)
def test_what_is_wrong_is_said(options: list[str], said: str, pieces: Path, trimwright: Trimwright) -> None:
    told = trimwright("nest", pieces, *options)
    assert told.code == 2
    assert said in told.err
