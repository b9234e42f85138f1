"""Colours and their spectra against colour-science, which computes the same from the same CIE tables."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from tests.craft.colour.world import SHAPE, leathers
from trimwright.craft.colour.difference import apart, delta_e00, eased, seen, way
from trimwright.craft.colour.lab import Lab, from_d50, lab_from_xyz, lab_of, read_reading, srgb_of, xyz_of
from trimwright.craft.colour.spectra import lab_under, read_spectrum, smoothest
from trimwright.errors import BadInput

RANDOM = np.random.default_rng(1).uniform([1, -90, -90], [99, 90, 90], (2000, 3))


def test_differences_are_those_of_colour_science() -> None:
    one, other = RANDOM[:1000], RANDOM[1000:]
    expected = colour.delta_E(one, other, method="CIE 2000")
    assert np.abs(delta_e00(one, other) - expected).max() < 1e-9


def test_xyz_is_that_of_colour_science() -> None:
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    near = RANDOM[RANDOM[:, 0] > 25] * [1, 0.3, 0.3]
    assert xyz_of(near) == pytest.approx(colour.Lab_to_XYZ(near, white), rel=5e-4)  # its white has a digit more
    assert np.abs(lab_from_xyz(xyz_of(near)) - near).max() < 1e-9


def test_d50_is_carried_to_d65_as_colour_science_does() -> None:
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    xyz = colour.Lab_to_XYZ([45, 22, 31], whites["D50"])
    from_white, to_white = (colour.xy_to_XYZ(whites[each]) for each in ("D50", "D65"))
    carried = colour.chromatic_adaptation(xyz, from_white, to_white, method="Von Kries", transform="Bradford")
    expected = np.asarray(colour.XYZ_to_Lab(carried, whites["D65"]), dtype=float)
    assert delta_e00(from_d50(Lab(45, 22, 31)).array(), expected) < 0.02


@pytest.mark.parametrize(("light", "near"), [("D65", 0.02), ("A", 0.02)])
def test_the_colour_of_a_spectrum_is_that_of_colour_science(light: str, near: float) -> None:
    """Integrated over the same range and steps."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE)
    source = colour.SDS_ILLUMINANTS[light].copy().align(SHAPE)
    white = colour.XYZ_to_xy(colour.sd_to_XYZ(np.ones(31), observer, source, method="Integration", shape=SHAPE))
    for each in leathers(np.random.default_rng(2), 20):
        spectrum = colour.SpectralDistribution(each, SHAPE.wavelengths)
        xyz = colour.sd_to_XYZ(spectrum, observer, source, method="Integration") / 100
        found = lab_under(each, "A" if light == "A" else "D65")
        assert delta_e00(found, np.asarray(colour.XYZ_to_Lab(xyz, white), dtype=float)) < near


def test_the_smoothest_spectrum_has_the_colour() -> None:
    for each in (Lab(38, 18, 22), Lab(12, 1, -2), Lab(95, 0, 3), Lab(25, 20, -50), Lab(80, 5, 85), Lab(0, 0, 0)):
        found = np.array(smoothest(each))
        assert found.min() > 0
        assert found.max() < 1
        assert apart(lab_of(lab_under(found)), each) < (1 if each.lightness < 1 else 0.01)


def test_a_screen_shows_what_colour_science_shows() -> None:
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    for each in (Lab(38, 18, 22), Lab(70, -20, 30), Lab(20, 0, 0)):
        expected = colour.XYZ_to_sRGB(colour.Lab_to_XYZ(each.array(), white))
        found = [int(srgb_of(each)[at : at + 2], 16) for at in (1, 3, 5)]
        assert np.abs(np.array(found) - 255 * expected).max() <= 1


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("140 3 4", "is no lightness."),
        ("-1 0 0", "is no lightness."),
        ("50 120 120", "is stronger than any dye."),
        ("2 90 -60", "is a strong colour with no light in it."),
        ("50 3", "is not three figures."),
        ("50 nan 2", "is not three figures."),
        ("brown", "is no reading."),
        ("50 2 3 ± -1", "is no spread."),
        ("", "is no reading."),
    ],
)
def test_an_impossible_reading_is_told(text: str, what: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_reading(text, "target")
    assert what in [each.what for each in caught.value.problems]
    assert all(each.way_out for each in caught.value.problems)


def test_a_spectrum_is_read_in_shares_or_per_cent() -> None:
    shares = "\n".join(f"{nm},{0.1 + nm / 10_000:.4f}" for nm in range(380, 740, 10))
    per_cent = "nm;R\n" + "\n".join(f"{nm};{10 + nm / 100:.2f}" for nm in range(380, 740, 10))
    assert read_spectrum(shares, "s.csv") == pytest.approx(read_spectrum(per_cent, "s.csv"), abs=1e-6)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "holds no figures."),
        ("400,0.1\nx,y", "is no pair of figures."),
        ("450,0.1\n700,0.2", "does not cover what the eye sees."),
        ("\n".join(f"{nm},-0.2" for nm in range(400, 710, 10)), "is no reflectance."),
    ],
)
def test_a_spectrum_that_is_none_is_told(text: str, what: str) -> None:
    with pytest.raises(BadInput, match=what):
        read_spectrum(text, "s.csv")


def test_what_is_seen_eases_with_distance_and_never_gets_worse() -> None:
    told = [seen(each / 10) for each in range(120)]
    assert [told[0], told[-1]] == ["nobody sees it", "two different colours"]
    assert list(dict.fromkeys(told)) == sorted(set(told), key=told.index)
    assert eased(0.2) == eased(0.5) == 1 < eased(1.5) < eased(3.0) == eased(9.0)
    assert way(Lab(40, 5, 5), Lab(38, 5, 5)) == "lighter"
