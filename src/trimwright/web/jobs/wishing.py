"""Wishes as a page's controls, and what was posted of them as edits: zones, floors, sets, originality, years, sureness,
the sum and the hours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from pydantic import JsonValue

from trimwright import units
from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import Trade
from trimwright.job.document import Job, Part
from trimwright.job.edits import AddEntry, Edit, Path, RemoveEntry, SetField, Together
from trimwright.job.equipping import zone_of

Posted = Mapping[str, str]

USUAL_WEIGHT = 1.0
NO_FLOOR = 0
PER_CENT = 100
SURE: Path = ("money", "sure")


@dataclass(frozen=True, slots=True)
class Slider:
    """One wish as a slider: its name in the form, what it is called, where it stands and may go."""

    name: str
    path: Path
    label: str
    value: float
    low: float
    high: float
    step: float
    words: str = ""
    """What stands behind the figure."""

    @property
    def id(self) -> str:
        """Its own on the page, whatever the zone is called."""
        return "wish-" + "".join(each if each.isalnum() else "-" for each in self.name)


def zone_sliders(job: Job, trade: Trade) -> list[Slider]:
    """How much each zone of the cabin matters."""
    weights = job.wishes.zones
    return [
        Slider(f"zone.{zone}", ("wishes", "zones", zone), zone, weights.get(zone, USUAL_WEIGHT), 0, 3, 0.25)
        for zone in by_zone(job, trade)
    ]


def general_floor(job: Job) -> Slider:
    """No part in plain sight ends under this."""
    return Slider("floor", ("wishes", "floor"), _("every part in plain sight"), job.wishes.floor or NO_FLOOR, 0, 10, 1)


def part_floor(job: Job, part: Part) -> Slider:
    """This part does not end under this."""
    floor = job.wishes.floors.get(part.id, NO_FLOOR)
    return Slider(f"floor.{part.id}", ("wishes", "floors", part.id), part.name, floor, 0, 10, 1)


def floor_sliders(job: Job) -> list[Slider]:
    """The general floor, and those of single parts that have one."""
    return [general_floor(job), *(part_floor(job, part) for part in job.parts if part.id in job.wishes.floors)]


def other_sliders(job: Job) -> list[Slider]:
    """Years, originality and how sure."""
    wishes, sure = job.wishes, round(PER_CENT * job.money.sure, 2)
    return [
        Slider("years", ("wishes", "years"), _("years it should hold"), wishes.years, 1, 15, 0.5),
        Slider("originality", ("wishes", "originality"), _("keeping what is original"), wishes.originality, 0, 1, 0.1),
        Slider("sure", SURE, _("how sure the sum must hold"), sure, 50, 99.5, 0.5, "%"),
    ]


def set_sliders(job: Job) -> list[Slider]:
    """How many finish steps the parts of each matching set may lie apart."""
    return [
        Slider(f"set.{at}", ("wishes", "sets", at, "within"), each.name, each.within, 0, 10, 1, _("apart"))
        for at, each in enumerate(job.wishes.sets)
    ]


def by_zone(job: Job, trade: Trade) -> dict[str, list[Part]]:
    """The parts by zone, zones in the order in which they first come."""
    found: dict[str, list[Part]] = {}
    for part in job.parts:
        found.setdefault(zone_of(part, trade), []).append(part)
    return found


def wishes_edit(job: Job, trade: Trade, posted: Posted) -> Edit | None:
    """What was posted and differs from the job, as one edit; None when nothing does. BadInput for what is no figure."""
    edits = [SetField(path=path, value=value) for path, value in _wanted(job, trade, posted)]
    if len(edits) > 1:
        return Together(edits=tuple(edits))
    return edits[0] if edits else None


def sum_edit(job: Job, posted: Posted) -> Edit | None:
    """Another sum; None when it is the one there is. BadInput when it is no sum."""
    wanted = units.parse_money(posted.get("sum", ""), job.money.currency, _("sum"))
    return None if wanted == job.money.sum else SetField(path=("money", "sum"), value=wanted)


def set_edit(job: Job, posted: Posted, parts: list[str]) -> Edit:
    """A set more, or one less (`remove` is its number). BadInput when it has no name or fewer than two parts."""
    number = posted.get("remove", "")
    if number:
        if not number.isdecimal() or int(number) >= len(job.wishes.sets):
            raise BadInput(Problem(_("set"), number, _("is not there."), _("Reload the page.")))
        return RemoveEntry(path=("wishes", "sets"), value=job.wishes.sets[int(number)].model_dump(mode="json"))
    name = posted.get("name", "").strip()
    wrong = []
    if not name:
        wrong.append(Problem(_("name of the set"), "", _("is missing."), _("Say what it is called.")))
    if len(set(parts)) < 2:
        wrong.append(Problem(_("parts of the set"), "", _("are fewer than two."), _("Choose two or more.")))
    if wrong:
        raise BadInput(wrong)
    return AddEntry(path=("wishes", "sets"), value={"name": name, "parts": list(parts), "within": 1})


def _wanted(job: Job, trade: Trade, posted: Posted) -> Iterator[tuple[Path, JsonValue]]:
    """Every field that is to have another value.

    A browser puts a figure between two steps of its slider onto one of them: that is no change.
    """
    floors = (part_floor(job, part) for part in job.parts)
    for slider in (
        *zone_sliders(job, trade), general_floor(job), *floors, *set_sliders(job), *other_sliders(job)
    ):  # fmt: skip
        if slider.name in posted:
            figure = float(units.parse_number(posted[slider.name], slider.label))
            if abs(figure - slider.value) > slider.step / 2:
                yield slider.path, _as_kept(slider.path, figure)
    if "hours" in posted:
        told = posted["hours"].strip()
        hours = float(units.parse_number(told, _("hours on hand"))) if told else None
        if hours != job.time.hours:
            yield ("time", "hours"), hours


def _as_kept(path: Path, figure: float) -> JsonValue:
    """A slider's figure as the document keeps it: what is usual is not said."""
    if path == SURE:
        return round(figure / PER_CENT, 4)
    if "zones" in path:
        return None if figure == USUAL_WEIGHT else figure
    if "floor" in path or "floors" in path:
        return int(figure) or None
    return int(figure) if "sets" in path else figure
