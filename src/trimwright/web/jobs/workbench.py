"""The one place where pages ask the workbench: typed lines in, an answer with its picture and its cautions out.

Every answer here is quick enough for a page to wait for. What a colour needs is imported when a colour is asked for,
so that no other page pays for it; nothing here knows Django.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from trimwright.craft.asking import Ask, Question
from trimwright.craft.workbench import QUESTIONS
from trimwright.errors import BadInput, Problem
from trimwright.facts import load
from trimwright.facts.workbench import load_workbench

if TYPE_CHECKING:
    from trimwright.book.document import Book
    from trimwright.craft.answer import Answer

COLOUR = "colour "
"""Questions that begin so are asked of the shop's own base colours."""
MOST_TYPED = 300
"""Letters of one line that are read."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the form: what is asked, what stands there, what may be chosen, and what is wrong with it."""

    ask: Ask
    value: str
    choices: tuple[tuple[str, str], ...]
    """(id, name) of all that may stand there, where it is not typed."""
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A question as a page shows it: its lines, and what is wrong beyond single lines."""

    id: str
    title: str
    lines: tuple[Line, ...]
    problems: tuple[Problem, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def is_refused(self) -> bool:
        """Whether something that was typed cannot be used."""
        return bool(self.problems) or any(each.problems for each in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet(Form):
    """A form with its answer, and the picture of it."""

    answer: Answer | None = None
    picture: str = ""


def question(question_id: str, book: Book) -> Question:
    """The question of this id, KeyError where there is none; of colour, as this shop's bases answer it."""
    if not question_id.startswith(COLOUR):
        return QUESTIONS[question_id]
    from trimwright.book.colours import palette_of
    from trimwright.craft.ask_colour import colour_questions

    return colour_questions(palette_of(book))[question_id]


def blank(asked: Question, typed: Mapping[str, str]) -> Sheet:
    """The form before it is asked, with what is known already; answered at once where that is enough."""
    if typed:
        found = answered(asked, typed)
        if not found.is_refused:
            return found
    return Sheet(id=asked.id, title=asked.title, lines=lines(asked.asks, typed))


def answered(asked: Question, typed: Mapping[str, str]) -> Sheet:
    """The form with its answer; everything that is wrong stands beside its line."""
    try:
        answer = asked.answer(typed)
    except BadInput as error:
        labels = {each.label: each.name for each in asked.asks}
        wrong, beyond = beside(error.problems, lambda where: labels.get(where, ""))
        return Sheet(id=asked.id, title=asked.title, lines=lines(asked.asks, typed, wrong), problems=beyond)
    known = load().cautions
    return Sheet(
        id=asked.id,
        title=asked.title,
        lines=lines(asked.asks, typed),
        cautions=tuple(known[each].text for each in answer.cautions),
        answer=answer,
        picture=picture(asked.id, answer),
    )


def lines(
    asks: Sequence[Ask],
    typed: Mapping[str, str],
    wrong: Mapping[str, tuple[Problem, ...]] | None = None,
    names: Callable[[str], str] | None = None,
) -> tuple[Line, ...]:
    """The form's lines as they stand; `names` tells what a choice is called."""
    called = names or choice_name
    return tuple(
        Line(
            ask=each,
            value=typed.get(each.name, "") or (each.usual if each.offers else ""),
            choices=tuple((one, called(one)) for one in each.offers),
            problems=(wrong or {}).get(each.name, ()),
        )
        for each in asks
    )


def beside(
    problems: Sequence[Problem], line_of: Callable[[str], str]
) -> tuple[Mapping[str, tuple[Problem, ...]], tuple[Problem, ...]]:
    """Problems by the line they stand at, and those that stand at none; `line_of` tells the one from the other."""
    found: dict[str, tuple[Problem, ...]] = {}
    for each in problems:
        found[line_of(each.where)] = (*found.get(line_of(each.where), ()), each)
    return found, found.pop("", ())


def choice_name(choice: str) -> str:
    """What a choice is called, where it is a tin, a place or a state of a thread; else itself."""
    bench = load_workbench()
    known = bench.coats.get(choice) or bench.places.get(choice) or bench.bolt_threads.get(choice)
    return known.name if known else choice


def picture(question_id: str, answer: Answer) -> str:
    """The answer's own picture, or its figures against their limits; nothing where it has neither."""
    from trimwright.charts.fumes import fumes_chart
    from trimwright.charts.limits import limits_chart
    from trimwright.craft.vapour import Fumes

    if question_id.startswith(COLOUR):
        return _side_by_side(answer.engine)
    if isinstance(answer.engine, Fumes):
        return fumes_chart(answer.engine)
    return limits_chart(answer.limits) if any(each.limit > 0 for each in answer.limits) else ""


def _side_by_side(found: object) -> str:
    """What is wanted beside the forecast of a mix, or beside a swatch."""
    from trimwright.charts.swatches import swatches
    from trimwright.craft.ask_colour import Checked
    from trimwright.craft.colour.mixing import Mixed

    match found:
        case Mixed():
            return swatches(found.target.lab, found.forecast)
        case Checked():
            return swatches(found.target.lab, found.swatch.lab, made_is="swatch", distance_m=found.distance_m)
    return ""


def marker_strips(made_at: datetime, *, letter: bool) -> bytes:
    """The strips for photos of parts as PDF."""
    from trimwright.papers.marker_strips import marker_strips_pdf

    return marker_strips_pdf(made_at, "us-letter" if letter else "a4")


def colour_card(made_at: datetime, *, letter: bool) -> bytes:
    """The card of known patches as PDF."""
    from trimwright.papers.colour_card import colour_card_pdf

    return colour_card_pdf(made_at, "us-letter" if letter else "a4")
