"""What the pages of the walk-round show, and the plain data with which their script goes on when the line is lost."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trimwright import units
from trimwright.charts import cabin_plan
from trimwright.facts import load
from trimwright.facts.trade import EQUIPMENT_NAMES, EXTENTS, Fault, PartKind, Trade
from trimwright.job.document import Job, Part
from trimwright.job.equipping import zone_of
from trimwright.web.jobs.surveying import shown_area, shown_edge

FINISH_WORDS: tuple[str | Promise, ...] = (
    gettext_lazy("ruined"),
    gettext_lazy("nearly ruined"),
    gettext_lazy("poor"),
    gettext_lazy("poor, still whole"),
    gettext_lazy("worn but usable"),
    gettext_lazy("used"),
    gettext_lazy("tidy"),
    gettext_lazy("good"),
    gettext_lazy("new at arm’s length"),
    gettext_lazy("new close up"),
    gettext_lazy("as new"),
)
EXTENT_WORDS: dict[str, str | Promise] = {
    "light": gettext_lazy("light"),
    "medium": gettext_lazy("medium"),
    "heavy": gettext_lazy("heavy"),
}


def is_seen(part: Part) -> bool:
    """Whether somebody has said how good it is."""
    return part.finish_now is not None


def next_to_see(job: Job, after: str | None = None) -> Part | None:
    """The next part nobody has seen, in the order of the list, behind `after` and round to the front."""
    ids = [part.id for part in job.parts]
    start = ids.index(after) + 1 if after in ids else 0
    ahead = [*job.parts[start:], *job.parts[:start]]
    return next((part for part in ahead if not is_seen(part) and part.id != after), None)


def plan_of(job: Job, key: str, selected: str | None) -> str:
    """The cabin plan by finish now; every region leads to its part."""
    return cabin_plan.draw(
        job,
        {part.id: part.finish_now for part in job.parts},
        title=_("Cabin plan"),
        selected=selected,
        link=lambda part: reverse("survey_part", args=[key, part.id]),
    )


def plan_key() -> str:
    """What the plan's colours mean."""
    return cabin_plan.key(name="plan-key")


def unknown_equipment(job: Job) -> int:
    """How many items of restraint equipment nobody has told yet; they count as fitted."""
    return sum(getattr(job.car.equipment, item) == "unknown" for item in EQUIPMENT_NAMES)


@dataclass(frozen=True, slots=True)
class Zone:
    """The parts of one zone and how many of them are left to see."""

    name: str
    parts: tuple[Part, ...]
    left: int


def zones(job: Job, trade: Trade) -> tuple[Zone, ...]:
    """The parts by zone, zones in the order in which they first come."""
    found: dict[str, list[Part]] = {}
    for part in job.parts:
        found.setdefault(zone_of(part, trade), []).append(part)
    return tuple(Zone(name, tuple(parts), sum(not is_seen(part) for part in parts)) for name, parts in found.items())


# One part.


@dataclass(frozen=True, slots=True)
class FaultChoice:
    """A fault that a part of its material can have, and its extent where it is there."""

    fault: Fault
    extent: str
    """Empty where it is not there."""

    @property
    def extent_word(self) -> str | Promise:
        return EXTENT_WORDS.get(self.extent, "")

    @property
    def grades(self) -> Iterator[dict[str, Any]]:
        """Each extent with how it is told, and the best finish a part can have with it."""
        for extent, grade, cap in zip(EXTENTS, self.fault.grades, self.fault.caps, strict=True):
            yield {"extent": extent, "word": EXTENT_WORDS[extent], "grade": grade, "cap": cap}


def fault_choices(part: Part, trade: Trade) -> tuple[FaultChoice, ...]:
    """The faults that go with the part's material, and those it has though they do not."""
    there = {each.fault: each.extent for each in part.faults}
    return tuple(
        FaultChoice(fault, there.get(fault.id, ""))
        for fault in trade.faults.values()
        if part.material in fault.materials or fault.id in there
    )


def cautions_of(part: Part, job: Job, trade: Trade) -> tuple[str, ...]:
    """What to mind before a hand goes there."""
    kind, may_have = trade.parts.get(part.kind), job.car.equipment.may_have
    behind = part.own.airbag_behind if part.own else kind.airbag_behind if kind else ()
    restraint = part.own.is_restraint if part.own else bool(kind and kind.is_restraint)
    told = []
    if part.material in ("webbing", "buckle"):
        told.append(trade.cautions["belts"].text)
    elif part.material == "airbag-cover":
        told.append(trade.cautions["airbag_cover"].text)
    if restraint or any(map(may_have, behind)):
        names = ", ".join(EQUIPMENT_NAMES[each] for each in behind if may_have(each))
        if names:
            told.append(_("There may be a %(names)s behind it: look and touch, pull nothing.") % {"names": names})
        else:
            told.append(_("A restraint part: look and touch, open nothing, unplug nothing."))
    return tuple(told)


def usual_size(part: Part, kind: PartKind | None, job: Job) -> tuple[str, str]:
    """The trade's own area and length for such a part, as they are shown; empty where it has none."""
    if kind is None:
        return "", ""
    area, length = kind.area_mm2[1] * part.count, kind.length_mm * part.count
    system = job.car.units
    return units.area(area, system) if area else "", units.length(length, system) if length else ""


# Plain data.


def part_data(part: Part, job: Job, trade: Trade) -> dict[str, Any]:
    """One part for the script: values as its controls hold them."""
    kind = trade.parts.get(part.kind)
    area, length = usual_size(part, kind, job)
    return {
        "id": part.id,
        "name": part.name,
        "kind": part.kind,
        "material": part.material,
        "finish": part.finish_now,
        "faults": {each.fault: each.extent for each in part.faults},
        "missing": part.missing,
        "area": shown_area(part, job),
        "edge": shown_edge(part, job),
        "usual": {"area": area, "edge": length},
        "notes": part.notes,
        "photos": list(part.photos),
        "count": part.count,
        "cautions": list(cautions_of(part, job, trade)),
    }


def cabin_data(job: Job, key: str, revision: int, trade: Trade) -> dict[str, Any]:
    """All the script needs to go from part to part without asking."""
    return {
        "job": key,
        "revision": revision,
        "sound": round(trade.practice["sound_finish"].value),
        "parts": [part_data(part, job, trade) for part in job.parts],
        "finish_words": [str(each) for each in FINISH_WORDS],
        "extent_words": {extent: str(word) for extent, word in EXTENT_WORDS.items()},
        "urls": {
            "list": reverse("walk_round", args=[key]),
            "part": reverse("survey_part", args=[key, "PART"]),
            "size": reverse("part_size", args=[key, "PART"]),
            "remove": reverse("remove_part", args=[key, "PART"]),
            "photos": reverse("take_photo", args=[key]),
            "photo": reverse("photo", args=[key, "PHOTO"]),
            "small_photo": reverse("small_photo", args=[key, "PHOTO"]),
            "catalogue": f"{reverse('catalogue', args=[key])}?v={catalogue()[1]}",
            "keeper": reverse("keeper", args=[key]),
        },
    }


def words() -> dict[str, str]:
    """What the script says."""
    return {
        "seen": _("{seen} of {parts} seen"),
        "waiting": _("{count} waiting"),
        "sending": _("sending"),
        "away": _("no connection, {count} waiting"),
        "locked": _("{count} waiting: reload the page to send them"),
        "refused": _("could not be kept:"),
        "sound_next": _("Sound: next"),
        "next": _("Next: {name}"),
        "all_seen": _("Done: back to the list"),
        "not_seen": _("not seen yet"),
        "to_see": _("to see"),
        "faults": _("{count} faults"),
        "fault": _("1 fault"),
        "left": _("{count} left"),
        "capped": _("Set to {finish}, the best a part with this fault can be. Drag to correct."),
        "usually": _("usually {size}"),
        "not_known": _("not known"),
        "measured": _("measured, waiting"),
        "photo": _("Photo {number}"),
        "remove_photo": _("Remove"),
        "full": _("this browser has no room to keep it. Wait until what waits is sent, then say it again."),
        "undo_waiting": _("what waits last"),
    }


@cache
def catalogue() -> tuple[str, str]:
    """Faults, families and kinds as JSON for the script, and a name for this very content."""
    trade = load()
    faults = {fault.id: _fault_data(fault) for fault in trade.faults.values()}
    data: Mapping[str, Any] = {
        "faults": faults,
        "families": {family.id: family.name for family in trade.families.values()},
        "kinds": {kind.id: list(kind.materials) for kind in trade.parts.values() if not kind.is_step},
    }
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return text, hashlib.sha256(text.encode()).hexdigest()[:12]


def _fault_data(fault: Fault) -> dict[str, Any]:
    return {
        "name": fault.name,
        "look_for": fault.look_for,
        "measure": fault.measure,
        "grades": fault.grades,
        "caps": fault.caps,
        "materials": fault.materials,
    }


# What parts can be.


def kinds_by_zone(kinds: Iterable[PartKind]) -> dict[str, list[PartKind]]:
    """Kinds of parts under the names of their zones."""
    found: dict[str, list[PartKind]] = {}
    for kind in kinds:
        found.setdefault(kind.zone, []).append(kind)
    return found


def kinds_for(job: Job, trade: Trade) -> dict[str, list[PartKind]]:
    """Every kind that a car of this body can have."""
    return kinds_by_zone(kind for kind in trade.parts.values() if not kind.is_step and job.car.body in kind.bodies)
