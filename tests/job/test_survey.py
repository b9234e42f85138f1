from __future__ import annotations

from pathlib import Path

import pytest

from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.survey import read_sheet, write_sheet

FORMS = ("sheet.xlsx", "sheet.csv")


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("units", ["metric", "US customary"])
def test_a_job_comes_back_from_its_sheet_whole(
    form: str, units: str, job: Job, bare: Job, trade: Trade, tmp_path: Path
) -> None:
    job = job.model_copy(update={"car": job.car.model_copy(update={"units": units})})
    write_sheet(job, trade, tmp_path / form)
    assert read_sheet(tmp_path / form, bare, trade).job == job
