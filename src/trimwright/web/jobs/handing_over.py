"""What the hand-over shows: pairs with how far each is, pairs to take up, the book's words, parts to look at again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trimwright.book.applied import with_own_treatments
from trimwright.facts import load
from trimwright.job.document import Job
from trimwright.job.events import Done, OwnersBook, Pair, Visited
from trimwright.job.hand_over import pairs_of
from trimwright.web.jobs import planning, store
from trimwright.web.jobs.models import Photo, PhotoWork, State
from trimwright.web.jobs.photo_work import about_pair
from trimwright.web.jobs.taking_in import ANGLES, PHOTO_OF

LEAVE = "leave"
USUAL_WARRANTY = "Sewing 24 months, colour 12 months, colour where the driver slides in 6 months."
"""What is usual; common practice, no source. Offered to be changed, never set by itself."""


@dataclass(frozen=True, slots=True)
class PairShown:
    """A pair as the page shows it."""

    event: Pair
    name: str
    state: str
    """`laid`, `waiting`, `apart` where they can't be laid over each other, `missing` where a photo can't be read."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What photos are of, with their names, oldest first."""

    id: str
    part: str | None
    name: str
    photos: Sequence[str]


def pairs_shown(job: Job, works: Mapping[str, PhotoWork]) -> list[PairShown]:
    """Every pair, with how far laying it over has come."""
    names = {part.id: part.name for part in job.parts}
    return [
        PairShown(each, names.get(each.part or "", ""), _state(works.get(about_pair(each.before, each.after))))
        for each in pairs_of(job)
    ]


def _state(work: PhotoWork | None) -> str:
    if work is None or work.state in (State.WAITING, State.RUNNING):
        return "waiting"
    if work.state == State.FAILED:
        return "missing"
    return "laid" if work.data else "apart"


def ask_for_pairs(key: str, job: Job, works: Mapping[str, PhotoWork]) -> None:
    """Have every pair laid over each other that nobody has asked for yet: one taken in with a bundle, or put back."""
    wanted = [about_pair(each.before, each.after) for each in pairs_of(job)]
    if missing := [about for about in wanted if about not in works]:
        store.ask_for_photo_works(key, missing)


def subjects(job: Job, photos: Iterable[Photo]) -> list[Subject]:
    """What there are two photos of or more: parts in their order, then the fixed angles."""
    of: defaultdict[str, list[str]] = defaultdict(list)
    for each in photos:
        of[each.part].append(each.name)
    found = [Subject(part.id, part.id, part.name, of[part.id]) for part in job.parts if part.id in of]
    found += [
        Subject(f"{PHOTO_OF}{angle}", None, str(name), of[f"{PHOTO_OF}{angle}"])
        for angle, name in ANGLES.items()
        if f"{PHOTO_OF}{angle}" in of
    ]
    return [each for each in found if len(each.photos) > 1]


def suggested(found: Iterable[Subject], job: Job) -> list[Subject]:
    """Subjects of which no photo is in a pair yet: their first and last photo may make one."""
    used = {name for each in pairs_of(job) for name in (each.before, each.after)}
    return [each for each in found if not used.intersection(each.photos)]


def typed(ours: OwnersBook | None, job: Job) -> dict[str, Any]:
    """What the book's form starts with; money is shown from the start where the owner is the shop."""
    if ours is None:
        return {"warranty": USUAL_WARRANTY if job.car.commercial else "", "shows_money": not job.car.commercial}
    first, then = (*ours.follow_ups, None, None)[:2]
    return {
        "warranty": ours.warranty,
        "care": ours.care,
        "first_visit": first,
        "next_visit": then,
        "shows_money": ours.shows_money,
    }


def words(job: Job, result: Mapping[str, Any] | None) -> dict[str, Any]:
    """The words of the book; what the plan tells is empty while there is none."""
    book = store.book()
    plans = (result or {}).get("handover", {"done": [], "left": []})
    return {**plans, **planning.hand_over_words(job, with_own_treatments(load(), book), book)}


@dataclass(frozen=True, slots=True)
class Looked:
    """A part that was worked on, as a visit asks about it."""

    part: str
    name: str
    done: Done
    last: Visited | None
    form: Any


def looked_at(job: Job, forms: Mapping[str, Any]) -> list[Looked]:
    """The parts that were worked on, each with its form and what was seen of it last."""
    done = {each.part: each for each in job.events if isinstance(each, Done)}
    last = {each.part: each for each in job.events if isinstance(each, Visited)}
    return [
        Looked(part.id, part.name, done[part.id], last.get(part.id), forms[part.id])
        for part in job.parts
        if part.id in done and done[part.id].course != LEAVE
    ]
