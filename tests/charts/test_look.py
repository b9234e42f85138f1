"""Colours that can be read, in light, dark and grey."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal
from xml.etree import ElementTree

import pytest

from trimwright.charts.box import Box
from trimwright.charts.look import LEVELS, picture, small_picture, stylesheet, tokens
from trimwright.charts.stitches import stitches

THEMES = pytest.mark.parametrize("theme", ["light", "dark"])
Theme = Literal["light", "dark"]


def luminance(colour: str) -> float:
    """Relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    linear = [each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in (red, green, blue)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_and_white_is_21_to_1() -> None:
    """Source: WCAG 2.2, definition of contrast ratio."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)


@THEMES
def test_every_text_stands_out_from_its_ground(theme: Theme) -> None:
    """4.5 : 1. Source: WCAG 2.2, success criterion 1.4.3."""
    colours = tokens(theme)
    for name in ("ink", "faint", "thread", "brass", "chalk"):
        assert contrast(colours[name], colours["sheet"]) >= 4.5, name


@THEMES
def test_finish_runs_one_way_in_grey(theme: Theme) -> None:
    grey = [luminance(tokens(theme)[f"finish-{level}"]) for level in range(LEVELS)]
    steps = [after - before for before, after in pairwise(grey)]
    assert all(step < 0 for step in steps) if theme == "light" else all(step > 0 for step in steps)
    assert contrast(tokens(theme)["finish-0"], tokens(theme)["finish-10"]) >= 5


def test_every_colour_named_in_the_classes_is_a_token() -> None:
    style = stylesheet()
    for name in tokens("light"):
        assert f"--{name}:" in style
    assert tokens("light").keys() == tokens("dark").keys()
    named = {each.split(")")[0] for each in style.split("var(--")[1:]}
    assert named <= tokens("light").keys()


def test_no_writing_is_below_eleven_pixels_on_the_phone() -> None:
    sizes = [float(each.split("px")[0]) for each in stylesheet().split("font-size:")[1:]]
    assert min(sizes) >= 11


def test_what_is_said_is_text() -> None:
    box = Box(0, 0, 10, 10)
    for svg in (
        picture("a", box, title="<i>&", telling='"', body="", style="page"),
        small_picture(box, said='<i>&"', body="", style="print"),
    ):
        assert "<i>" not in svg
        assert ElementTree.fromstring(svg) is not None


@pytest.mark.parametrize("now", [None, 0, 4, 10])
@pytest.mark.parametrize("after", [None, 0, 4, 10])
def test_the_gauge_has_ten_stitches_and_says_its_numbers(now: int | None, after: int | None) -> None:
    root = ElementTree.fromstring(stitches(now, after, of="Dash top"))
    looks = [str(each.get("class")) for each in root.iter() if each.tag.endswith("path")]
    shown = [look for look in looks if look != "stitch-inside"]
    assert len(shown) == 10
    assert shown.count("stitch-now") == (now or 0)
    assert shown.count("stitch-after") == max(0, (after or 0) - (now or 0))
    said = str(root.get("aria-label"))
    assert said.startswith("Dash top: finish ")
    for each in (now, after):
        assert each is None or str(each) in said
