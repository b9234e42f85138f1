"""filled(question, part, …) → Filled: the lines of a workbench question, filled in from the task a job has for a part.

`everywhere(…)` fills in every question of every part and bolt of a plan. Only what the job knows is filled in; the air
of the day, and what the person types, stay theirs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade, Treatment
from trimwright.facts.workbench import Coat, load_workbench
from trimwright.job.document import Job
from trimwright.job.refusals import near
from trimwright.plan.quantities.cabin import Course, Quantities
from trimwright.plan.quantities.surveyed import Surveyed, survey
from trimwright.plan.sequence import arrange
from trimwright.plan.sequence.ledger import Torque, torques
from trimwright.plan.verdicts.verdict import Verdicts

TORQUE = "torque"
COLOURED = frozenset({"leather_pigment", "carpet_dye"})
"""Materials that are mixed to a colour, by the litre."""


@dataclass(frozen=True, slots=True)
class Filled:
    """The lines that a job's task fills in, by their names, and which task that is."""

    task: str
    typed: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class _Task:
    """A part with the course its verdict takes."""

    name: str
    """Of the part."""
    part: Surveyed
    course: Course
    treatments: tuple[Treatment, ...]
    coats: tuple[tuple[Coat, int], ...]
    """What it sprays, glues or wipes on, with thousandths of the material's unit."""


def filled(question: str, part: str, *, job: Job, trade: Trade, quantities: Quantities, verdicts: Verdicts) -> Filled:
    """The lines of `question` from the job's task on `part`; of "torque", `part` may be a strip-down step too.

    BadInput when there is no such part, or its task asks nothing of the kind.
    """
    if question == TORQUE:
        return _asked_bolt(part, torques(arrange(job, trade, quantities, verdicts), job, trade), job)
    task = _task(part, _surveyed(job, trade), trade, verdicts)
    lines = _LINES[question](task, job)
    if not lines:
        what = f"has nothing for this question: its task is {task.course.name}."
        raise BadInput(Problem(f"part {part}", "", what, "Ask with plain figures, or for another part."))
    return _filled(task, lines)


def everywhere(
    *, job: Job, trade: Trade, quantities: Quantities, verdicts: Verdicts
) -> Mapping[str, Mapping[str, Filled]]:
    """Every question that a task of the plan asks: by part, or by step for its bolts, then by question."""
    surveyed = _surveyed(job, trade)
    found: dict[str, dict[str, Filled]] = {}
    for part in (each.part for each in verdicts.verdicts if each.course is not None):
        task = _task(part, surveyed, trade, verdicts)
        asked = ((question, read(task, job)) for question, read in _LINES.items())
        found[part] = {question: _filled(task, lines) for question, lines in asked if lines}
    bolts = torques(arrange(job, trade, quantities, verdicts), job, trade)
    for place in (*(each.id for each in job.parts), *dict.fromkeys(each.step for each in bolts)):
        there = _bolts_of(place, bolts, job)
        if there:
            found.setdefault(place, {})[TORQUE] = _bolt(there)
    return {place: questions for place, questions in found.items() if questions}


def _filled(task: _Task, lines: Mapping[str, str]) -> Filled:
    return Filled(f"{task.name}: {task.course.name}", MappingProxyType(lines))


def _surveyed(job: Job, trade: Trade) -> Mapping[str, Surveyed]:
    return {each.id: each for each in survey(job, trade)}


def _task(part: str, surveyed: Mapping[str, Surveyed], trade: Trade, verdicts: Verdicts) -> _Task:
    if part not in surveyed:
        way_out = near(part, list(surveyed)) or "`trimwright decide JOB --json` lists the parts by id."
        raise BadInput(Problem("--part", part, "is no part of this job.", way_out))
    verdict = next(each for each in verdicts.verdicts if each.part == part)
    course = verdict.course
    if course is None:
        whole = f" It is settled with {verdict.settled_by}: ask for that." if verdict.settled_by else ""
        raise BadInput(Problem(f"part {part}", "", "has no course of its own.", whole.strip()))
    coats = load_workbench().coats
    used = ((coats.get(need.material.partition(":")[0]), need.milli) for need in course.needs)
    return _Task(
        name=verdict.name,
        part=surveyed[part],
        course=course,
        treatments=tuple(trade.treatments[each] for each in course.treatments if each in trade.treatments),
        coats=tuple((coat, milli) for coat, milli in used if coat is not None),
    )


# ---- the lines of each question --------------------------------------------------------------------------------------


def _air_coat(task: _Task, job: Job) -> dict[str, str]:
    """The strictest air that the task's treatments ask for."""
    del job
    damp = [each.rh_max_pct for each in task.treatments if each.rh_max_pct is not None]
    cold = [each.temp_min_c for each in task.treatments if each.temp_min_c is not None]
    lines = {}
    if task.coats:
        lines["dries"] = f"{max(coat.dries_min for coat, _ in task.coats)} min"
    if damp:
        lines["most"] = f"{min(damp):g} %"
    if cold:
        lines["coldest"] = f"{max(cold):g} C"
    return lines


def _air_tin(task: _Task, job: Job) -> dict[str, str]:
    """The tin that fouls the air most, an isocyanate before all; where it is used, as far as the job says."""
    if not task.coats:
        return {}
    coat, milli = max(task.coats, key=lambda each: (each[0].isocyanate, each[1] * _fouls(each[0])))
    in_the_car = any(each.reach == "in place" and coat.id in dict(each.uses) for each in task.treatments)
    place = "booth" if "booth" in job.capabilities else "cabin-open" if in_the_car else "garage"
    lines = {"tin": coat.id, "amount": f"{milli / 1000 * coat.litres_a_unit:.3f} L", "place": place}
    if coat.isocyanate and "air_fed_mask" in job.capabilities:
        lines["mask"] = "air-fed"
    return lines


def _fouls(coat: Coat) -> float:
    return coat.litres_a_unit * sum(share for _, share in coat.solvents)


def _coats_mix(task: _Task, job: Job) -> dict[str, str]:
    del job
    coat = _film_coat(task)
    if coat is None:
        return {}
    coats = max((each.coats for each in task.treatments if coat.id in dict(each.uses)), default=1)
    return {"area": f"{task.part.area_mm2 / 1e6:.3f} m2", "tin": coat.id, "coats": str(max(1, coats))}


def _coats_film(task: _Task, job: Job) -> dict[str, str]:
    del job
    coat = _film_coat(task)
    if coat is None:
        return {}
    return {"dry": f"{coat.film_um:g} um", "solids": f"{coat.solids:g}", "transfer": f"{coat.transfer:g}"}


def _film_coat(task: _Task) -> Coat | None:
    """What is mixed and sprayed: what has a ratio, else what comes by the litre, else out of a can."""
    films = [coat for coat, _ in task.coats if coat.solids]
    return max(films, key=lambda each: (bool(each.ratio), each.litres_a_unit, each.isocyanate), default=None)


def _coats_grit(task: _Task, job: Job) -> dict[str, str]:
    """The papers that the recipe names, from its first to its last."""
    del job
    grits = load_workbench().grits
    named = [paper.strip() for each in task.treatments for paper in each.abrasives.split(">")]
    papers = sorted((each for each in named if each in grits), key=lambda each: -grits[each].um)
    return {"start": papers[0], "to": papers[-1]} if len(papers) > 1 else {}


def _colour_mix(task: _Task, job: Job) -> dict[str, str]:
    """The batch that the plan needs of what comes in a colour."""
    del job
    litres = sum(need.milli / 1000 for need in task.course.needs if need.material.partition(":")[0] in COLOURED)
    return {"batch": f"{litres:.3f} L"} if litres else {}


_LINES: Mapping[str, Callable[[_Task, Job], dict[str, str]]] = MappingProxyType({
    "air coat": _air_coat,
    "air tin": _air_tin,
    "coats mix": _coats_mix,
    "coats film": _coats_film,
    "coats grit": _coats_grit,
    "colour mix": _colour_mix,
})  # fmt: skip


# ---- bolts -----------------------------------------------------------------------------------------------------------


def _asked_bolt(place: str, bolts: Sequence[Torque], job: Job) -> Filled:
    """The bolt of a step, or of the step that takes a part off; BadInput where there is none."""
    there = _bolts_of(place, bolts, job)
    if not there:
        known = sorted({each.step for each in bolts})
        way_out = near(place, known) or f"Steps with bolts are {', '.join(known) or 'none in this plan'}."
        raise BadInput(Problem("--part", place, "is no step or part with a bolt in this plan.", way_out))
    return _bolt(there)


def _bolts_of(place: str, bolts: Sequence[Torque], job: Job) -> list[Torque]:
    steps = {place, *_steps_of(place, job)}
    return [each for each in bolts if each.step in steps]


def _bolt(there: Sequence[Torque]) -> Filled:
    """What holds people before any other."""
    bolt = min(there, key=lambda each: each.fixing.holds is None)
    return Filled(f"{bolt.name}: {bolt.fixing.told}", MappingProxyType(_bolt_lines(bolt)))


def _steps_of(part: str, job: Job) -> tuple[str, ...]:
    return tuple(
        each.kind + (f".{each.place}" if each.place else "") for each in job.parts if each.id == part and each.kind
    )


def _bolt_lines(bolt: Torque) -> dict[str, str]:
    lines: dict[str, str] = {"holds": bolt.fixing.holds or "trim"}
    if bolt.thread:
        lines["thread"] = bolt.thread
    if bolt.grade:
        lines["class"] = bolt.grade
    if bolt.basis == "the car's own book" and bolt.newton_metres is not None:
        lines["torque"] = f"{bolt.newton_metres:g} N·m"
    return lines
