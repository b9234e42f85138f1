"""What looks and strip-down have told of the hidden faults: which are settled, which are there, what one left costs.

A suspicion is settled by a find, by a look, or by being open to sight with nothing reported. Open to sight is what
anybody sees once the part is off (`Find.seen_off`), and what a course that is done would have met; what lies in the
surface, comes only with rain or is known only to the hand is not settled by taking the part off. Where several parts
point at one fault, all of them must have been seen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from trimwright.facts.trade import Find, Treatment
from trimwright.job import events
from trimwright.plan.quantities.cabin import Hidden, Spread
from trimwright.plan.quantities.hidden import Suspicion
from trimwright.plan.quantities.so_far import SoFar
from trimwright.plan.quantities.surveyed import Surveyed
from trimwright.plan.quantities.uncovering import meeting, puts_another, renews_surface

Suspected = Mapping[str, tuple[Suspicion, ...]]
"""Hidden faults each part's own faults point at."""


@dataclass(frozen=True, slots=True)
class Told:
    """Ids of suspected faults: found by strip-down, seen by a look, looked for or open to sight and not there."""

    found: frozenset[str]
    seen: frozenset[str]
    not_there: frozenset[str]

    def remaining(self, suspected: Suspected) -> dict[str, tuple[Suspicion, ...]]:
        """The suspicions that are still to be counted with."""
        settled = self.found | self.not_there
        return {part: tuple(each for each in found if each.id not in settled) for part, found in suspected.items()}

    def sure(self, hidden: Mapping[str, Hidden]) -> dict[str, Hidden]:
        """The hidden faults, those that a look has seen no longer by chance."""
        return {
            key: replace(each, chance=1.0, loading=0.0) if key in self.seen else each for key, each in hidden.items()
        }


def told(
    suspected: Suspected,
    parts: Mapping[str, Surveyed],
    known: SoFar,
    own_steps: Mapping[str, tuple[str, ...]],
    done: Mapping[str, Sequence[Treatment]],
) -> Told:
    """What is known of the suspected faults; finds go before looks, looks before what was merely open to sight.

    `own_steps` are the steps that take each part off, `done` the treatments of the parts that are done.
    """
    found: set[str] = set()
    for find in known.finds:
        if find.find is not None:
            at = find.part or next((part for part, steps in own_steps.items() if find.step in steps), None)
            found |= meant(find.find, at, suspected)
    looked: dict[str, bool] = {}
    for look in known.looks:
        looked |= dict.fromkeys(meant(look.find, look.part, suspected), look.there)
    seen = {each for each, there in looked.items() if there} - found
    in_sight = open_to_sight(suspected, parts, known, own_steps, done) - looked.keys()
    not_there = {each for each, there in looked.items() if not there} | in_sight
    return Told(frozenset(found), frozenset(seen), frozenset(not_there - found))


def meant(find: str, part: str | None, suspected: Suspected) -> set[str]:
    """Ids of the suspected faults that a find of the trade means at a part, or anywhere."""
    at = suspected.values() if part is None else [suspected.get(part, ())]
    return {each.id for suspicions in at for each in suspicions if each.find.id == find}


def open_to_sight(
    suspected: Suspected,
    parts: Mapping[str, Surveyed],
    known: SoFar,
    own_steps: Mapping[str, tuple[str, ...]],
    done: Mapping[str, Sequence[Treatment]],
) -> set[str]:
    """Hidden faults that would have shown by now at every part that points at them."""
    opened = known.off | known.back_on.keys()
    shown: dict[str, list[bool]] = defaultdict(list)
    for part, suspicions in suspected.items():
        is_off = opened.issuperset(own_steps[part])
        for each in suspicions:
            met = part in done and meeting(each, parts[part], done[part]) != "passes by"
            shown[each.id].append(met or (is_off and each.find.seen_off))
    return {each for each, by_part in shown.items() if all(by_part)}


def shown_behind(suspected: Suspected, own_steps: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """For each suspected fault that anybody sees once the parts are off: the steps that take off all that hide it."""
    behind: dict[str, dict[str, None]] = defaultdict(dict)
    for part, suspicions in suspected.items():
        for each in suspicions:
            if each.find.seen_off:
                behind[each.id] |= dict.fromkeys(own_steps[part])
    return {each: tuple(steps) for each, steps in behind.items()}


def found_faults(known: SoFar, parts: Mapping[str, Surveyed], finds: Mapping[str, Find]) -> Iterator[Hidden]:
    """The finds that are still to be dealt with, each a hidden fault that is there for certain."""
    for each in known.waiting:
        suspected = finds.get(each.find or "")
        part = parts.get(each.part or "")
        where = f"@{part.corner}" if part else ""
        yield Hidden(
            id=f"found:{each.id}{where}",
            name=each.what,
            chance=1.0,
            loading=0.0,
            money=Spread(each.money.low, each.money.likely, each.money.high),
            minutes=Spread(each.minutes.low, each.minutes.likely, each.minutes.high),
            cause=suspected.cause if suspected else "wear",
            must_deal=each.must,
            certain=True,
        )


def finish_while_left(part: Surveyed, treatments: Sequence[Treatment], known: SoFar, finds: Mapping[str, Find]) -> int:
    """The finish the part can't pass with a course, for the finds on it that are left and recorded; 10 without any.

    Another part in its place leaves them behind; so does a new surface, where the find is known to lie in it.
    """
    return min((each.left_finish for each in known.left
                if each.part == part.id and each.left_finish is not None
                and not takes_along(each, treatments, finds)), default=10)  # fmt: skip


def takes_along(find: events.Find, treatments: Sequence[Treatment], finds: Mapping[str, Find]) -> bool:
    """Whether the find goes with what a course takes out."""
    suspected = finds.get(find.find or "")
    in_surface = suspected is not None and suspected.lies_in == "surface"
    return renews_surface(treatments) if in_surface else puts_another(treatments)
