"""Pictures of a wheel wrap: strain to scale with its limit, and lacing that shows every thread over the leather."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from trimwright.charts.lacing import SHOWN, lacing_picture
from trimwright.charts.strain import strain_chart
from trimwright.geometry.lacing import PATTERNS, Pattern, is_seen, paths
from trimwright.geometry.rim import Rim
from trimwright.geometry.stretch import halves, straight, strain
from trimwright.geometry.wrap import Seam

RIM = Rim(185, ((0, 94),))
STRIP = strain(RIM, 1.2, straight(RIM, 1.2, "even", 0.08), 0.04)


def of_class(svg: str, name: str) -> list[ElementTree.Element]:
    return [each for each in ElementTree.fromstring(svg).iter() if name in str(each.get("class")).split()]


def test_what_is_over_the_limit_is_filled_and_said() -> None:
    over, under = strain_chart(STRIP, 0.05), strain_chart(STRIP, 0.12)
    assert of_class(over, "strain-over")
    assert "That is too much." in over
    assert not of_class(under, "strain-over")
    assert "too much" not in under
    assert not of_class(strain_chart(strain(RIM, 1.2, halves(RIM, 1.2, 0.04), 0.04), 0.08), "strain-over")


def test_the_curve_is_highest_on_the_outer_line_and_inside_the_drawing() -> None:
    (band,) = of_class(strain_chart(STRIP, 0.08, wide=390), "strain")
    points = [tuple(map(float, each.split())) for each in re.findall(r"[\d.]+ [\d.]+", band.get("d") or "")]
    middle = min(points, key=lambda point: point[1])
    assert middle[0] == pytest.approx((40 + 376) / 2, abs=1)
    assert all(0 <= x <= 390 and 0 <= y <= 250 for x, y in points)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_every_thread_over_the_leather_is_drawn(pattern: Pattern) -> None:
    svg = lacing_picture(pattern, Seam())
    seen = sum(is_seen(one, other) for path in paths(pattern, SHOWN) for one, other in pairwise(path))
    assert len(of_class(svg, "thread-over")) == len(of_class(svg, "thread-shine")) == seen
    assert of_class(svg, "thread-under")
    assert len(of_class(svg, "hole")) == 2 * SHOWN
    assert not of_class(svg, "needle-point")
    assert not of_class(lacing_picture(pattern, Seam(), beneath=False), "thread-under")
    assert of_class(lacing_picture(pattern, Seam(), laced=3), "needle-point")
