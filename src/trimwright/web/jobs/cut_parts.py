"""The one place where pages ask what drawings are cut for: parts of a job with covers, and the edits to note it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from trimwright.book.applied import with_own_treatments
from trimwright.book.document import Book
from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.geometry.nest.taken import Taken
from trimwright.job.document import Job
from trimwright.job.edits import SetField

Choices = tuple[tuple[str, str], ...]
"""(value, name) of all that a drawing may be for."""
BETWEEN = "="


def choices(job: Job, book: Book, *, on_hides: bool) -> Choices:
    """Every part with a cover that is cut, by its name; on hides those alone that are sold by the square metre."""
    from trimwright.plan.laying import covers
    from trimwright.plan.quantities.surveyed import survey

    trade = with_own_treatments(load(), book)
    return tuple(
        (f"{part.id}{BETWEEN}{cover.treatment}", f"{part.part.name}: {trade.treatments[cover.treatment].name}")
        for part in survey(job, trade)
        for cover in covers(part, job, trade)[0]
        if not on_hides or trade.materials[cover.material].unit == "m²"
    )


def edits(came: Mapping[str, Any], chosen: Mapping[str, str], job: Job, book: Book, day: date) -> tuple[SetField, ...]:
    """What to keep in the job of a work's drawings, each for the part chosen; BadInput with all that can't be."""
    from trimwright.plan.laying import Cover, cover_of, noted

    trade = with_own_treatments(load(), book)
    areas: dict[str, float] = {}
    covers: dict[str, Cover] = {}
    problems: list[Problem] = []
    for drawing, area in came["areas"].items():
        part, _, treatment = chosen.get(drawing, "").partition(BETWEEN)
        try:
            covers[part] = cover_of(part, treatment, job, trade, drawing)
        except BadInput as wrong:
            problems += wrong.problems
        areas[part] = areas.get(part, 0.0) + area
    if problems:
        raise BadInput(problems)
    taken = Taken(**came["taken"]) if came.get("taken") else None
    return noted(areas, covers, taken, trade, day)
