"""The guide and the command line say the same: every command stands in the guide, every command of the guide runs."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

from tests.geometry.photographed import close, jpeg
from tests.geometry.surfaces import seat
from tests.web import test_serving as serving
from trimwright.cli.commands import app

ROOT = Path(__file__).parents[1]
GUIDE = (ROOT / "docs" / "guide.md").read_text(encoding="utf-8")


def commands() -> list[tuple[str, str]]:
    """Name and help of every command, those of a group behind its name."""
    groups = {f"{each.name} ": each.typer_instance for each in app.registered_groups if each.typer_instance}
    return [
        (f"{group}{each.name or each.callback.__name__}", each.help or each.callback.__doc__ or "")
        for group, commands in {"": app, **groups}.items()
        for each in commands.registered_commands
        if each.callback
    ]


def in_the_guide() -> list[str]:
    """The lines of the guide's `sh` blocks."""
    blocks = re.findall(r"^```sh\n(.*?)^```", GUIDE, re.MULTILINE | re.DOTALL)
    return [line for block in blocks for line in block.splitlines() if line.strip()]


@pytest.mark.parametrize(("name", "told"), commands(), ids=lambda value: value.partition(".")[0])
def test_a_command_has_help_and_stands_in_the_guide(name: str, told: str) -> None:
    assert told.strip().partition("\n")[0].endswith(".")
    assert any(line.startswith(f"trimwright {name}") for line in in_the_guide())


def test_the_commands_of_the_guide_run(tmp_path: Path) -> None:
    """In their order, in an empty folder; none finds its input wrong or its sum short."""
    told = in_the_guide()
    assert told
    _bring(tmp_path)
    for line in told:
        program, *arguments = shlex.split(line)
        assert program == "trimwright", line
        if arguments[0] == "serve":
            typed = "Robin\n" + "needle and thread\n" * 2
            with serving.served(tmp_path / "data", *arguments[1:], typed=typed) as (port, _):
                assert "Trimwright" in serving.page(port)[0], line
            continue
        done = subprocess.run(
            [sys.executable, "-m", "trimwright", *arguments],
            cwd=tmp_path,
            env={**os.environ, "PYTHONIOENCODING": "utf-8"},
            capture_output=True,
            encoding="utf-8",
            timeout=120,
            check=False,
        )
        assert done.returncode == 0, f"{line}\n{done.stdout}\n{done.stderr}"
    for left in ("demo/job.json", "demo/plan.json", "walk-round.xlsx", "model.mps", "buying.csv", "buying.xlsx"):
        assert (tmp_path / left).stat().st_size, left
    assert len(list((tmp_path / "papers").glob("*.pdf"))) >= 4


def _bring(folder: Path) -> None:
    """What a reader of the guide brings along: a scan of a cushion, a seam across it, a photo of a door card, hide."""
    scan = seat(60, 50)
    trimesh.Trimesh(scan.points, scan.faces, process=False).export(folder / "cushion.ply")
    (folder / "seam.txt").write_text("240 -5\n240 600\n")
    (folder / "door-card.jpg").write_bytes(jpeg(close(thick=3.0).photo()))
    (folder / "hide.txt").write_text(
        "outline\n0 200\n400 0\n2000 0\n2400 200\n2400 1300\n2000 1500\n400 1500\n0 1300\n"
        "flaw\n900 640 40\nzone belly\n400 0\n2000 0\n2000 180\n400 180\n"
    )
    (folder / "moved.txt").write_text("# the lower left corner\n1 0.5 15.5\n")


def test_links_lead_somewhere() -> None:
    for page in [*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")]:
        for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name} leads to {target}"
