"""The one place where pages ask for a wheel wrap: typed measures in; figures, pictures, sheets and drawings out.

A page waits for all of it: an answer takes a tenth of a second once numpy is loaded, a paper less than two.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.wheel import RIMS, Wheel
from trimwright.web.jobs.workbench import Form, Line, beside, lines

if TYPE_CHECKING:
    from trimwright.geometry.advice import Advice
    from trimwright.papers import PaperSize
    from trimwright.plan.wrapping.found import Found

WRAP = "wrap"
TITLE = "How is this wheel wrapped?"
PDF, SVG, DXF = "application/pdf", "image/svg+xml", "application/dxf"
FILES = {
    "true-size-a4.pdf": PDF,
    "true-size-letter.pdf": PDF,
    "lacing-card-a4.pdf": PDF,
    "lacing-card-letter.pdf": PDF,
    "long-page.pdf": PDF,
    "pieces.svg": SVG,
    "pieces.dxf": DXF,
}
"""What may be taken away, by its name, with what kind of file it is."""

FITS = {"even": "even strain", "edges": "edges without gathering", "leather": "as the leather stands"}
"""What the lengths of a strip are called."""

Rows = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Wrapped:
    """What comes of a wheel's measures, as a page shows it."""

    facts: Rows
    pieces: Rows
    runs: Rows
    order: Rows
    advice: tuple[Advice, ...]
    working: tuple[str, ...]
    strain: str
    lacing: str
    cut: str
    """The pieces as they will be cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WrapForm(Form):
    """The question's form, with the wrap once it is asked."""

    answer: Wrapped | None = None


def lines_asked() -> tuple[str, ...]:
    """The names of the question's lines."""
    from trimwright.plan.wrapping.reading import ASKS

    return tuple(each.name for each in ASKS)


def wheels(job: Job) -> dict[str, Wheel | None]:
    """The wheel rims of a job that may be wrapped, with what was measured of them."""
    return {each.id: each.wheel for each in job.parts if each.material in RIMS}


def as_typed(wheel: Wheel | None) -> dict[str, str]:
    """What was measured of a wheel, as it would be typed."""
    from trimwright.plan.wrapping.reading import typed_of

    return typed_of(wheel) if wheel else {}


def blank(typed: Mapping[str, str], job: Job | None) -> WrapForm:
    """The form before it is asked; answered at once where a job's wheel was measured."""
    found = answered(typed, job) if typed else None
    return found if found and not found.is_refused else WrapForm(id=WRAP, title=TITLE, lines=_lines(typed))


def answered(typed: Mapping[str, str], job: Job | None) -> WrapForm:
    """The form with its wrap; what is wrong stands beside its line."""
    from trimwright.plan.wrapping.reading import line_of

    try:
        found = _found(typed, job)
    except BadInput as error:
        wrong, beyond = beside(error.problems, line_of)
        return WrapForm(id=WRAP, title=TITLE, lines=_lines(typed, wrong), problems=beyond)
    return WrapForm(id=WRAP, title=TITLE, lines=_lines(typed), cautions=found.all_cautions, answer=_wrapped(found))


def measured(typed: Mapping[str, str], job: Job | None) -> Wheel:
    """The measures, sound as a job keeps them; BadInput with everything that is wrong."""
    return _found(typed, job).wheel


def file(name: str, typed: Mapping[str, str], job: Job | None, made_at: datetime) -> bytes:
    """One of `FILES`; BadInput with everything that is wrong with the measures."""
    found = _found(typed, job)
    pieces, title = found.wrap.pieces, found.title
    paper, _, size = name.removesuffix(".pdf").rpartition("-")
    match paper:
        case "true-size":
            from trimwright.papers.true_size import true_size_pdf

            return true_size_pdf(title, pieces, made_at, _size(size), found.cautions("cut"))
        case "lacing-card":
            from trimwright.papers.lacing_card import lacing_card_pdf

            cautions = found.cautions("lace")
            return lacing_card_pdf(
                title, found.wrap, found.lacing, made_at, _size(size), minutes=found.hours, cautions=cautions
            )
        case "long":
            from trimwright.papers.true_size import long_page_pdf

            return long_page_pdf(title, pieces, made_at, found.cautions("cut"))
    if name == "pieces.dxf":
        from trimwright.geometry.dxf import drawing

        return drawing(pieces).encode("ascii")
    from trimwright.geometry.sheet import one_page

    return one_page(pieces).svg.encode()


def _lines(typed: Mapping[str, str], wrong: Mapping[str, tuple[Problem, ...]] | None = None) -> tuple[Line, ...]:
    from trimwright.geometry.lacing import NAMES
    from trimwright.plan.wrapping.reading import ASKS

    names = FITS | {str(pattern): name for pattern, name in NAMES.items()}
    return lines(ASKS, typed, wrong, lambda choice: names.get(choice, choice))


def _size(size: str) -> PaperSize:
    return "us-letter" if size == "letter" else "a4"


def _found(typed: Mapping[str, str], job: Job | None) -> Found:
    from trimwright.plan.wrapping.found import worked_out
    from trimwright.plan.wrapping.reading import entries, wheel_of

    return worked_out(wheel_of(entries(typed)), load(), job)


def _wrapped(found: Found) -> Wrapped:
    from trimwright.charts.lacing import lacing_picture
    from trimwright.charts.strain import strain_chart
    from trimwright.geometry.sheet import one_page
    from trimwright.plan.wrapping import found as told

    made = found.wrap
    return Wrapped(
        facts=tuple(told.facts(found)),
        pieces=tuple(told.pieces(found)),
        runs=tuple(told.runs(found)),
        order=tuple(told.order(found)),
        advice=found.advice,
        working=tuple(told.working(found)),
        strain=strain_chart(made.strain, made.leather.along),
        lacing=lacing_picture(found.lacing.pattern, made.seam),
        cut=one_page(made.pieces).svg,
    )
