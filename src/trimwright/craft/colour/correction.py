"""From what a camera saw of the card to colours: a curve for each channel from the greys, then root-polynomial terms.

Root terms keep a colour's hue whatever the exposure (Finlayson, Mackiewicz & Hurlbert, IEEE Trans. Image Processing
24 (2015) 1460-1470). Every fit leaves each patch out once; how far it then misses the patches that are like the sample
says how far it may miss the sample.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from trimwright.craft.colour.card import NOMINAL, PATCHES
from trimwright.craft.colour.difference import delta_e00
from trimwright.craft.colour.lab import Array, Lab, Reading, lab_from_xyz, lab_of, linear_srgb, srgb_from_xyz, xyz_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

LEAST_SPREAD = 2.0
"""A photo is never trusted further than this [ΔE2000, 19 times in 20]."""
LEAST_APART = 1.6
"""The difference of two colours in one photo neither."""
UNMEASURED = 10.0
"""What printed patches that nobody measured may be out by: own guess, printers differ."""
_WIDEN = 2.6
_ALIKE = 25.0
"""Patches nearer than this in Lab count as like the sample."""
_DARK = 0.6
_POWERS = (1, 2, 3, 4, 5, 6, 7)
_TURNS = 4


@dataclass(frozen=True, slots=True)
class Correction:
    """A camera in one light, as the card has shown it."""

    curve: Callable[[Array], Array]
    terms: Array
    left_out: Array
    """What each patch is missed by when the fit never saw it [ΔE2000]."""
    known: Array
    """The patches' Lab."""
    measured: bool

    def lab(self, seen: Array) -> Array:
        """Lab of what the camera saw, in 0–1."""
        return lab_from_xyz(np.maximum(roots(self.curve(seen)) @ self.terms, 0))

    def reading(self, seen: Array) -> Reading:
        """The colour of what the camera saw and how far it may be trusted."""
        found = self.lab(seen)
        return Reading(lab_of(found), self.spread(found))

    def spread(self, lab: Array) -> float:
        """How far the true colour may lie from this one, 19 times in 20 [ΔE2000]."""
        near = np.exp(-0.5 * (np.linalg.norm(self.known - lab, axis=1) / _ALIKE) ** 2) + 0.05
        like = float(np.sqrt((near * self.left_out**2).sum() / near.sum()))
        own = max(LEAST_SPREAD, _WIDEN * like)
        return own if self.measured else float(np.hypot(own, UNMEASURED))


def roots(rgb: Array) -> Array:
    """The three and the roots of their products."""
    r, g, b = (np.maximum(rgb[..., at], 0) for at in range(3))
    return np.stack([r, g, b, np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)], axis=-1)


def fitted(seen: Array, measured: Sequence[Lab] | None = None) -> Correction:
    """The correction for a photo whose patches the camera saw as `seen` (31 × 3, sRGB as written, 0–1)."""
    known = np.array([each.array() for each in measured or NOMINAL])
    xyz = xyz_of(known)
    grey = [at for at, each in enumerate(PATCHES) if each.grey]
    curve = _tone_curve(seen[grey], srgb_from_xyz(xyz[grey]))
    levelled = roots(curve(seen))
    weight = 1 / np.maximum(xyz[:, 1:2], 0.005) ** _DARK
    weighed = levelled * weight
    inverse = np.linalg.pinv(weighed)
    terms = inverse @ (xyz * weight)
    # what a linear fit misses a row by when it is left out follows from its own weight in the fit
    own = np.clip((weighed * inverse.T).sum(axis=1), 0, 0.95)
    missed = (levelled @ terms - xyz) / (1 - own)[:, None]
    left_out = delta_e00(lab_from_xyz(np.maximum(xyz + missed, 0)), known)
    return Correction(curve, terms, left_out, known, measured is not None)


def _tone_curve(seen: Array, wanted: Array) -> Callable[[Array], Array]:
    """What light a channel had, from what was written of it: a smooth curve through the greys (n × 3 both).

    A camera bends its three channels by one curve once it has set its white, so that all greys of all channels tell of
    one curve, and a patch whose printer was out pulls little. What white it set, a gain for each channel, is found in
    turn with the curve. The curve is a polynomial in cube roots, black staying black.
    """
    x = _root(linear_srgb(seen))
    powers = np.stack([x.ravel() ** each for each in _POWERS], axis=1)
    gains = np.ones(3)
    for _ in range(_TURNS):
        bend = np.linalg.lstsq(powers, (_root(wanted) * gains).ravel(), rcond=None)[0]
        levelled = (powers @ bend).reshape(x.shape)
        gains = (levelled * _root(wanted)).sum(axis=0) / (_root(wanted) ** 2).sum(axis=0)

    def curve(values: Array) -> Array:
        at = _root(linear_srgb(np.asarray(values)))
        found: Array = np.maximum(np.stack([at**each for each in _POWERS], axis=-1) @ bend, 0)
        return found**3

    return curve


def _root(share: Array) -> Array:
    return np.cbrt(np.maximum(share, 0))
