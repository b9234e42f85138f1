"""The cabin plan: every part of every job is a region that can be seen, told and hit, on every body."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path
from typing import get_args
from xml.etree import ElementTree

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trimwright.charts.cabin_plan import draw
from trimwright.charts.cabin_plan.layout import Region, Sheet, lay_out
from trimwright.charts.cabin_plan.outline import Outline
from trimwright.charts.cabin_plan.shapes import WIDE
from trimwright.demo import demo_job
from trimwright.facts import load
from trimwright.facts.access import present
from trimwright.facts.trade import Body
from trimwright.job.document import Job, OwnKind, Part
from trimwright.job.fields import free_id
from trimwright.job.files import read_job
from trimwright.job.starting import new_part, started

BODIES: tuple[Body, ...] = get_args(Body)
SAMPLES = Path(__file__).parents[1] / "jobs"
SVG = "{http://www.w3.org/2000/svg}"

Mask = npt.NDArray[np.bool_]


def new_job(body: Body, year: int = 1996) -> Job:
    """A car of such a body with the parts it usually has."""
    car = {"text": "a car", "year": year, "body": body}
    return started(load(), car=car, money={"currency": "EUR", "sum": 240_000})


@cache
def fullest(body: Body) -> Job:
    """The same with every part it may have."""
    job, trade = new_job(body), load()
    kinds = present(trade, body, job.car.year, job.car.equipment)
    surveyed = [(trade.parts[kind], places) for kind, places in kinds.items() if not trade.parts[kind].is_step]
    return job.model_copy(update={"parts": tuple(new_part(kind, place) for kind, all_ in surveyed for place in all_)})


@cache
def jobs() -> dict[str, Job]:
    """What is drawn in these tests: new jobs, fullest jobs and the sample jobs, by what they are."""
    drawn = {f"{body} of {year}": new_job(body, year) for body in BODIES for year in (1962, 1978, 1996, 2010)}
    drawn |= {f"fullest {body}": fullest(body) for body in BODIES}
    return drawn | {"demo": demo_job()} | {path.stem: read_job(path) for path in sorted(SAMPLES.glob("*.json"))}


EVERY_JOB = pytest.mark.parametrize("name", sorted(jobs()))


def inside(outlines: tuple[Outline, ...], sheet: Sheet) -> Mask:
    """The unit squares whose middle is inside the outlines, by the even-odd rule."""
    high = int(np.ceil(sheet.box.high))
    across = np.arange(WIDE) + 0.5
    mask = np.zeros((high, int(WIDE)), bool)
    for outline in outlines:
        own = np.zeros_like(mask)
        for ring in outline.rings():
            for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
                for row in range(max(0, int(min(y1, y2) - sheet.box.top) - 1), high):
                    y = sheet.box.top + row + 0.5
                    if y > max(y1, y2):
                        break
                    if (y1 <= y) != (y2 <= y):
                        own[row] ^= across > x1 + (y - y1) * (x2 - x1) / (y2 - y1)
        mask |= own
    return mask


def shown(sheet: Sheet, *, touch: bool) -> dict[str, Mask]:
    """What of each part is on top: of its shape alone, or of what a finger hits."""
    on_top = np.full((int(np.ceil(sheet.box.high)), int(WIDE)), -1)
    for at, region in enumerate(sheet.regions):
        on_top[inside(region.outlines, sheet)] = at
    for at, region in enumerate(sheet.regions if touch else ()):
        for box in region.touch:
            top, bottom = (round(each - sheet.box.top) for each in (box.top, box.bottom))
            on_top[max(0, top) : bottom, max(0, round(box.left)) : round(box.right)] = at
    return {region.part.id: on_top == at for at, region in enumerate(sheet.regions)}


@EVERY_JOB
def test_every_part_has_one_region_and_all_are_on_the_sheet(name: str) -> None:
    job = jobs()[name]
    sheet = lay_out(job)
    assert sorted(region.part.id for region in sheet.regions) == sorted(part.id for part in job.parts)
    for region in sheet.regions:
        for box in (*(outline.box() for outline in region.outlines), *region.touch):
            assert sheet.box.holds(box), region.part.id


@EVERY_JOB
def test_no_region_is_hidden_by_others(name: str) -> None:
    for part, mask in shown(lay_out(jobs()[name]), touch=False).items():
        assert mask.sum() >= 100, part


@pytest.mark.parametrize("body", BODIES)
def test_a_finger_finds_every_part_of_the_fullest_cabin(body: Body) -> None:
    """A unit is a pixel on a phone 390 px wide; what is long and thin makes up for it by its length."""
    found = {part: int(mask.sum()) for part, mask in shown(lay_out(fullest(body)), touch=True).items()}
    assert {part: area for part, area in found.items() if area < 16 * 16} == {}
    assert sum(area >= 24 * 24 for area in found.values()) >= 0.75 * len(found)  # WCAG 2.2, criterion 2.5.8


@EVERY_JOB
def test_only_what_has_no_place_in_a_car_stands_in_the_strip(name: str) -> None:
    in_strip = {region.part.kind for region in lay_out(jobs()[name]).regions if region.label}
    assert in_strip <= {"fixings_all", "restraint_system"}


@settings(max_examples=30, deadline=None)
@given(body=st.sampled_from(BODIES), own=st.integers(0, 30), twice=st.lists(st.integers(0, 60), max_size=8))
def test_own_parts_and_second_ones_get_boxes(body: Body, own: int, twice: list[int]) -> None:
    job = new_job(body)
    taken = {part.id for part in job.parts}
    added = [
        Part(id=f"own-{at}", kind="own", name=f"Rack {at}", own=OwnKind(zone="boot"), material="wood")
        for at in range(own)
    ]
    for at in twice:
        like = job.parts[at % len(job.parts)]
        added.append(like.model_copy(update={"id": free_id(like.id, taken)}))
        taken.add(added[-1].id)
    job = job.model_copy(update={"parts": (*job.parts, *added)})
    sheet = lay_out(job)
    assert Counter(region.part.id for region in sheet.regions) == Counter(part.id for part in job.parts)
    boxes = [region.outlines[0].box() for region in sheet.regions if region.label]
    assert len(boxes) >= len(added)
    assert all(sheet.box.holds(box) for box in boxes)
    assert all(
        one.right <= other.left or other.right <= one.left or one.bottom <= other.top or other.bottom <= one.top
        for at, one in enumerate(boxes)
        for other in boxes[:at]
    )


def middle(region: Region) -> tuple[float, float]:
    box = region.outlines[0].box()
    return (box.left + box.right) / 2, (box.top + box.bottom) / 2


def test_the_wheel_is_before_the_driver_on_either_side() -> None:
    for driver_left in (True, False):
        regions = {region.part.id: region for region in lay_out(new_job("two-door"), driver_left=driver_left).regions}
        wheel, seat = middle(regions["wheel_rim_leather"]), middle(regions["fseat_cushion_cover.driver"])
        assert abs(wheel[0] - seat[0]) < 10
        assert wheel[1] < seat[1]
        assert (wheel[0] < WIDE / 2) == driver_left


@pytest.mark.parametrize("body", BODIES)
def test_sides_mirror_each_other(body: Body) -> None:
    regions = {region.part.id: region for region in lay_out(fullest(body)).regions}
    for part_id, region in regions.items():
        other = regions.get(part_id.replace("passenger", "driver"))
        if "passenger" in part_id and other:
            assert middle(region)[0] == pytest.approx(WIDE - middle(other)[0])
            assert middle(region)[1] == pytest.approx(middle(other)[1])


def drawn(style: str = "page", **told: object) -> ElementTree.Element:
    job = demo_job()
    colour = {part.id: part.finish_now for part in job.parts}
    return ElementTree.fromstring(draw(job, colour, title="Finish now", style=style, **told))  # type: ignore[arg-type]


def test_each_region_is_a_link_with_its_part_and_finish_in_words() -> None:
    job = demo_job()
    links = {each.get("data-part"): each for each in drawn().iter(f"{SVG}a") if each.get("data-part")}
    for part in job.parts:
        said = f"{part.name}: " + ("not seen yet" if part.finish_now is None else f"finish {part.finish_now}")
        link = links[part.id]
        assert link.get("aria-label") == said
        assert link.findtext(f"{SVG}title") == said
        assert link.get("href") == f"#{part.id}"
    assert len(links) == len(job.parts)


def test_room_for_a_finger_is_no_second_stop_for_a_keyboard() -> None:
    room = [each for each in drawn().iter(f"{SVG}a") if each.get("data-touch")]
    assert room
    assert all((each.get("tabindex"), each.get("aria-hidden")) == ("-1", "true") for each in room)


def test_one_part_is_selected_and_other_words_are_told() -> None:
    root = drawn(selected="dash_top", told={"dash_top": "fit new, 379"}, link=lambda part: f"/parts/{part.id}/")
    (chosen,) = (each for each in root.iter(f"{SVG}a") if "selected" in str(each.get("class")).split())
    assert chosen.get("aria-label") == "Dash top pad: fit new, 379"
    assert chosen.get("href") == "/parts/dash_top/"
    assert chosen.get("aria-current") == "true"


def test_names_are_text_and_never_markup() -> None:
    job = demo_job()
    odd = job.model_copy(update={"parts": (job.parts[0].model_copy(update={"name": '<script>"&'}), *job.parts[1:])})
    root = ElementTree.fromstring(draw(odd, {}, title="<b>"))
    assert root.findtext(f"{SVG}title") == "<b>"
    assert not [each for each in root.iter() if each.tag.endswith("script")]


def test_the_page_brings_no_style_of_its_own_and_paper_no_links() -> None:
    """A page's content policy allows no inline style; paper's renderer knows no custom properties."""
    page, paper = drawn(), drawn("print")
    assert not list(page.iter(f"{SVG}style"))
    assert not [each for each in page.iter() if each.get("style")]
    assert not list(paper.iter(f"{SVG}a"))
    (style,) = paper.iter(f"{SVG}style")
    assert style.text
    assert "var(" not in style.text


def test_two_drawings_on_a_page_share_no_id() -> None:
    ids = [
        found
        for name in ("now", "after")
        for found in re.findall(r' id="([^"]+)"', draw(demo_job(), {}, title="x", name=name))
    ]
    assert len(ids) == len(set(ids))
