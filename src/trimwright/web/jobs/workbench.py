"""The one place where pages ask the workbench: typed lines in, an answer with its picture and its cautions out.

Every answer here is quick enough for a page to wait for. What a colour needs is imported when a colour is asked for,
so that no other page pays for it; nothing here knows Django.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class Sheet:
    """A question as a page shows it: the form's lines, and the answer, or what is wrong beyond single lines."""

    id: str
    title: str
    lines: tuple[Line, ...]
    problems: tuple[Problem, ...] = ()
    answer: Answer | None = None
    cautions: tuple[str, ...] = ()
    picture: str = ""

    @property
    def is_refused(self) -> bool:
        """Whether something that was typed cannot be used."""
        return bool(self.problems) or any(each.problems for each in self.lines)


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
    return Sheet(asked.id, asked.title, lines(asked.asks, typed))


def answered(asked: Question, typed: Mapping[str, str]) -> Sheet:
    """The form with its answer; everything that is wrong stands beside its line."""
    try:
        answer = asked.answer(typed)
    except BadInput as error:
        wrong, beyond = beside(asked.asks, error.problems)
        return Sheet(asked.id, asked.title, lines(asked.asks, typed, wrong), beyond)
    known = load().cautions
    cautions = tuple(known[each].text for each in answer.cautions)
    drawn = picture(asked.id, answer)
    return Sheet(asked.id, asked.title, lines(asked.asks, typed), answer=answer, cautions=cautions, picture=drawn)


def lines(
    asks: Sequence[Ask], typed: Mapping[str, str], wrong: Mapping[str, tuple[Problem, ...]] | None = None
) -> tuple[Line, ...]:
    """The form's lines as they stand."""
    return tuple(
        Line(
            ask=each,
            value=typed.get(each.name, "") or (each.usual if each.offers else ""),
            choices=tuple((one, choice_name(one)) for one in each.offers),
            problems=(wrong or {}).get(each.name, ()),
        )
        for each in asks
    )


def beside(
    asks: Sequence[Ask], problems: Sequence[Problem]
) -> tuple[Mapping[str, tuple[Problem, ...]], tuple[Problem, ...]]:
    """Problems by the line they stand at, and those that stand at none."""
    names = {each.label: each.name for each in asks}
    found: dict[str, tuple[Problem, ...]] = {}
    for each in problems:
        if each.where in names:
            found[names[each.where]] = (*found.get(names[each.where], ()), each)
    return found, tuple(each for each in problems if each.where not in names)


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
