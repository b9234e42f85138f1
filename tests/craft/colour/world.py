"""Synthetic pigments that obey two constants, cameras and lights: what the colour engine is tried on.

Lights and the camera's measured curves come from colour-science; pigments, tone curves and cards are invented.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import colour
import numpy as np

from trimwright.craft.colour.card import PATCHES
from trimwright.craft.colour.kubelka_munk import reflectance_of
from trimwright.craft.colour.lab import Array, Reading, lab_of
from trimwright.craft.colour.mixing import mix
from trimwright.craft.colour.palette import Base, Tint, Tone
from trimwright.craft.colour.spectra import WAVELENGTHS, lab_under, smoothest

NAMES = ("white", "black", "ochre", "red", "blue", "yellow")
NM = np.array(WAVELENGTHS, dtype=float)
SHAPE = colour.SpectralShape(400, 700, 10)
LIGHTS = ("A", "D50", "D65", "D55", "D75", "FL2", "FL11", "LED-B3", "LED-B5")


def pigments(rng: np.random.Generator) -> tuple[Array, Array]:
    """K and S of six pigments, a row each."""

    def above(edge: float, width: float) -> Array:
        return 1 / (1 + np.exp((NM - edge) / width))

    absorbs = [
        0.008 + 0.08 * above(415, 8),
        np.full(31, rng.uniform(4, 9)),
        0.05 + rng.uniform(1, 3) * above(rng.uniform(520, 550), 22),
        0.05 + rng.uniform(3, 7) * above(rng.uniform(580, 605), 12),
        0.05 + rng.uniform(3, 6) * np.exp(-(((NM - 610) / 70) ** 2)),
        0.03 + rng.uniform(2, 5) * above(rng.uniform(490, 505), 12),
    ]
    scatters = [
        np.ones(31),
        np.full(31, rng.uniform(0.04, 0.16)),
        rng.uniform(0.3, 0.7) * (NM / 550) ** -0.5,
        rng.uniform(0.2, 0.6) * (NM / 550) ** 0.3,
        np.full(31, rng.uniform(0.1, 0.4)),
        np.full(31, rng.uniform(0.3, 0.7)),
    ]
    return np.stack(absorbs), np.stack(scatters)


def coat(absorbs: Array, scatters: Array, amounts: Array) -> Array:
    ratio: Array = (amounts @ absorbs) / (amounts @ scatters)
    return reflectance_of(ratio)


def tone(reflectance: Array, *, spectral: bool) -> Tone:
    return Tone(lab_of(lab_under(reflectance)), tuple(map(float, reflectance)) if spectral else None)


def bases(absorbs: Array, scatters: Array, *, spectral: bool, shares: tuple[float, ...]) -> list[Base]:
    """The pigments as a shop has read them, each with trials of these shares in white."""
    whole = np.eye(len(NAMES))
    return [
        Base(
            name,
            name,
            tone(coat(absorbs, scatters, whole[at]), spectral=spectral),
            tuple(
                Tint(
                    share,
                    "white",
                    tone(coat(absorbs, scatters, share * whole[at] + (1 - share) * whole[0]), spectral=spectral),
                )
                for share in (shares if at else ())
            ),
        )
        for at, name in enumerate(NAMES)
    ]


def three(rng: np.random.Generator) -> Array:
    """Shares of three pigments of the six."""
    amounts = np.zeros(len(NAMES))
    amounts[rng.choice(len(NAMES), 3, replace=False)] = rng.dirichlet([1, 1, 1])
    return amounts


def leathers(rng: np.random.Generator, count: int) -> Array:
    """Reflectances of random coats of random pigments: browns, tans, reds, greys, blues."""
    return np.stack([coat(*pigments(rng), three(rng)) for _ in range(count)])


@cache
def sensor() -> Array:
    """A measured camera (31 × 3)."""
    curves = colour.MSDS_CAMERA_SENSITIVITIES["Nikon 5100 (NPL)"].copy().align(SHAPE).values
    return np.asarray(curves, dtype=float)


@cache
def light(name: str) -> Array:
    return np.asarray(colour.SDS_ILLUMINANTS[name].copy().align(SHAPE).values, dtype=float)


@cache
def printed() -> Array:
    """The card in inks, that is in pigments mixed to its patches as near as they come (31 × 31)."""
    absorbs, scatters = pigments(np.random.default_rng(4))
    inks = bases(absorbs, scatters, spectral=True, shares=(0.1,))
    drops = [mix(Reading(each.lab), inks, drops=200).drops for each in PATCHES]
    return np.stack([coat(absorbs, scatters, np.array(each, dtype=float)) for each in drops])


@cache
def smoothly_printed() -> Array:
    """The card in the smoothest reflectances there are, which no ink has."""
    return np.array([smoothest(each.lab) for each in PATCHES])


def wobble(rng: np.random.Generator, count: int, size: float) -> Array:
    """Smooth factors about 1, a row each."""
    knots = rng.normal(0, size, (count, 6))
    return np.asarray(
        np.exp(np.stack([np.interp(np.arange(31), np.linspace(0, 30, 6), each) for each in knots])), dtype=float
    )


def camera(
    rng: np.random.Generator,
    light_name: str,
    *,
    bend: float = 0.0,
    strong: float = 1.0,
    other: float = 0.0,
    noise: float = 0.0,
    exposure: float = 0.85,
) -> Callable[..., Array]:
    """What a camera writes (0–1) of reflectances: white set on the light, a tone curve, stronger colours, noise."""
    sees = sensor() * wobble(rng, 3, other).T * light(light_name)[:, None]
    white = 0.9 * sees.sum(axis=0)

    def written(reflectance: Array, level: Array | float = 1.0) -> Array:
        linear = np.clip(reflectance @ sees / white * exposure * level, 0, 1)
        code = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
        code = code - 0.06 * bend * np.sin(2 * np.pi * (code - 0.5))
        grey = code.mean(axis=-1, keepdims=True)
        code = grey + (code - grey) * strong
        return np.asarray(np.clip(code + rng.normal(0, noise, code.shape), 0, 1))

    return written
