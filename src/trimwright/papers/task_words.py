"""A task of the calendar in words, for whoever stands at it: how, with what, how much of it today, what to mind."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from trimwright.craft.coating import POURED, mixed
from trimwright.craft.grit import grits_between
from trimwright.facts.workbench import Coat, load_workbench
from trimwright.papers.bench_words import named
from trimwright.papers.wording import Words, amount, listed, sentence, text
from trimwright.papers.work_sheets import duration, limits
from trimwright.plan.calendar.tasks import After, Calendar, Task
from trimwright.plan.plan import Plan
from trimwright.units import System

SPARE = 0.1
"""So much more is mixed than the coats take; common practice, no source."""
GRADE = re.compile(r"P\d+")
ABRADES = re.compile(r"\b(sand|scuff|abrad|flatt|denib|keyed|rub\b|fill|prep)", re.IGNORECASE)
"""Steps at which paper is in the hand."""
COATS = re.compile(r"\b(coat|spray|paint|prime|lacquer|glue|mist)", re.IGNORECASE)
"""Steps at which something leaves a film, where no batch says so."""


def task_words(plan: Plan, calendar: Calendar, names: Mapping[str, str]) -> dict[str, Words]:
    """Every task for hands that is still to be made, by its id."""
    return {
        task.id: one(task, plan, calendar, names) for task in calendar.bench.tasks if task.people and task.done is None
    }


def one(task: Task, plan: Plan, calendar: Calendar, names: Mapping[str, str]) -> Words:
    """One task."""
    treatment = plan.trade.treatments.get(task.treatment or "")
    system = plan.job.car.units
    steps = [sentence(each.strip()) for each in task.how.split(";") if each.strip()]
    return {
        "what": text(named(task, names)),
        "how": [] if len(steps) == 1 and steps[0].lower() == task.name.lower() else steps,
        "cautions": [text(plan.trade.cautions[each].text) for each in task.cautions if each in plan.trade.cautions],
        "limits": limits(treatment, system) if treatment and (task.limits.least_c or task.limits.most_rh) else "",
        "dew": task.limits.dew_margin,
        "air": f"{task.air.temperature:g} °C, {task.air.humidity:g} %" if task.air else "",
        "grits": papers_in_order(treatment.abrasives) if treatment and ABRADES.search(task.how) else "",
        "uses": list(uses(task, plan, system)),
        "mix": list(mixes(task, plan, calendar)),
        "then": [text(each) for each in dict.fromkeys(waits(calendar.bench.followers[task.id]))],
    }


def papers_in_order(abrasives: str) -> str:
    """The papers in their order, with those between that no jump is too far.

    >>> papers_in_order("P120>P800"), papers_in_order("grey pad")
    ('P120 → P220 → P360 → P800', 'grey pad')
    """
    grits, grades = load_workbench().grits, abrasives.split(">")
    if len(grades) < 2 or not all(GRADE.fullmatch(each) and each in grits for each in grades):
        return text(abrasives.replace(">", " → "))
    way = [grades[0], *(jump.to.id for pair in pairwise(grades) for jump in grits_between(*pair, grits))]
    return " → ".join(way)


def uses(task: Task, plan: Plan, system: System) -> Iterator[str]:
    """What the treatment takes for this part in all, as the verdict reckons it."""
    course = next((each.course for each in plan.verdicts.verdicts if each.part == task.part), None)
    treatment = plan.trade.treatments.get(task.treatment or "")
    if course is None or treatment is None:
        return
    taken = {material for material, _ in treatment.uses}
    for need in course.needs:
        if need.material.partition(":")[0] in taken:
            offer = plan.quantities.materials[need.material]
            yield f"{sentence(offer.name)}: {amount(need.milli, offer.unit, system)}"


def mixes(task: Task, plan: Plan, calendar: Calendar) -> Iterator[Words]:
    """What of each colour or clear the coats of the task's own day take, the spare in it, and what is weighed in."""
    if task.batch is None and (task.part is None or not COATS.search(task.how)):
        return
    day = calendar.by_task[task.id].start.date()
    litres: defaultdict[str, float] = defaultdict(float)
    parts: list[str] = []
    coats = load_workbench().coats
    of_mix: defaultdict[str, list[Task]] = defaultdict(list)
    for each in calendar.bench.tasks:
        if each.part and each.people and is_same_mix(each, task):
            of_mix[each.part].append(each)
    for verdict in plan.verdicts.verdicts:
        of_part = of_mix[verdict.part]
        today = [each for each in of_part if calendar.by_task[each.id].start.date() == day]
        if verdict.course is None or not today:
            continue
        parts.append(verdict.name)
        for need in verdict.course.needs:
            coat = coats.get(need.material.partition(":")[0])
            treatment = plan.trade.treatments.get(today[0].treatment or "")
            taken = {material for material, _ in treatment.uses} if treatment else set()
            if coat is not None and coat.film_um is not None and coat.id in taken:
                litres[need.material] += need.milli / 1000 * coat.litres_a_unit * len(today) / len(of_part)
    for material, total in litres.items():
        if total > 0:
            coat = coats[material.partition(":")[0]]
            yield {
                "what": sentence(plan.quantities.materials[material].name),
                "for": text(listed(parts)),
                "total": millilitres(total * (1 + SPARE)),
                "poured": list(poured(coat, total * (1 + SPARE))),
                "pot_life": coat.pot_life_min,
                "isocyanate": coat.isocyanate,
                "known": text(coat.evidence.told),
            }


def is_same_mix(each: Task, task: Task) -> bool:
    """Whether two tasks are made from one cup: those of a batch; else one treatment's coats on one part."""
    if task.batch is not None:
        return each.batch == task.batch
    return (each.part, each.treatment) == (task.part, task.treatment) and COATS.search(each.how) is not None


def poured(coat: Coat, total: float) -> Iterator[str]:
    """What the scale reads as each part of the mix is in; nothing where it comes ready."""
    if coat.ratio and coat.densities:
        ratio, densities = ([float(each) for each in told.split(":")] for told in (coat.ratio, coat.densities))
        for share, name in zip(mixed(total, ratio, densities), POURED, strict=False):
            yield f"{sentence(name)}: {millilitres(share.litres.value)}, the scale at {share.scale.value:.0f} g"


def millilitres(litres: float) -> str:
    """An amount as a cup shows it, rounded up to 5 ml.

    >>> millilitres(0.3), millilitres(0.0312)
    ('300 ml', '35 ml')
    """
    return f"{-(-round(litres * 1000, 1) // 5) * 5:.0f} ml"


def waits(after: Sequence[tuple[After, Task]]) -> Iterator[str]:
    """What the hand has to know of the time behind a task."""
    for each, _task in after:
        if each.wait[1]:
            yield f"Then {each.why or 'wait'}: {duration(each.wait[1] / 60)}"
        if each.closes is not None:
            yield f"Go on within {duration(each.closes / 60)}, or prepare the surface again"
