"""What a form about one part says, as the edit it means: every control that is there and says something new.

A page with scripts sends one control at a time, a page without all of them; both are read here. Text becomes values
by `units.py`; a figure that is sent back as it was shown is no change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial

from django.utils.translation import gettext as _
from pydantic import JsonValue

from trimwright import units
from trimwright.craft.tape import Measured, measured
from trimwright.errors import BadInput, Problem
from trimwright.facts.trade import EXTENTS, PartKind, Trade
from trimwright.job.document import Job, Part
from trimwright.job.edits import AddEntry, Edit, Path, RemoveEntry, SetField, Together

Posted = Mapping[str, str]
FAULT = "fault-"
"""Begins the name of a control that says how bad a fault is; empty = not there."""
MEASURES = ("measure-a", "measure-b", "measure-c")


def part_edit(job: Job, trade: Trade, part: Part, posted: Posted) -> Edit | None:
    """The edit that a posted form means; None when it says nothing new. BadInput with everything that is wrong."""
    edits: list[Edit] = []
    problems: list[Problem] = []
    for read in _readers(job, trade, part, posted):
        try:
            edits += read()
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput(problems)
    return Together(edits=tuple(edits)) if len(edits) > 1 else next(iter(edits), None)


def tape(job: Job, part: Part, posted: Posted) -> Measured:
    """The area that tape and shape come to; BadInput when a measure is missing or wrong."""
    typed = [posted.get(each, "") for each in MEASURES]
    return measured(posted.get("shape", ""), typed, pieces=part.count, system=job.car.units)


def _readers(job: Job, trade: Trade, part: Part, posted: Posted) -> Iterator[Callable[[], list[Edit]]]:
    then = posted.get("then", "")
    yield partial(_finish, trade, part, posted, then)
    yield partial(_faults, part, trade, posted)
    if "missing" in posted:
        yield partial(_missing, part, posted["missing"])
    if then == "measure":
        yield lambda: _set(part, "area_mm2", tape(job, part, posted).area_mm2)
    elif "area" in posted:
        yield partial(_area, job, part, posted["area"])
    if "edge" in posted:
        yield partial(_edge, job, part, posted["edge"])
    if "name" in posted:
        yield partial(_set, part, "name", posted["name"].strip())
    if "notes" in posted:
        yield partial(_set, part, "notes", posted["notes"].replace("\r\n", "\n").strip())
    if "drop_photo" in posted:
        yield partial(_drop_photo, part, posted["drop_photo"])
    if "kind" in posted and posted["kind"] not in ("own", part.kind):
        yield partial(_kind, job, trade, part, posted["kind"])
    elif "material" in posted:
        yield partial(_material, trade, part, posted["material"])


def _path(part: Part, field: str) -> Path:
    return ("parts", part.id, field)


def _set(part: Part, field: str, value: JsonValue) -> list[Edit]:
    return [] if getattr(part, field) == value else [SetField(path=_path(part, field), value=value)]


def _finish(trade: Trade, part: Part, posted: Posted, then: str) -> list[Edit]:
    typed = posted.get("finish", "").strip()
    if then == "unseen":
        return _set(part, "finish_now", None)
    if then == "sound" and not typed:
        nothing_said = part.finish_now is None and not part.faults
        return _set(part, "finish_now", round(trade.practice["sound_finish"].value)) if nothing_said else []
    if "finish" not in posted:
        return []
    if not typed:
        return _set(part, "finish_now", None)
    finish = _whole(typed, _("finish"), most=10, way_out=_("Give a finish from 0, ruined, to 10, as new."))
    return _set(part, "finish_now", finish)


def _faults(part: Part, trade: Trade, posted: Posted) -> list[Edit]:
    there = {each.fault: (at, each) for at, each in enumerate(part.faults)}
    edits: list[Edit] = []
    gone: list[Edit] = []
    for control, extent in posted.items():
        fault = control.removeprefix(FAULT)
        if not control.startswith(FAULT):
            continue
        if extent and (extent not in EXTENTS or (fault not in trade.faults and fault not in there)):
            what = _("is no fault and extent that the trade knows.")
            raise BadInput(Problem(fault, extent, what, _("Reload the page and try again.")))
        at, found = there.get(fault, (0, None))
        if found is None and extent:
            edits.append(AddEntry(path=_path(part, "faults"), value={"fault": fault, "extent": extent, "note": ""}))
        elif found is not None and not extent:
            gone.append(RemoveEntry(path=_path(part, "faults"), value=found.model_dump(mode="json")))
        elif found is not None and extent != found.extent:
            edits.append(SetField(path=(*_path(part, "faults"), at, "extent"), value=extent))
    return [*edits, *gone]  # those that go last: until then the numbers of the others stay


def _missing(part: Part, typed: str) -> list[Edit]:
    return _set(
        part, "missing", _whole(typed.strip() or "0", _("missing"), most=500, way_out=_("Give a whole number."))
    )


def _area(job: Job, part: Part, typed: str) -> list[Edit]:
    if typed.strip() == shown_area(part, job):
        return []
    default = "m2" if job.car.units == "metric" else "ft2"
    return _set(part, "area_mm2", units.parse_area(typed, _("area"), default=default) if typed.strip() else None)


def _edge(job: Job, part: Part, typed: str) -> list[Edit]:
    if typed.strip() == shown_edge(part, job):
        return []
    default = "m" if job.car.units == "metric" else "in"
    return _set(part, "length_mm", units.parse_length(typed, _("length"), default=default) if typed.strip() else None)


def shown_area(part: Part, job: Job) -> str:
    """The part's own area as its field shows it."""
    return units.area(part.area_mm2, job.car.units) if part.area_mm2 else ""


def shown_edge(part: Part, job: Job) -> str:
    """The part's own length as its field shows it."""
    return units.length(part.length_mm, job.car.units) if part.length_mm else ""


def _drop_photo(part: Part, name: str) -> list[Edit]:
    return [RemoveEntry(path=_path(part, "photos"), value=name)] if name in part.photos else []


def _material(trade: Trade, part: Part, material: str) -> list[Edit]:
    if material not in trade.families:
        raise BadInput(Problem(_("material"), material, _("is none the trade knows."), _("Choose one of the list.")))
    return _set(part, "material", material)


def _kind(job: Job, trade: Trade, part: Part, kind_id: str) -> list[Edit]:
    """Another kind, with a side and a material that go with it."""
    kind = trade.parts.get(kind_id)
    if kind is None or kind.is_step:
        raise BadInput(Problem(_("kind"), kind_id, _("is no part the trade knows."), _("Choose one of the list.")))
    edits = _set(part, "kind", kind.id) + _set(part, "own", None) + _set(part, "place", _place(job, part, kind))
    if part.material not in kind.materials:
        edits += _set(part, "material", kind.materials[0])
    return edits


def _place(job: Job, part: Part, kind: PartKind) -> str | None:
    places = kind.places_on(job.car.body) or kind.places or (None,)
    return part.place if part.place in places else places[0]


def _whole(typed: str, where: str, *, most: int, way_out: str) -> int:
    if not (typed.isascii() and typed.isdigit()) or int(typed) > most:
        raise BadInput(Problem(where, typed, _("is no whole number from 0 to %(most)s.") % {"most": most}, way_out))
    return int(typed)
