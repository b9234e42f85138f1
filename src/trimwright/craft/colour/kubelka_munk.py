"""Opaque coats by Kubelka and Munk: absorption K and scatter S of each base, and the reflectance of a mix of them.

K/S = (1 - R)²/2R of a coat nobody sees through; a mix has the mean of K over the mean of S, by mass (P. Kubelka and
F. Munk, 1931; two constants: D. R. Duncan, 1940). Scatter is told in units of the palest base's. A base with no trial
in another one is taken to scatter like it, which is what makes a first guess of such a mix rough. Saunderson's
correction takes the gloss out of a reading (J. L. Saunderson, 1942).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from trimwright.craft.colour.difference import delta_e00
from trimwright.craft.colour.lab import Array
from trimwright.craft.colour.palette import Base, Tone
from trimwright.craft.colour.spectra import DARKEST, LIGHTEST, lab_under, smoothest

Law = Literal["spectra and trials", "spectra alone", "readings and trials", "readings alone"]

K1, K2 = 0.04, 0.6
"""Light thrown back at the face, from outside and from within: usual for a binder of index 1.5; from memory."""
_STRENGTHS = np.geomspace(0.02, 50, 120)
_HOLD = 0.02
"""How far a wavelength keeps to the strength of the whole where its trial says little."""


@dataclass(frozen=True, slots=True)
class Pigments:
    """Absorption and scatter of every base, a row each (n × 31), and by which law they were found."""

    absorbs: Array
    scatters: Array
    law: Law
    glossy: bool = False

    def reflectance(self, amounts: Array) -> Array:
        """Of mixes by mass: amounts (… × n) in any one unit, not all nothing."""
        ratio = (amounts @ self.absorbs) / np.maximum(amounts @ self.scatters, 1e-12)
        inner = reflectance_of(ratio)
        return with_face(inner) if self.glossy else inner


def ratio_of(reflectance: Array) -> Array:
    """K/S of a reflectance.

    >>> float(ratio_of(np.array(0.5))), round(float(ratio_of(np.array(0.2))), 9)
    (0.25, 1.6)
    """
    return (1 - reflectance) ** 2 / (2 * reflectance)


def reflectance_of(ratio: Array) -> Array:
    """The reflectance of a K/S.

    >>> round(float(reflectance_of(np.array(1.0))), 6)
    0.267949
    """
    # one over its twin root: no two large figures are taken from each other where the coat is dark
    found: Array = 1 / (1 + ratio + np.sqrt(ratio**2 + 2 * ratio))
    return found


def with_face(inner: Array) -> Array:
    """What an instrument that takes the gloss in reads of a coat of this inner reflectance."""
    return K1 + (1 - K1) * (1 - K2) * inner / (1 - K2 * inner)


def without_face(read: Array) -> Array:
    """The inner reflectance behind such a reading."""
    inner = (read - K1) / ((1 - K1) * (1 - K2) + K2 * (read - K1))
    return np.clip(inner, DARKEST, LIGHTEST)


def pigments_of(bases: Sequence[Base], *, glossy: bool = False) -> Pigments:
    """K and S of the bases, the palest first in rank as white; `glossy` says the readings have the gloss in them."""
    palest = max(range(len(bases)), key=lambda each: bases[each].tone.lab.lightness)
    absorbs = np.stack([_ratio(each.tone, glossy) for each in bases])
    scatters = np.ones_like(absorbs)
    at = {base.id: place for place, base in enumerate(bases)}
    tried = 0
    for place in sorted(range(len(bases)), key=lambda each: each != palest):
        usable = [each for each in bases[place].tints if each.beside in at]
        if place == palest or not usable:
            continue
        scatters[place] = _scatter(place, bases[place], at, absorbs, scatters, glossy)
        tried += 1
    spectral = all(each.tone.reflectance for each in bases)
    tested = tried >= len(bases) - 1 and len(bases) > 1
    law: Law = (
        ("spectra and trials" if tested else "spectra alone")
        if spectral
        else ("readings and trials" if tested else "readings alone")
    )
    return Pigments(absorbs * scatters, scatters, law, glossy)


def spectrum_of(tone: Tone) -> Array:
    """The reflectance that was read, or the smoothest that has the Lab."""
    return np.array(tone.reflectance if tone.reflectance else smoothest(tone.lab))


def _ratio(tone: Tone, glossy: bool) -> Array:
    read = np.clip(spectrum_of(tone), DARKEST, LIGHTEST)
    return ratio_of(without_face(read) if glossy else read)


def _scatter(place: int, base: Base, at: Mapping[str, int], ratios: Array, scatters: Array, glossy: bool) -> Array:
    """S of a base from its trials: one strength for all, then by wavelength where spectra were read.

    A trial of c in another says q (c S + (1-c) S′) = c K + (1-c) K′ with K = k S, which is one equation for S.
    """
    trials = [each for each in base.tints if each.beside in at]
    strength = _nearest(_STRENGTHS, place, base, at, ratios, scatters, glossy)
    strength = _nearest(strength * np.geomspace(0.93, 1.07, 41), place, base, at, ratios, scatters, glossy)
    if not all(each.tone.reflectance for each in trials):
        return np.full(ratios.shape[1], float(strength))
    over, under = np.full(ratios.shape[1], _HOLD * strength), np.full(ratios.shape[1], _HOLD)
    for trial in trials:
        other, share, found = at[trial.beside], trial.share, _ratio(trial.tone, glossy)
        left = share * (ratios[place] - found)
        right = (1 - share) * scatters[other] * (found - ratios[other])
        scale = (found + share * ratios[place]) ** 2
        over, under = over + left * right / scale, under + left**2 / scale
    scatter: Array = np.clip(over / under, strength / 10, strength * 10)
    return scatter


def _nearest(
    strengths: Array, place: int, base: Base, at: Mapping[str, int], ratios: Array, scatters: Array, glossy: bool
) -> float:
    """The strength whose forecasts of the trials lie nearest to what they read, in CIEDE2000 squared."""
    total = np.zeros(len(strengths))
    for trial in base.tints:
        if trial.beside not in at:
            continue
        other, share = at[trial.beside], trial.share
        held, beside = share * strengths[:, None], (1 - share) * scatters[other]
        inner = reflectance_of((held * ratios[place] + beside * ratios[other]) / (held + beside))
        forecast = lab_under(with_face(inner) if glossy else inner)
        total = total + delta_e00(forecast, trial.tone.lab.array()) ** 2
    return float(strengths[total.argmin()])
