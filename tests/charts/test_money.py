"""The staircase: its steps in proportion, all inside the drawing, the present sum marked."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimwright.charts.axis import Axis, round_figures
from trimwright.charts.staircase import stair_at, staircase
from trimwright.plan.verdicts.staircase import Stair

SVG = "{http://www.w3.org/2000/svg}"


def stair(sum_minor: int, finish: int, gap: float = 0.0) -> Stair:
    return Stair(
        sum=sum_minor,
        modelled=sum_minor,
        expected=sum_minor,
        minutes=600,
        finish=finish,
        points=10 * finish,
        gap=gap,
        changes=(),
    )


STAIRS = (stair(40_000, 48), stair(120_000, 62), stair(240_000, 78, 0.02), stair(400_000, 85))


def of_class(svg: str, name: str) -> list[ElementTree.Element]:
    return [each for each in ElementTree.fromstring(svg).iter() if name in str(each.get("class")).split()]


def words(svg: str) -> list[str]:
    return [each.text or "" for each in ElementTree.fromstring(svg).iter(f"{SVG}text")]


@given(st.integers(0, 10**9), st.integers(1, 10**9), st.integers(2, 9))
def test_round_figures_are_few_and_inside(least: int, span: int, about: int) -> None:
    figures = round_figures(least, least + span, about)
    assert len(figures) <= about + 1
    assert all(least <= each <= least + span for each in figures)
    steps = {after - before for before, after in pairwise(figures)}
    assert len(steps) <= 1
    assert all(re.fullmatch("[125]0*", str(each)) for each in steps)


def test_the_staircase_starts_and_rises_where_the_stairs_are() -> None:
    svg = staircase(STAIRS, 250_000, "EUR")
    (plot,) = of_class(svg, "plot")
    across = Axis(*(float(plot.attrib[f"data-{each}"]) for each in ("least", "most", "left", "right")))
    (path,) = of_class(svg, "stairs")
    risers = [float(each) for each in re.findall(r"H([\d.]+)V", path.attrib["d"])]
    assert risers == pytest.approx([across.at(stair.sum) for stair in STAIRS[1:]], abs=0.1)
    heights = [float(each) for each in re.findall(r"V([\d.]+)", path.attrib["d"])]
    assert heights == sorted(heights, reverse=True)


def test_the_present_sum_is_marked_on_its_stair() -> None:
    svg = staircase(STAIRS, 250_000, "EUR")
    assert "your sum 2,500 → finish 78" in words(svg)
    assert stair_at(STAIRS, 240_000) is STAIRS[2]
    assert stair_at(STAIRS, 239_999) is STAIRS[1]


def test_a_sum_below_every_stair_is_said() -> None:
    svg = staircase(STAIRS, 100, "EUR")
    assert stair_at(STAIRS, 100) is None
    assert not of_class(svg, "mark-dot")
    assert any("below the first stair" in each for each in words(svg))


def test_one_stair_is_a_picture_too() -> None:
    assert of_class(staircase(STAIRS[:1], 40_000, "JPY"), "stairs")


PICTURES = {
    "staircase": staircase(STAIRS, 250_000, "EUR"),
    "staircase, end": staircase(STAIRS, 400_000, "EUR"),
    "staircase, start": staircase(STAIRS, 40_000, "EUR"),
}
LETTER = 7.0
"""Widest an average letter of 12 px may be taken to be [px]; measured by eye, no source."""


@pytest.mark.parametrize("svg", PICTURES.values(), ids=PICTURES)
def test_nothing_is_drawn_outside(svg: str) -> None:
    root = ElementTree.fromstring(svg)
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    for each in root.iter(f"{SVG}text"):
        x, y, long = float(each.attrib["x"]), float(each.attrib["y"]), len(each.text or "") * LETTER
        look = str(each.get("class")).split()
        start = x - long if "end" in look else x - long / 2 if "middle" in look else x
        assert start >= -2, each.text
        assert start + long <= wide + 2, each.text
        assert 10 <= y <= high, each.text
    for each in root.iter(f"{SVG}rect"):
        if each.get("x"):
            assert 0 <= float(each.attrib["x"]) <= float(each.attrib["x"]) + float(each.attrib["width"]) <= wide


@pytest.mark.parametrize("svg", PICTURES.values(), ids=PICTURES)
def test_each_is_told_in_words(svg: str) -> None:
    root = ElementTree.fromstring(svg)
    ids = {each.get("id") for each in root.iter()}
    assert root.get("role") == "img"
    assert {root.get("aria-labelledby"), root.get("aria-describedby")} <= ids
    assert root.findtext(f"{SVG}title")
    assert root.findtext(f"{SVG}desc")
