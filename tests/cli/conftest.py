"""The command line run inside the test as its entry point runs it: exit code, what it printed, what it blamed."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.plan.small_cabin import small_job
from trimwright.cli import main
from trimwright.job.files import write_job


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


Trimwright = Callable[..., Ran]


@pytest.fixture
def trimwright(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Callable[..., Ran]:
    """Runs `trimwright` with these arguments in an empty folder; `typed` is what the person types."""
    monkeypatch.chdir(tmp_path)

    def run(*arguments: str | Path, typed: str = "") -> Ran:
        monkeypatch.setattr("sys.argv", ["trimwright", *map(str, arguments)])
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        capsys.readouterr()
        with pytest.raises(SystemExit) as left:
            main()
        printed = capsys.readouterr()
        return Ran(int(left.value.code or 0), printed.out, printed.err)

    return run


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """The small cabin's job file."""
    path = tmp_path / "small.json"
    write_job(small_job(), path)
    return path
