"""The chosen courses as chains of tasks: from the part that is off, step by step, to the part that may go back.

The minutes of a chain are those of its course, times the hours factor, to the minute.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from trimwright import units
from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Treatment, Wait
from trimwright.plan.calendar.deliveries import Coming, in_minutes, sent_out
from trimwright.plan.calendar.drafts import Drafts
from trimwright.plan.calendar.on_the_car import after_the_battery
from trimwright.plan.calendar.recipes import Piece, pieces_of, shared_out
from trimwright.plan.calendar.shop import Shop
from trimwright.plan.calendar.shop_air import NOTHING, Waiting, limits_of, made_right, waiting
from trimwright.plan.calendar.tasks import After, Limits, Spot, Task
from trimwright.plan.quantities.cabin import Course
from trimwright.plan.quantities.needs import minutes_of
from trimwright.plan.quantities.surveyed import Surveyed
from trimwright.plan.sequence.moves import BATTERY_OFF, BATTERY_ON, FLOOR, back_id, off_id

LIES: dict[str, Spot] = {
    "rack": "rack", "warm": "rack", "board": "rack", "bench": "bench", "press": "press", "line": "line",
}  # fmt: skip
"""Where a piece lies while it waits: in the warm and on a board it takes shelf room like any other."""
MAKE_SAFE = "make_safe"
FEW = 2
"""So many steps are named, the others are in the recipe."""
FITTED = ("re-cover", "fit new", "fit used")
"""Kinds of treatment that end with the part in its place."""
STEEL = "floor-steel"
FELT = "felt"


@dataclass(frozen=True)
class Chain:
    """One part's tasks off the car, in their order."""

    course: Course
    ids: tuple[str, ...]
    pieces: tuple[tuple[str, Piece], ...]
    """(task, what it is made of)."""
    rests: Mapping[str, Waiting]
    """The wait after each of those."""
    rest: Waiting
    """The wait after the last task."""
    in_car: bool
    """The part stays in the car for it, or hardens there."""

    @property
    def last(self) -> str:
        return self.ids[-1]

    def ready(self) -> After:
        """What waits for the part to be ready."""
        return as_after(self.last, self.rest)

    def coats(self, treatments: Iterable[str]) -> list[str]:
        """The tasks that put on the coats of these treatments; of one without a coat, all that take material up."""
        of_these = [(task, piece) for task, piece in self.pieces if piece.treatment in set(treatments)]
        coats = [task for task, piece in of_these if piece.air == "dew"]
        return coats or [task for task, piece in of_these if piece.materials] or [task for task, _ in of_these]


def as_after(task: str, wait: Waiting) -> After:
    """The link to what comes next."""
    return After(task, wait.minutes, wait.closes, wait.why, wait.cures)


def chains_of(shop: Shop, drafts: Drafts, coming: Coming) -> dict[str, Chain]:
    """Every chosen course that asks for work, by part. BadInput with every part that fits nowhere."""
    chains: dict[str, Chain] = {}
    problems: list[Problem] = []
    for course in shop.courses.values():
        if course.minutes and course.treatments and not course.done:
            try:
                chains[course.part] = chain_of(course, shop, drafts, coming)
            except BadInput as error:
                problems += error.problems
    if problems:
        raise BadInput(problems)
    for chain in chains.values():
        hold_back(chain, shop, drafts)
    for chain in chains.values():
        wait_for_support(chain, chains, shop, drafts)
    floor_first(chains, shop, drafts)
    return chains


def chain_of(course: Course, shop: Shop, drafts: Drafts, coming: Coming) -> Chain:
    """One course, its tasks linked to each other and to what comes before."""
    part = shop.parts[course.part]
    treatments = [shop.trade.treatments[each] for each in course.treatments]
    is_off = off_the_car(course, shop, drafts)
    hunt, minutes = shares(course, part, treatments, shop)
    before = [*came_off(course, shop, drafts), *in_hand(course, shop, drafts, coming, hunt)]
    ids: list[str] = []
    made: list[tuple[str, Piece]] = []
    rests: dict[str, Waiting] = {}
    rest, rests_in_car = NOTHING, not is_off
    for treatment, share in zip(treatments, minutes, strict=True):
        taken_up = list(coming.of(course.part, course.needs, frozenset(material for material, _ in treatment.uses)))
        if MAKE_SAFE in treatment.cautions and BATTERY_OFF in drafts.tasks and treatment.reach == "off":
            before.append(after_the_battery(shop))
        pieces = pieces_of(treatment, share, part.part.name, shop.usual, shop.longest)
        for piece in pieces:
            rest, rests_in_car, is_away = rest_of(piece, treatment, is_off, shop)
            task = drafts.add(task_of(piece, treatment, course, rest, is_off, shop))
            drafts.link(task, *before)
            if taken_up and (piece.materials or piece is pieces[-1]):
                drafts.link(task, *taken_up)
                taken_up = []
            ids.append(task)
            made.append((task, piece))
            rests[task] = rest
            before = [as_after(task, rest)]
            if is_away and not paid_out(course):
                away = drafts.add(sent_out(course, away_minutes(course)))
                drafts.link(away, After(task))
                ids.append(away)
                before, rest = [After(away)], NOTHING
    rest_needs = {key for each in treatments for key, _ in each.uses}
    others = tuple(need for need in course.needs if need.material.partition(":")[0] not in rest_needs)
    drafts.link(ids[-1], *coming.of(course.part, others))
    return Chain(course, tuple(ids), tuple(made), rests, rest, rests_in_car)


def shares(course: Course, part: Surveyed, treatments: Sequence[Treatment], shop: Shop) -> tuple[int, list[int]]:
    """Planned minutes of the hunt for a part, and of each treatment."""
    terms, planned = shop.quantities.terms, shop.planned(course.minutes)
    hunted = any(each.evidence != "offer" and each.source != "service" for each in course.purchases)
    weights = [minutes_of([each], part)[1].value for each in treatments]
    hunt, *rest = shared_out(planned, [float(terms.hunt_minutes if hunted else 0), *weights])
    return hunt, rest


# ---- what comes before -----------------------------------------------------------------------------------------------


def off_the_car(course: Course, shop: Shop, drafts: Drafts) -> bool:
    """Whether the part is off while it is worked on."""
    return all(off_id(step) in drafts.tasks for step in shop.cabin.own[course.part])


def steps_of(course: Course, shop: Shop, drafts: Drafts) -> Iterator[str]:
    """The strip-down steps the work waits for, and that wait for it on the way back."""
    for step in dict.fromkeys((*shop.cabin.own[course.part], *course.steps)):
        if off_id(step) in drafts.tasks or back_id(step) in drafts.tasks:
            yield step


def came_off(course: Course, shop: Shop, drafts: Drafts) -> Iterator[After]:
    """The moves before the first task; what resets the restraint system comes when the battery is on again."""
    treatments = [shop.trade.treatments[each] for each in course.treatments]
    if BATTERY_ON in drafts.tasks and any(each.reach == "in place" and each.visit for each in treatments):
        yield After(BATTERY_ON)
        return
    for step in steps_of(course, shop, drafts):
        if off_id(step) in drafts.tasks:
            yield After(off_id(step))


def in_hand(course: Course, shop: Shop, drafts: Drafts, coming: Coming, hunt: int) -> Iterator[After]:
    """A part that is bought is here; one that nobody has offered has been found and ordered before that."""
    delivery = coming.parts.get(course.part)
    if hunt:
        task = Task(
            f"{course.part}/hunt",
            "bench",
            "find one and order it",
            course.part,
            place="away",
            minutes=shop.spread(hunt, 0.5, 2),
        )
        found = After(drafts.add(task))
        if delivery is not None:
            drafts.link(delivery, found)
        yield found
    if delivery is not None:
        yield After(delivery)


# ---- one task --------------------------------------------------------------------------------------------------------


def task_of(piece: Piece, treatment: Treatment, course: Course, rest: Waiting, is_off: bool, shop: Shop) -> Task:
    """A piece as a task: where it is made and lies, the air it needs, its cautions."""
    part = shop.parts[course.part]
    place: Spot = piece.place if is_off else "car"
    if place in shop.places and not shop.places[place]:
        what = f"needs a {place}, and the shop has none."
        way_out = f"Give time › places a {place}, or ban {treatment.id} for the part."
        raise BadInput(Problem(part.part.name, "; ".join(piece.texts), what, way_out))
    lies = LIES.get(rest.place) if is_off and place != "car" and rest.minutes[1] else None
    room = part.area_mm2 if lies == "rack" else 1
    if lies is not None and room > shop.places[lies]:
        raise BadInput(no_room(part, lies, shop))
    limits = limits_of(treatment, piece.air)
    low, high = treatment.hours_spread
    return Task(
        id=f"{course.part}/{piece.key}",
        kind="bench",
        name=name_of(piece, treatment),
        part=course.part,
        place=place,
        keeps_place=rest.minutes[1] if lies == place else 0,
        rests=lies if lies != place else None,
        rests_room=room if lies != place else 1,
        rests_minutes=rest.minutes[1] if lies is not None and lies != place else 0,
        minutes=shop.spread(piece.minutes, low, high),
        limits=limits,
        air=made_right(limits, shop.air) if limits != Limits() else None,
        treatment=treatment.id,
        how="; ".join(piece.texts),
        colour=part.colour.strip().lower() if treatment.batch and piece.air == "dew" else "",
        cautions=treatment.cautions,
    )


def name_of(piece: Piece, treatment: Treatment) -> str:
    """What is done, short: the treatment itself where the piece is all of it, else its first steps and which time."""
    made = [step for step in treatment.steps if step.share]
    if len(piece.texts) >= len(made) and piece.step == 1 and not piece.cut > 1:
        return treatment.name
    times = treatment.steps[piece.step - 1].times
    which = f" ({piece.time} of {times})" if times > 1 else f", part {piece.cut}" if piece.cut > 1 else ""
    return ", ".join(piece.texts[:FEW]) + (" …" if len(piece.texts) > FEW else "") + which


def no_room(part: Surveyed, lies: Spot, shop: Shop) -> Problem:
    """A part too large for the rack, or no such place at all."""
    system = shop.job.car.units
    if lies == "rack":
        needs = (
            f"needs {units.area(part.area_mm2, system)} of rack, and there is {units.area(shop.places[lies], system)}."
        )
        return Problem(part.part.name, "", needs, "Give time › places › rack_mm2 more, or split the part in two.")
    return Problem(part.part.name, "", f"has to lie on a {lies}, and the shop has none.", "Give time › places one.")


def rest_of(piece: Piece, treatment: Treatment, is_off: bool, shop: Shop) -> tuple[Waiting, bool, bool]:
    """The wait after a piece, whether it is waited for in the car, and whether the piece is away meanwhile.

    What goes on hardening in the car, once the part has lain its time on the rack, holds nothing; what is fitted in the
    car and sets there holds the keys, and what dries in the car, such as its floor, all that goes over it.
    """
    waits = [each for each in piece.waits if each.place != "away"]
    is_away = len(waits) < len(piece.waits)
    on_rack = [each for each in waits if each.place != "car"]
    held: Sequence[Wait] = on_rack or waits
    air = made_right(limits_of(treatment, piece.air), shop.air) or shop.air
    where = f"{treatment.name}: {piece.texts[-1]}"
    fitted = treatment.kind in FITTED
    return waiting(held, air, where), not is_off or (fitted and not on_rack), is_away


def paid_out(course: Course) -> bool:
    """Whether work sent out is paid, and so back."""
    return not any(each.source == "service" for each in course.purchases)


def away_minutes(course: Course) -> tuple[int, int, int]:
    """How long the pieces are away, as they were bought."""
    days = [each.days for each in course.purchases if each.source == "service"]
    low, likely, high = (max(each) for each in zip(*days, strict=True))
    return in_minutes((low, likely, high))


# ---- what comes after ------------------------------------------------------------------------------------------------


def hold_back(chain: Chain, shop: Shop, drafts: Drafts) -> None:
    """No part goes back before it is ready, nor is the floor called dry; what hardens in the car holds the keys."""
    steps = [step for step in steps_of(chain.course, shop, drafts) if back_id(step) in drafts.tasks]
    ready = After(chain.last) if chain.in_car and off_the_car(chain.course, shop, drafts) else chain.ready()
    for step in steps:
        drafts.link(back_id(step), ready)


def wait_for_support(chain: Chain, chains: dict[str, Chain], shop: Shop, drafts: Drafts) -> None:
    """A cover goes over foam and frame that are ready: its last task waits for theirs."""
    fitted = shop.trade.treatments[chain.pieces[-1][1].treatment].kind in FITTED
    if not fitted or not off_the_car(chain.course, shop, drafts):
        return
    for under in shop.parts[chain.course.part].rests_on:
        below = chains.get(under)
        if below is not None and not drafts.would_circle(below.last, chain.last):
            drafts.link(chain.last, below.ready())


def floor_first(chains: dict[str, Chain], shop: Shop, drafts: Drafts) -> None:
    """Dry, then painted, then called dry and clean, then felt again: what dries under the carpet holds all of it."""
    on_the_floor = [chain for chain in chains.values() if shop.parts[chain.course.part].kind.zone == "floor"]
    dried = [link for chain in on_the_floor for link in mended(chain, shop) if link.why == "dry"]
    for chain in on_the_floor:
        if shop.parts[chain.course.part].material == STEEL:
            coat = next((task for task, piece in chain.pieces if piece.air), chain.ids[0])
            drafts.link(coat, *(each for each in dried if each.task not in chain.ids))
    if FLOOR not in drafts.tasks:
        return
    for chain in on_the_floor:
        drafts.link(FLOOR, *list(mended(chain, shop)))
        laid = [task for task, piece in chain.pieces if shop.trade.treatments[piece.treatment].kind in FITTED]
        if shop.parts[chain.course.part].material == FELT and laid:
            first = next((task for task in laid if drafts.tasks[task].place == "car"), laid[-1])
            drafts.link(first, After(FLOOR))


def mended(chain: Chain, shop: Shop) -> Iterator[After]:
    """What has been put right in a chain, each piece with its wait."""
    for task, piece in chain.pieces:
        if shop.trade.treatments[piece.treatment].kind == "mend":
            yield as_after(task, chain.rests[task])
