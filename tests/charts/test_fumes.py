"""Vapour over time as a picture: whole XML, limits named, told in words, inside its box, also without air flow."""

from __future__ import annotations

import re
from typing import Literal
from xml.etree import ElementTree

import pytest

from trimwright.charts.fumes import fumes_chart
from trimwright.craft.vapour import Fumes, Poured, Room, fumes
from trimwright.facts.workbench import load_workbench

SOLVENTS = load_workbench().solvents
ROOMS = {"still": Room(3, 0), "cabin": Room(3, 3, 3), "garage": Room(50, 500, 3), "booth": Room(60, 18_000)}


def found(room: str, litres: float = 0.2) -> Fumes:
    poured = [Poured(SOLVENTS["acetone"], litres), Poured(SOLVENTS["xylene"], litres / 4)]
    return fumes(poured, ROOMS[room], 0.5)


@pytest.mark.parametrize("style", ["page", "print"])
@pytest.mark.parametrize("room", ROOMS)
def test_the_picture_is_whole_and_inside_its_box(room: str, style: Literal["page", "print"]) -> None:
    svg = fumes_chart(found(room), style=style)
    root = ElementTree.fromstring(svg)
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    for x, y in re.findall(r"[ML]([\d.-]+) ([\d.-]+)", svg):
        assert 0 <= float(x) <= wide
        assert 0 <= float(y) <= high
    told = svg[svg.index("<desc") : svg.index("</desc>")]
    for name in ("8 h limit", "10 % of the LEL", "LEL: burns at a spark", "at once dangerous"):
        assert name in told
    assert "safe" not in svg


def test_limits_that_are_passed_stand_out() -> None:
    assert fumes_chart(found("booth", 0.001)).count('"mark-line"') == 0
    assert fumes_chart(found("cabin")).count('"mark-line"') == 4


def test_a_solvent_without_exposure_limits_has_its_fire_limits_all_the_same() -> None:
    """Butane has no ceiling and no value for danger at once."""
    svg = fumes_chart(fumes([Poured(SOLVENTS["butane"], 0.1)], ROOMS["garage"], 0.2))
    assert "burns at a spark" in svg
    assert "at once dangerous" not in svg
