"""Mixes on synthetic pigments that obey two constants: what is forecast, what comes of it, and the step after."""

from __future__ import annotations

import time
from functools import cache

import numpy as np
import pytest

from tests.craft.colour.world import NAMES, bases, coat, pigments, three, tone
from trimwright.craft.colour.difference import delta_e00
from trimwright.craft.colour.kubelka_munk import pigments_of, ratio_of, reflectance_of, with_face, without_face
from trimwright.craft.colour.lab import Array, Lab, Reading, lab_of
from trimwright.craft.colour.mixing import LAW_SPREAD, Mixed, mix, next_step
from trimwright.craft.colour.palette import Base, Tone
from trimwright.craft.colour.spectra import lab_under

WORLDS = 12


def test_the_function_is_that_of_kubelka_and_munk() -> None:
    """K/S of 0.5 is 0.25, of 0.2 it is 1.6; a K/S of 1 has 0.267949: arithmetic of the published formula."""
    assert ratio_of(np.array([0.5, 0.2])) == pytest.approx([0.25, 1.6])
    assert reflectance_of(np.array(1.0)) == pytest.approx(0.267949, abs=1e-6)
    shares = np.linspace(0.002, 0.99, 200)
    assert reflectance_of(ratio_of(shares)) == pytest.approx(shares, rel=1e-9)
    assert without_face(with_face(shares)) == pytest.approx(shares, abs=1e-9)


@cache
def made_and_forecast(seed: int, *, spectral: bool, shares: tuple[float, ...]) -> tuple[Tone, Mixed, Array, Array]:
    rng = np.random.default_rng(seed)
    absorbs, scatters = pigments(rng)
    wanted = tone(coat(absorbs, scatters, three(rng)), spectral=spectral)
    found = mix(Reading(wanted.lab, 0), bases(absorbs, scatters, spectral=spectral, shares=shares), tone=wanted)
    return wanted, found, absorbs, scatters


def off(lab: Lab, other: Array) -> float:
    return float(delta_e00(lab.array(), lab_under(other)))


def test_mixes_by_spectra_come_back_within_one() -> None:
    """Whole drops, a hundred of them: the coat that is made of them, not the forecast alone."""
    errors = []
    for seed in range(WORLDS):
        wanted, found, absorbs, scatters = made_and_forecast(seed, spectral=True, shares=(0.05, 0.3))
        assert sum(found.drops) == 100
        errors.append(off(wanted.lab, coat(absorbs, scatters, np.array(found.drops, dtype=float))))
    assert max(errors) < 1


@pytest.mark.parametrize(("spectral", "shares"), [(True, (0.1,)), (False, (0.1,)), (True, ()), (False, ())])
def test_a_first_swatch_lies_as_far_from_its_forecast_as_is_said(spectral: bool, shares: tuple[float, ...]) -> None:
    misses = []
    for seed in range(WORLDS):
        _, found, absorbs, scatters = made_and_forecast(seed, spectral=spectral, shares=shares)
        made = coat(absorbs, scatters, np.array(found.drops, dtype=float))
        misses.append(off(found.forecast, made) <= found.spread)
        assert found.spread >= LAW_SPREAD[found.law]
    assert sum(misses) >= 0.9 * WORLDS


@pytest.mark.parametrize(("spectral", "within"), [(True, 0.3), (False, 1.2)])
def test_steps_after_swatches_come_nearer(spectral: bool, within: float) -> None:
    before, after = [], []
    for seed in range(WORLDS):
        wanted, found, absorbs, scatters = made_and_forecast(seed, spectral=spectral, shares=(0.1,))
        shop = found.bases
        drops = np.array(found.drops, dtype=float)
        before.append(off(wanted.lab, coat(absorbs, scatters, drops)))
        for _ in range(2):
            swatch = lab_of(lab_under(coat(absorbs, scatters, drops)))
            step = next_step(wanted.lab, swatch, shop, [int(each) for each in drops])
            more = {base.id: count for base, count in step.add}
            assert all(count > 0 for count in more.values())
            drops = drops + np.array([more.get(name, 0) for name in NAMES])
        after.append(off(wanted.lab, coat(absorbs, scatters, drops)))
    assert float(np.mean(after)) <= min(float(np.mean(before)), within)


def test_a_guess_without_trials_is_mended_by_three_swatches() -> None:
    before, after = [], []
    for seed in range(WORLDS):
        wanted, found, absorbs, scatters = made_and_forecast(seed, spectral=True, shares=())
        drops = np.array(found.drops, dtype=float)
        before.append(off(wanted.lab, coat(absorbs, scatters, drops)))
        for _ in range(3):
            swatch = lab_of(lab_under(coat(absorbs, scatters, drops)))
            step = next_step(wanted.lab, swatch, found.bases, [int(each) for each in drops])
            more = {base.id: count for base, count in step.add}
            drops = drops + np.array([more.get(name, 0) for name in NAMES])
        after.append(off(wanted.lab, coat(absorbs, scatters, drops)))
    assert np.mean(after) < np.mean(before) / 3


def test_a_pot_that_is_right_gets_nothing_more() -> None:
    wanted, found, *_ = made_and_forecast(1, spectral=True, shares=(0.1,))
    assert next_step(wanted.lab, wanted.lab, found.bases, found.drops).add == ()


def test_a_metamer_is_told_by_lamplight() -> None:
    """The same colour by daylight of other pigments parts under lamplight; its own pigments do not."""
    absorbs, scatters = pigments(np.random.default_rng(5))
    shop = bases(absorbs, scatters, spectral=True, shares=(0.1,))
    own = tone(coat(absorbs, scatters, np.array([4, 1, 0, 0, 2, 1.0])), spectral=True)
    same = mix(Reading(own.lab, 0), shop, tone=own)
    without_blue = [each for each in shop if each.id in ("white", "black", "red", "yellow")]
    grey = tone(coat(absorbs, scatters, np.array([6, 0, 0, 1, 2.5, 1.5])), spectral=True)
    parted = mix(Reading(grey.lab, 0), without_blue, tone=grey)
    assert same.lamplight < 0.5
    assert parted.lamplight > same.lamplight + 0.5


def test_grams_are_the_drops_by_weight() -> None:
    heavy = Base("white", "white", Tone(Lab(95, 0, 2)), drop_g=0.08)
    found = mix(Reading(Lab(60, 0, 0)), [heavy, Base("black", "black", Tone(Lab(18, 0, 0)))])
    grams = {base.id: each for base, each in found.grams_for(250)}
    assert sum(grams.values()) == pytest.approx(250)
    drops = {base.id: count for base, count in found.used}
    assert grams["white"] / grams["black"] == pytest.approx(drops["white"] * 0.08 / (drops["black"] * 0.05))


def test_a_mix_is_found_at_once() -> None:
    """Bar: 100 ms, the best of three on a shared machine."""
    absorbs, scatters = pigments(np.random.default_rng(6))
    shop = bases(absorbs, scatters, spectral=True, shares=(0.05, 0.3))
    mix(Reading(Lab(38, 18, 22)), shop)
    took = []
    for _ in range(3):
        begun = time.process_time()
        mix(Reading(Lab(38, 18, 22)), shop)
        took.append(time.process_time() - begun)
    assert min(took) < 0.1


def test_bases_in_any_order_make_the_same_law() -> None:
    absorbs, scatters = pigments(np.random.default_rng(6))
    shop = bases(absorbs, scatters, spectral=True, shares=(0.1,))
    there, back = pigments_of(shop), pigments_of(shop[::-1])
    assert back.scatters[::-1] == pytest.approx(there.scatters)
