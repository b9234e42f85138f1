"""measure(job, trade) → Quantities: every course every part could take, and what each would need."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade, Treatment
from trimwright.job.check import checked
from trimwright.job.document import Job
from trimwright.job.events import Done
from trimwright.plan.quantities import measured, shelf, together, whole_job
from trimwright.plan.quantities.cabin import (
    Course,
    Hidden,
    MaterialOffer,
    Need,
    PartOptions,
    Quantities,
    Refused,
    Shared,
    Step,
)
from trimwright.plan.quantities.courses import Outline, closed, leads, outlines, settled_children
from trimwright.plan.quantities.dominance import undominated
from trimwright.plan.quantities.finish import HARDLY_RAISED, explained
from trimwright.plan.quantities.found import Told, found_faults, shown_behind, told
from trimwright.plan.quantities.frozen import done_outline, frozen, refused, used_up
from trimwright.plan.quantities.hidden import hidden_faults, suspected
from trimwright.plan.quantities.looks import looks_of
from trimwright.plan.quantities.measured import Bench
from trimwright.plan.quantities.points import worth_of
from trimwright.plan.quantities.prices import till_of
from trimwright.plan.quantities.purchases import price_known
from trimwright.plan.quantities.safety import may_be_left, must_deal_faults, refusal, stopping_faults
from trimwright.plan.quantities.so_far import SoFar, as_it_stands, so_far, spent_of, sundries_to_come
from trimwright.plan.quantities.strip_down import clips_used, needed_steps, strip_down
from trimwright.plan.quantities.suiting import fits, lifts
from trimwright.plan.quantities.support import levels, only_telling
from trimwright.plan.quantities.surveyed import Surveyed, survey
from trimwright.plan.quantities.wanted import after_bans, broken_promises, with_pins, with_promises

PLAIN_SIGHT = 2
"""Sight from which a part counts as in plain sight, so that the owner's general floor holds for it."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What may be done to one part, before it is measured, and what suits it but is not offered."""

    part: Surveyed
    outlines: tuple[Outline, ...]
    refused: tuple[Refused, ...]
    done: Done | None = None
    """What has been done to it, where that settles it; then its outline, if it has one, is the only one."""


def measure(job: Job, trade: Trade) -> Quantities:
    """The whole input of the solver. BadInput lists everything in the job that can't be used."""
    problems = checked(job, trade).problems
    if problems:
        raise BadInput(problems)
    known = so_far(job)
    job = as_it_stands(job, trade, known)
    terms = whole_job.terms_of(job, trade)
    parts = survey(job, trade)
    choices = [choices_of(part, job, trade, known) for part in parts]
    bench, heard = bench_of(choices, job, trade, known)
    options = options_of(choices, bench)

    steps = steps_needed(options, bench)
    shared = shared_needed(choices, options, bench)
    needs = list(all_needs(options, steps.values(), shared.values()))
    materials = shelf.materials(needs, job, trade, bench.till, used_so_far(choices, bench))
    hidden = hidden_of(heard, bench)
    return Quantities(
        terms=terms,
        parts=options,
        steps=steps,
        hidden=hidden,
        shared=shared,
        materials=materials,
        suppliers=shelf.suppliers(suppliers_asked(options, materials.values()), trade, bench.till),
        lines=(*whole_job.lines_of(job, trade, known.lines), *sundries_to_come(known, terms)),
        sets=together.sets_of(parts, job, trade),
        neighbours=together.neighbours_of(parts, job, trade),
        notes=(*notes_of(choices, job, trade), *notes_so_far(choices, heard, bench)),
        spent=spent_of(known, terms),
        looks=tuple(looks_of(job, trade, bench.suspected, hidden, known.lines)),
        broken=tuple(broken_promises(known.promised, {each.part: each for each in options}, names_of(job))),
    )


# ---- which courses -----------------------------------------------------------------------------------------------


def choices_of(part: Surveyed, job: Job, trade: Trade, known: SoFar) -> Choice:
    """What is done, where it may stand; else what may be offered."""
    choice = offered_for(part, job, trade)
    done = known.done.get(part.id)
    if done is None or refused(part, done, job, trade):
        return choice
    outline = done_outline(part, done, choice.outlines, trade)
    return replace(choice, outlines=() if outline is None else (outline,), done=done)


def offered_for(part: Surveyed, job: Job, trade: Trade) -> Choice:
    """The courses that may be offered, and what would suit but is not, with the reason."""
    fitting = [each for each in trade.treatments.values() if fits(each, part, trade)]
    why = {each.id: reason for each in fitting if (reason := refusal(each, part, job)) is not None}
    offered = [each for each in fitting if each.id not in why and price_known(each, part)]
    found = () if part.id in job.wishes.leave_alone else outlines(part, offered, trade)
    left_alone = set(job.wishes.leave_alone)
    materials = {each.id: each.material for each in job.parts}
    deal_with = {*stopping_faults(part), *must_deal_faults(part)}
    leading = {each.id for outline in found for each in outline.treatments}
    blocked = {each.id: blocked_by(each, part, why, trade) for each in offered if each.id not in leading}
    reasons = {each.id: why.get(each.id) or blocked.get(each.id) for each in fitting if leads(each, part, trade)}
    return Choice(
        part=part,
        outlines=tuple(
            each
            for each in found
            if deals_with(each, deal_with, part) and not left_alone & set(settled_children(part, each, materials))
        ),
        refused=tuple(Refused(treatment, reason) for treatment, reason in reasons.items() if reason),
    )


def blocked_by(treatment: Treatment, part: Surveyed, why: Mapping[str, str], trade: Trade) -> str | None:
    """Which first of an otherwise offered treatment can't be had."""
    for first in closed([treatment], part, trade):
        if first.id in why:
            return f"It needs “{first.name}” first. {why[first.id]}"
    return None


def deals_with(outline: Outline, faults: Iterable[str], part: Surveyed) -> bool:
    """Whether the course lifts every one of these faults at its extent."""
    extents = {found.id: found.extent for found in part.faults}
    return all(lifts(outline.treatments, fault, extents[fault]) for fault in faults)


# ---- measured ------------------------------------------------------------------------------------------------------


def bench_of(choices: Sequence[Choice], job: Job, trade: Trade, known: SoFar) -> tuple[Bench, Told]:
    """What every course is measured against, and what is known of the hidden faults."""
    till = till_of(job.money)
    parts = {choice.part.id: choice.part for choice in choices}
    cabin = strip_down(parts.values(), job, trade)
    pointed_at = suspected(parts.values(), trade.finds)
    done = {each.part.id: each.outlines[0].treatments for each in choices if each.done and each.outlines}
    heard = told(pointed_at, parts, known, cabin.own, done)
    bench = Bench(
        job=job,
        trade=trade,
        till=till,
        worth=worth_of(parts.values(), job, trade),
        parts=parts,
        suspected=heard.remaining(pointed_at),
        cabin=cabin,
        known=known,
        per_milli={each.id: shelf.per_milli(each, till) for each in trade.materials.values()},
    )
    return bench, heard


def options_of(choices: Sequence[Choice], bench: Bench) -> tuple[PartOptions, ...]:
    """The options of every part; BadInput with every pin that can't hold and every part without a course."""
    bearing = {choice.part.id: set(bearings_of(choice, bench)) for choice in choices}
    problems: list[Problem] = []
    options = []
    for choice in choices:
        part = choice.part
        reachable = levels(bearing[support] for support in part.rests_on)
        courses, wrong = courses_of(choice, reachable, bench)
        problems += wrong
        if not courses:
            continue
        worthwhile = undominated(courses)
        bearings, telling = only_telling(reachable, worthwhile)
        options.append(
            PartOptions(
                part=part.id,
                name=part.part.name,
                zone=part.zone,
                weight=part.weight,
                finish_now=part.finish_now,
                courses=telling,
                child_of=part.whole,
                rests_on=part.rests_on if len(bearings) > 1 else (),
                bearings=bearings,
                floor=floor_of(part, bench.job),
                refused=choice.refused,
                dropped=len(courses) - len(worthwhile),
            )
        )
    if problems:
        raise BadInput(problems)
    return tuple(options)


def bearings_of(choice: Choice, bench: Bench) -> Iterator[int]:
    """All that a part could give to what lies on it."""
    if choice.done is None or not choice.outlines:
        yield measured.bears_left(choice.part, bench)
    for outline in choice.outlines:
        yield measured.bears_with(choice.part, outline, choice.done.finish if choice.done else None, bench)


def courses_of(choice: Choice, bearings: Sequence[int], bench: Bench) -> tuple[tuple[Course, ...], list[Problem]]:
    """The part's courses after the person's bans and pins, leaving it first where it may be left."""
    part, job = choice.part, bench.job
    if choice.done is not None:
        return (frozen(done_course(choice, choice.done, bearings, bench), choice.done),), []
    courses = [measured.treated(part, outline, bearings, bench) for outline in choice.outlines]
    if may_be_left(part, job) or (not courses and not must_deal_faults(part)):
        courses.insert(0, measured.left(part, bearings, bench))
    kept = after_bans(part, courses)
    if not kept:
        return (), [without_course(choice, bool(courses))]
    pinned, problems = with_pins(part, kept, choice.refused, job, bench.trade)
    return with_promises(pinned, bench.known.promised.get(part.id)), problems


def done_course(choice: Choice, done: Done, bearings: Sequence[int], bench: Bench) -> Course:
    """The course that was done, measured at the finish it reached."""
    if not choice.outlines:
        return measured.left(choice.part, bearings, bench, done.finish)
    return measured.treated(choice.part, choice.outlines[0], bearings, bench, done.finish)


def without_course(choice: Choice, banned: bool) -> Problem:
    """A part that may not be left and has nothing else."""
    part = choice.part
    reasons = " ".join(dict.fromkeys(each.why for each in choice.refused))
    return Problem(
        f"parts › {part.id}",
        part.part.name,
        "may not be left as it is, and every other course is banned." if banned else "may not be left as it is.",
        "Take a ban away." if banned else f"Give an offer for a new one, or say who sees to it. {reasons}".strip(),
    )


def floor_of(part: Surveyed, job: Job) -> int | None:
    """The owner's floor for this part, or the general one where it is in plain sight."""
    general = job.wishes.floor if part.weight and part.kind.sight >= PLAIN_SIGHT else None
    return job.wishes.floors.get(part.id, general)


# ---- what they share -------------------------------------------------------------------------------------------------


def steps_needed(options: Sequence[PartOptions], bench: Bench) -> dict[str, Step]:
    """The strip-down steps that any course could need, with what those need before them."""
    wanted = {step for part in options for course in part.courses for step in course.steps}
    return needed_steps(wanted, bench.cabin, bench.trade, bench.known.off, bench.known.lost)


def hidden_of(heard: Told, bench: Bench) -> dict[str, Hidden]:
    """The hidden faults that are still to be counted with, and the finds that are still to be dealt with."""
    guessed = hidden_faults(bench.suspected, bench.job, bench.till, bench.trade.practice["correlation"].value)
    behind = shown_behind(bench.suspected, bench.cabin.own)
    sure = {key: replace(each, shows_behind=behind.get(key, ())) for key, each in heard.sure(guessed).items()}
    found = {each.id: each for each in found_faults(bench.known, bench.parts, bench.trade.finds)}
    return {**sure, **found}


def used_so_far(choices: Iterable[Choice], bench: Bench) -> Counter[str]:
    """Thousandths of each material that has gone into what is done."""
    used: Counter[str] = Counter()
    for choice in choices:
        if choice.done is not None and choice.outlines:
            used.update(used_up(choice.part, choice.done, choice.outlines[0], bench.trade))
    for need in clips_used(bench.known.back_on, bench.cabin, bench.trade, bench.known.lost):
        used[need.material] += need.milli
    return used


def shared_needed(choices: Sequence[Choice], options: Sequence[PartOptions], bench: Bench) -> dict[str, Shared]:
    """Tools, visits and batches that any course could need."""
    wanted = {key for part in options for course in part.courses for key in course.once}
    found: dict[str, Shared] = {}
    for choice in choices:
        for treatment in {each.id: each for outline in choice.outlines for each in outline.treatments}.values():
            for shared in shelf.shared_of(treatment, choice.part, bench.job, bench.trade, bench.till):
                found.setdefault(shared.id, shared)
    return {key: found[key] for key in sorted(wanted)}


def all_needs(options: Iterable[PartOptions], steps: Iterable[Step], shared: Iterable[Shared]) -> Iterator[Need]:
    """Every need of every course, step and shared item."""
    for part in options:
        for course in part.courses:
            yield from course.needs
    for step in steps:
        yield from step.needs
    for item in shared:
        yield from item.needs


def suppliers_asked(options: Iterable[PartOptions], materials: Iterable[MaterialOffer]) -> set[str]:
    """Suppliers of packs and of bought parts."""
    asked = {pack.supplier for material in materials for pack in material.packs}
    return asked | {purchase.supplier for part in options for course in part.courses for purchase in course.purchases}


# ---- what should be known --------------------------------------------------------------------------------------------


def notes_of(choices: Sequence[Choice], job: Job, trade: Trade) -> Iterator[str]:
    """Guessed finishes, finishes no fault explains, stopped parts, burn-rate statements, whose hours these are."""
    unseen = [choice.part for choice in choices if choice.part.part.finish_now is None]
    if unseen:
        named = "; ".join(part.part.name for part in unseen)
        yield f"Not seen yet, taken as typically worn ({unseen[0].finish_now}, a guess): {named}."
    for choice in choices:
        part = choice.part
        if part.part.finish_now is not None and not explained(part):
            yield (
                f"{part.part.name}: a finish of {part.finish_now} is not explained by the faults named; name what is "
                f"wrong. Until then cleaning or mending is counted as raising it by {HARDLY_RAISED} at most."
            )
        if part.id in job.wishes.must_do and not choice.outlines:
            yield f"{part.part.name}: asked for, but nothing suits its faults and no offer is known, so it is left."
        for fault in part.faults:
            if fault.fault.stops:
                yield f"{part.part.name}: stopped until “{fault.fault.name}” is dealt with."
    if job.car.commercial:
        yield "Work done for money: each new cover material needs its burn-rate statement before it is cut."
    offered = {each.id: each for choice in choices for outline in choice.outlines for each in outline.treatments}
    own = [f"{each.name} (× {each.pace:.2f} of the table’s)" for each in offered.values() if each.pace != 1]
    if own:
        yield f"Hours of the shop’s own: {'; '.join(own)}."
    times = trade.practice["owner_first_time"].value
    others = "Other hours" if own else "Hours"
    yield f"{others} are those of a practised hand; a first-timer takes about {times:g} times as long."


def notes_so_far(choices: Iterable[Choice], heard: Told, bench: Bench) -> Iterator[str]:
    """What is taken as not there, what is left and recorded, what was done that may not stand."""
    known, finds = bench.known, bench.trade.finds
    if absent := sorted({finds[each.partition("@")[0]].name for each in heard.not_there}):
        yield f"Looked for, or open to sight and not reported, so taken as not there: {'; '.join(absent)}."
    for choice in choices:
        part = choice.part
        for each in known.left:
            if each.part == part.id:
                held = f"; its finish is held to {each.left_finish} with it" if each.left_finish is not None else ""
                yield f"{part.part.name}: left and recorded: {each.what}{held}."
        if part.id in known.done and choice.done is None:
            why = refused(part, known.done[part.id], bench.job, bench.trade)
            yield f"{part.part.name}: what is recorded as done can't stand, so it is decided again. {why}"


def names_of(job: Job) -> dict[str, str]:
    """What people call each part, by id."""
    return {part.id: part.name for part in job.parts}
