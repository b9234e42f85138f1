"""The survey sheet: the whole job as a workbook or CSV to fill in beside the car, and back without loss."""

from __future__ import annotations

from pathlib import Path

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade
from trimwright.job.document import Job
from trimwright.job.survey.comma import read_csv, write_csv
from trimwright.job.survey.read import Reading
from trimwright.job.survey.workbook import read_xlsx, write_xlsx

__all__ = ["Reading", "read_sheet", "write_sheet"]

_WRITERS = {".xlsx": write_xlsx, ".csv": write_csv}
_READERS = {".xlsx": read_xlsx, ".csv": read_csv}


def write_sheet(job: Job, trade: Trade, path: Path) -> None:
    """Write the survey sheet of `job`, a workbook or CSV by the ending of `path`."""
    _WRITERS[_ending(path)](job, trade, path)


def read_sheet(path: Path, job: Job, trade: Trade) -> Reading:
    """The job as a filled-in sheet tells it, `job` being what the sheet does not show; BadInput with every mistake."""
    return _READERS[_ending(path)](path, job, trade)


def _ending(path: Path) -> str:
    ending = path.suffix.lower()
    if ending not in _READERS:
        raise BadInput(Problem(path.name, path.suffix, "is no form of the survey sheet.", "Use .xlsx or .csv."))
    return ending
