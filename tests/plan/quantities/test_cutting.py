"""Pieces drawn and laid: what is bought by them instead of by the rule of thumb, and what is said of it."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest

from trimwright.demo import demo_job
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.geometry.nest.asked import to_lay
from trimwright.geometry.nest.hide import Clearances, Hide
from trimwright.geometry.nest.search import Effort, lay_on_hides
from trimwright.geometry.nest.taken import Taken, taken
from trimwright.geometry.pattern import Piece
from trimwright.job.cutting import Cutting
from trimwright.job.document import Job
from trimwright.job.edits import SetField, apply
from trimwright.plan.laying import Cover, cover_of, noted
from trimwright.plan.quantities.cabin import Need
from trimwright.plan.quantities.measure import measure

TRADE = load()
SEAT, DOOR, DAY = "fseat_cushion_cover.d", "door_card_f.d", date(2026, 3, 2)
LEATHER = Cover("leather_recover", "leather_hide")
VINYL = Cover("door_card_recover", "vinyl_cloth")


@cache
def job() -> Job:
    """The demo cabin; its car has no side airbag, so that seats may be covered."""
    return apply(demo_job(), SetField(path=("car", "equipment", "side_airbag"), value="no"))


def with_cutting(part: str, cover: Cover, laid: Taken | None, pieces_mm2: float = 800_000) -> Job:
    changed = job()
    for each in noted({part: pieces_mm2}, {part: cover}, laid, TRADE, DAY):
        changed = apply(changed, each)
    return changed


def need(of: Job, part: str, cover: Cover) -> Need:
    """What the course of this cover alone needs of its material."""
    options = next(each for each in measure(of, TRADE).parts if each.part == part)
    course = next(each for each in options.courses if cover.treatment in each.treatments)
    return next(each for each in course.needs if each.material.partition(":")[0] == cover.material)


def test_pieces_on_hides_are_bought_as_they_were_laid() -> None:
    found = need(with_cutting(SEAT, LEATHER, Taken("1 hide (half)", hides_mm2=2.31e6)), SEAT, LEATHER)
    assert found.milli == 2310  # whole hides: no spare on top
    assert "m² of 1 hide (half)" in str(found.worked)
    assert "as laid, hides whole" in str(found.worked)


def test_a_roll_is_bought_by_its_length_with_the_spare_of_a_batch() -> None:
    found = need(with_cutting(DOOR, VINYL, Taken("a roll", length_mm=900, wide_mm=1400)), DOOR, VINYL)
    assert found.milli == pytest.approx(900 * (1 + TRADE.practice["batch_spare"].value), abs=1)


def test_pieces_that_were_only_drawn_take_the_trades_waste() -> None:
    rate = dict(TRADE.treatments["door_card_recover"].uses)["vinyl_cloth"][0]
    found = need(with_cutting(DOOR, VINYL, None), DOOR, VINYL)
    expected = 0.8 * rate.waste / rate.divisor * (1 + TRADE.practice["batch_spare"].value)
    assert found.milli == pytest.approx(1000 * expected, abs=1)
    assert "as drawn" in str(found.worked)


def test_without_pieces_or_for_another_cover_the_rule_of_thumb_holds() -> None:
    thumb = need(job(), SEAT, LEATHER)
    assert "m² in the pieces" not in str(thumb.worked)
    other = with_cutting(SEAT, Cover("leather_panel", "leather_hide"), Taken("1 hide", hides_mm2=2e6))
    assert need(other, SEAT, LEATHER) == thumb


def test_less_leather_is_less_to_buy() -> None:
    """Packs and all: the least that the cover's leather costs falls with what was laid."""
    sizes = sorted(
        each.size_milli for each in measure(job(), TRADE).materials[need(job(), SEAT, LEATHER).material].packs
    )
    little = need(with_cutting(SEAT, LEATHER, Taken("a cut piece", hides_mm2=0.58e6)), SEAT, LEATHER)
    assert little.milli <= sizes[0] < need(job(), SEAT, LEATHER).milli


def test_parts_laid_together_share_what_they_lie_on_by_their_areas() -> None:
    hide = Hide("side", ((0.0, 0.0), (1200.0, 0.0), (1200.0, 900.0), (0.0, 900.0)))
    square = Piece("square", ((0.0, 0.0), (300.0, 0.0), (300.0, 300.0), (0.0, 300.0)), cut=2)
    strip = Piece("strip", ((0.0, 0.0), (600.0, 0.0), (600.0, 100.0), (0.0, 100.0)))
    layout = lay_on_hides([hide], to_lay([square, strip]), Clearances(4, 10), Effort(seconds=30, tries=2))
    laid = taken(layout)
    assert laid.hides_mm2 == pytest.approx(1180 * 880)
    areas = {SEAT: 2 * 300.0 * 300, "fseat_back_cover.d": 600.0 * 100}
    changes = noted(areas, dict.fromkeys(areas, LEATHER), laid, TRADE, DAY)
    shares = {str(each.path[1]): Cutting.model_validate(each.value).taken for each in changes}
    assert shares == {SEAT: pytest.approx(0.75 * 1.0384), "fseat_back_cover.d": pytest.approx(0.25 * 1.0384)}


@pytest.mark.parametrize(
    ("part", "said", "wrong"),
    [
        ("fseat_cushion.d", "", "is no part"),
        ("belt_front.d", "", "Nothing is cut"),
        ("fseat_back_panel.d", "", "head-impact board"),
        (SEAT, "", "more than one cover"),
        (SEAT, "cloth_recover", "is none of its covers"),
    ],
)
def test_what_has_no_such_cover_is_refused(part: str, said: str, wrong: str) -> None:
    with pytest.raises(BadInput, match=wrong):
        cover_of(part, said, job(), TRADE, "--part")


@pytest.mark.parametrize("fitted", ["yes", "unknown"])
def test_no_cover_is_cut_over_an_airbag(fitted: str) -> None:
    """Workshop manuals, and the makers' own rule: nothing but their cover over a bag in the backrest."""
    car = apply(job(), SetField(path=("car", "equipment", "side_airbag"), value=fitted))
    with pytest.raises(BadInput, match="no sewing"):
        cover_of("fseat_back_cover.d", "leather_recover", car, TRADE, "--part")


def test_cloth_sold_by_the_metre_is_not_laid_on_hides() -> None:
    with pytest.raises(BadInput, match="sold by the m"):
        noted({DOOR: 5e5}, {DOOR: VINYL}, Taken("1 hide", hides_mm2=2e6), TRADE, DAY)
