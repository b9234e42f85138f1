"""Which part of a job is which region of the drawing; a part without a shape of its own gets a box below the car."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from textwrap import wrap

from trimwright.charts.box import Box
from trimwright.charts.cabin_plan.outline import Outline, read
from trimwright.charts.cabin_plan.shapes import WIDE, Row, frame_for, mirrored, rows
from trimwright.charts.cabin_plan.touch import touch_boxes
from trimwright.facts.access import same_side
from trimwright.facts.trade import Body
from trimwright.job.document import Job, Part

MARGIN = 6.0
_BOX_WIDE, _BOX_HIGH, _BOX_GAP, _BOXES_IN_ROW = 91.0, 38.0, 4.6, 4
_STRIP_ABOVE = 16.0
_LABEL_LETTERS, _LABEL_LINES = 12, 2
"""What a box holds of 11 px writing."""


@dataclass(frozen=True, slots=True)
class Region:
    """One part on the drawing: its shapes, the seams sewn on it, and where a finger hits it [units]."""

    part: Part
    outlines: tuple[Outline, ...]
    seams: tuple[Outline, ...]
    touch: tuple[Box, ...]
    under: bool = False
    """Hidden under something else: drawn dashed."""
    label: tuple[str, ...] = ()
    """The lines written on it: only where the shape says nothing."""


@dataclass(frozen=True, slots=True)
class Backdrop:
    """What is no part and only makes the car recognisable; `name` is its look."""

    name: str
    outlines: tuple[Outline, ...]
    seams: tuple[Outline, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole drawing, what lies lowest first, and the box it fills [units]."""

    box: Box
    backdrops: tuple[Backdrop, ...]
    regions: tuple[Region, ...]


@dataclass(frozen=True, slots=True)
class _Placed:
    """What of a job says where its parts lie; whatever else is true of them does not move them."""

    body: Body
    parts: tuple[tuple[str, str, str | None, str], ...]
    job: Job = field(compare=False)


def lay_out(job: Job, *, driver_left: bool = True) -> Sheet:
    """Every part of the job as one region of its body's drawing."""
    placed = _Placed(job.car.body, tuple((each.id, each.kind, each.place, each.name) for each in job.parts), job)
    sheet = _laid_out(placed, driver_left)
    now = {part.id: part for part in job.parts}
    return replace(sheet, regions=tuple(replace(each, part=now[each.part.id]) for each in sheet.regions))


@lru_cache(maxsize=32)
def _laid_out(placed: _Placed, driver_left: bool) -> Sheet:
    """Worked out once for parts that lie alike: pages draw the same cabin over and over."""
    job, body = placed.job, placed.body
    backdrops = tuple(_backdrops(body))
    drawn = list(_drawn(job, body))
    shown = {region.part.id for region in drawn}
    shapes = [each.outlines for each in backdrops] + [each.outlines for each in drawn]
    car = [outline.box() for outlines in shapes for outline in outlines]
    bottom = max(box.bottom for box in car)
    strip = tuple(_strip([part for part in job.parts if part.id not in shown], bottom + _STRIP_ABOVE))
    lowest = max((outline.box().bottom for each in strip for outline in each.outlines), default=bottom)
    whole = Box(0.0, min(box.top for box in car) - MARGIN, WIDE, lowest + MARGIN)
    if not driver_left:
        backdrops, drawn = tuple(map(_backdrop_mirrored, backdrops)), list(map(_region_mirrored, drawn))
    return Sheet(whole, backdrops, _with_touch((*drawn, *strip), whole))


def _backdrops(body: Body) -> Iterator[Backdrop]:
    for row in rows():
        if row.kinds[0].startswith("-") and row.is_on(body) and (frame := frame_for(body, row.zone, None)):
            yield Backdrop(row.kinds[0][1:], *row.settled(frame, mirror=False))


def _drawn(job: Job, body: Body) -> Iterator[Region]:
    """The parts that have a shape; of several that would have the very same one, the first."""
    taken: set[tuple[Outline, ...]] = set()
    for row in rows():
        for part in job.parts:
            if part.kind not in row.kinds or not row.is_on(body):
                continue
            region = _region(row, part, body)
            if region and region.outlines not in taken:
                taken.add(region.outlines)
                yield region


def _region(row: Row, part: Part, body: Body) -> Region | None:
    frame = frame_for(body, row.zone, part.place)
    if frame is None:
        return None
    return Region(part, *row.settled(frame, mirror=not same_side(part.place, "driver")), touch=(), under=row.under)


def _strip(parts: Iterable[Part], top: float) -> Iterator[Region]:
    """Small boxes with their names, in rows."""
    for at, part in enumerate(parts):
        down, across = divmod(at, _BOXES_IN_ROW)
        x, y = MARGIN + across * (_BOX_WIDE + _BOX_GAP), top + down * (_BOX_HIGH + _BOX_GAP)
        outline = read(f"box {x} {y} {_BOX_WIDE} {_BOX_HIGH} 6")
        yield Region(part, (outline,), (), (), label=_written(part.name))


def _written(name: str) -> tuple[str, ...]:
    """As much of a name as its box holds.

    >>> _written("Loose mat"), _written("Trim clips and screws, whole cabin")
    (('Loose mat',), ('Trim clips', 'and screws,…'))
    """
    return tuple(wrap(name, _LABEL_LETTERS, max_lines=_LABEL_LINES, placeholder="…"))


def _backdrop_mirrored(each: Backdrop) -> Backdrop:
    return Backdrop(each.name, _mirrored(each.outlines), _mirrored(each.seams))


def _region_mirrored(each: Region) -> Region:
    return Region(each.part, _mirrored(each.outlines), _mirrored(each.seams), each.touch, each.under, each.label)


def _mirrored(outlines: tuple[Outline, ...]) -> tuple[Outline, ...]:
    return tuple(outline.moved(mirrored) for outline in outlines)


def _with_touch(regions: tuple[Region, ...], edge: Box) -> tuple[Region, ...]:
    """The regions with the room their neighbours leave a finger."""
    room = iter(touch_boxes([outline.box() for each in regions for outline in each.outlines], edge))
    return tuple(
        Region(each.part, each.outlines, each.seams, tuple(filter(None, boxes)), each.under, each.label)
        for each in regions
        if (boxes := [next(room) for _ in each.outlines])
    )
