"""Each surveyed part joined with what the trade knows of its kind: sizes, faults, weight, and what it belongs to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from trimwright.facts import access
from trimwright.facts.trade import EXTENTS, Evidence, Fault, PartKind, Place, Trade
from trimwright.job.document import Job, Offer, OwnKind, Part
from trimwright.plan.quantities.wheel import seam_mm

SIZE_OF_ONE_MM2 = 300_000
"""A part of 0.3 m² has a size factor of 1; our own judgement."""


@dataclass(frozen=True, slots=True)
class Found:
    """A fault found on a part, at its extent (0 light … 2 heavy)."""

    fault: Fault
    extent: int

    @property
    def id(self) -> str:
        return self.fault.id

    @property
    def cap(self) -> int:
        """The best finish a part can have with it."""
        return self.fault.caps[self.extent]

    @property
    def must_be_dealt_with(self) -> bool:
        return self.fault.must_be_dealt_with(EXTENTS[self.extent])


@dataclass(frozen=True)
class Surveyed:
    """A part of the job with its kind. Areas mm², lengths mm, of all pieces together; `weight` points a finish step."""

    part: Part
    kind: PartKind
    faults: tuple[Found, ...]
    area_mm2: int
    length_mm: int
    weight: float
    finish_now: int
    slide: float
    """Finish points lost a year when left."""
    bears_now: int
    """What it gives to what lies on it, as it stands."""
    rests_on: tuple[str, ...] = ()
    """Everything under it, through and through, as part ids."""
    bearing_now: int = 10
    whole: str | None = None
    """The part of this job that it is part of."""
    children: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        return self.part.id

    @property
    def material(self) -> str:
        return self.part.material

    @property
    def colour(self) -> str:
        return self.part.colour

    @property
    def pieces(self) -> int:
        return self.part.count

    @property
    def offers(self) -> tuple[Offer, ...]:
        return self.part.offers

    @property
    def zone(self) -> str:
        return self.part.own.zone if self.part.own else self.kind.zone

    @property
    def corner(self) -> str:
        """The physical place: the zone and, where it has one, the side."""
        return ".".join(each.replace(" ", "_") for each in (self.zone, self.part.place) if each)

    @property
    def wear(self) -> float:
        """What divides its life where it stands."""
        return self.kind.wear_at(self.part.place)

    @property
    def hidden_from_sight(self) -> bool:
        """A supporting part, reached only when what lies over it is out of the way."""
        return not self.kind.sight


def survey(job: Job, trade: Trade) -> tuple[Surveyed, ...]:
    """Every part of a job whose names the trade knows (`job.check`), joined with what the trade knows of it."""
    kinds = {part.id: kind_of(part, trade) for part in job.parts}
    standing = [_standing(part, kinds[part.id], job, trade) for part in job.parts]
    beside = Beside.of(job)
    under = {part.id: beside.related(part, kinds[part.id].rests_on) for part in job.parts}
    wholes = {
        part.id: next(iter(beside.related(part, (whole,))), None) if (whole := kinds[part.id].part_of) else None
        for part in job.parts
    }
    bears = {part.id: part.bears_now for part in standing}
    return tuple(_placed(part, _through(part.id, under), bears, wholes) for part in standing)


@dataclass(frozen=True, slots=True)
class Beside:
    """Which surveyed parts belong together: the trade relates kinds, the cabin has them at places."""

    there: access.There
    ids: Mapping[str, tuple[str, ...]]
    """Job part ids by the trade's id of a kind at a place."""

    @classmethod
    def of(cls, job: Job) -> Beside:
        there: dict[str, tuple[Place | None, ...]] = {}
        ids: dict[str, tuple[str, ...]] = {}
        for part in job.parts:
            if part.own is None:
                there[part.kind] = tuple(dict.fromkeys((*there.get(part.kind, ()), part.place)))
                at = access.part_id(part.kind, part.place)
                ids[at] = (*ids.get(at, ()), part.id)
        return cls(there, ids)

    def related(self, part: Part, kinds: Iterable[str]) -> tuple[str, ...]:
        """Ids of the surveyed parts of these kinds that a relation from `part` means."""
        found = (each for at in access.related(part.place, kinds, self.there) for each in self.ids[at])
        return tuple(each for each in found if each != part.id)


def kind_of(part: Part, trade: Trade) -> PartKind:
    """The trade's kind, or one made from the person's own description."""
    return trade.parts[part.kind] if part.own is None else own_kind(part, part.own)


def own_kind(part: Part, own: OwnKind) -> PartKind:
    """A kind for a part that the trade's list does not have; it has no prices, so only offers can be bought."""
    return PartKind(
        id=f"own:{part.id}",
        name=part.name,
        zone=own.zone,
        bodies=frozenset(),
        places=(),
        usual=False,
        years=(1900, 2100),
        needs_equipment=None,
        without_equipment=None,
        count=part.count,
        materials=(part.material,),
        area_mm2=(0, 0, 0),
        length_mm=0,
        sight=own.sight,
        touch=own.touch,
        wear=1.0,
        is_restraint=own.is_restraint,
        airbag_behind=own.airbag_behind,
        head_impact=own.head_impact,
        needs_hold=own.is_restraint or bool(own.airbag_behind),
        burn_rate=True,
        part_of=None,
        rests_on=(),
        touches=(),
        matching_set=None,
        comes_off_after=(),
        is_step=False,
        fixings=(),
        clips=0,
        clip_loss=0.0,
        off_min=(own.off_minutes, own.off_minutes),
        back_min=(own.back_minutes, own.back_minutes),
        guessed_prices_usd=MappingProxyType({}),
        note="",
        evidence=Evidence("guess", "the survey"),
    )


def weight_of(kind: PartKind, piece_mm2: float, job: Job, trade: Trade) -> float:
    """Points per finish step: sight and touch, times what the zone matters to the owner, times a size factor.

    The size is that of one piece: twelve switches are one group, so their number scales cost and not importance.
    What is never seen has no weight of its own.
    """
    if not kind.sight:
        return 0.0
    exponent, least, most = (trade.practice[each].value for each in ("size_exponent", "size_least", "size_most"))
    size = min(most, max(least, (piece_mm2 / SIZE_OF_ONE_MM2) ** exponent if piece_mm2 else least))
    return round((kind.sight + kind.touch) * job.wishes.zones.get(kind.zone, 1.0) * size, 4)


def _standing(part: Part, kind: PartKind, job: Job, trade: Trade) -> Surveyed:
    """The part on its own, before anything is said of its neighbours."""
    faults = tuple(
        Found(trade.faults[each.fault], EXTENTS.index(each.extent))
        for each in sorted(part.faults, key=lambda each: each.fault)
    )
    area = part.area_mm2 if part.area_mm2 is not None else kind.area_mm2[1] * part.count
    length = part.length_mm if part.length_mm is not None else _usual_length_mm(part, kind)
    unseen = round(trade.practice["unseen_finish"].value)
    return Surveyed(
        part=part,
        kind=kind,
        faults=faults,
        area_mm2=area,
        length_mm=length,
        weight=weight_of(kind, area / part.count, job, trade),
        finish_now=unseen if part.finish_now is None else part.finish_now,
        slide=max((found.fault.slide for found in faults), default=0.0),
        bears_now=min((found.cap for found in faults), default=10),
    )


def _usual_length_mm(part: Part, kind: PartKind) -> int:
    """The seam of a measured wheel, or the trade's figure."""
    return seam_mm(part.wheel) if part.wheel is not None else kind.length_mm * part.count


def _through(part: str, under: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """All supports of a part, those of its supports included."""
    reached: dict[str, None] = {}
    waiting = list(under[part])
    while waiting:
        support = waiting.pop(0)
        if support not in reached and support != part:
            reached[support] = None
            waiting += under[support]
    return tuple(reached)


def _placed(
    part: Surveyed, supports: tuple[str, ...], bears: Mapping[str, int], wholes: Mapping[str, str | None]
) -> Surveyed:
    """The part among the others. What has no weight rests on nothing: what it bears is counted by what it carries."""
    rests_on = supports if part.weight else ()
    return replace(
        part,
        rests_on=rests_on,
        bearing_now=min((bears[each] for each in rests_on), default=10),
        whole=wholes[part.id],
        children=tuple(child for child, whole in wholes.items() if whole == part.id),
    )
