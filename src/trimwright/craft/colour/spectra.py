"""Reflectance from 400 to 700 nm in steps of 10: the colour it has under daylight and lamplight, and how to guess one.

`observer.csv` has the CIE 1931 2° observer and the illuminants D65 and A (ISO/CIE 11664-1 and -2). A colour that was
only read as Lab gets the smoothest reflectance that has it: least change of slope of atanh, after S. A. Burns,
Color Research & Application 45 (2020) 258-270. There are others, and a pigment may have one of those.
"""

from __future__ import annotations

import csv
import io
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np

from trimwright.craft.colour.lab import Array, Lab, lab_from_xyz, lab_of, xyz_of
from trimwright.errors import BadInput, Problem

Light = Literal["D65", "A"]
LIGHTS: tuple[Light, Light] = ("D65", "A")
WAVELENGTHS = tuple(range(400, 701, 10))
DARKEST, LIGHTEST = 0.001, 0.999
_ROUNDS = 60


@cache
def _observer() -> dict[str, Array]:
    text = files("trimwright.craft.colour").joinpath("observer.csv").read_text(encoding="ascii")
    rows = list(csv.DictReader(io.StringIO(text)))
    return {name: np.array([float(row[name]) for row in rows]) for name in rows[0]}


@cache
def weights(light: Light) -> Array:
    """XYZ = reflectance @ weights; a perfect white has Y = 1."""
    table = _observer()
    seen = np.stack([table["x_bar"], table["y_bar"], table["z_bar"]], axis=1) * table[light][:, None]
    weighed: Array = seen / seen[:, 1].sum()
    return weighed


@cache
def white_of(light: Light) -> Array:
    """XYZ of a perfect white in this table, so that it is neutral to the last digit."""
    white: Array = weights(light).sum(axis=0)
    return white


def lab_under(reflectance: Array, light: Light = "D65") -> Array:
    """CIELAB of reflectances, the white of that light as their white."""
    return lab_from_xyz(reflectance @ weights(light), white_of(light))


@cache
def smoothest(lab: Lab) -> tuple[float, ...]:
    """The smoothest reflectance that reads so under D65.

    >>> round(float(np.linalg.norm(lab_under(np.array(smoothest(Lab(40, 20, 25)))) - np.array([40, 20, 25]))), 4)
    0.0
    """
    # the white of the table differs from the standard's in the last digits; scaled, the Lab stays what it was read as
    goal = xyz_of(lab.array()) / xyz_of(np.array([100.0, 0, 0])) * white_of("D65")
    size = len(WAVELENGTHS)
    bend = np.diff(np.eye(size), axis=0)
    stiff = 2 * bend.T @ bend
    seen = weights("D65")
    z, pull = np.zeros(size), np.zeros(3)
    for _ in range(_ROUNDS):
        share = np.tanh(z)
        slope = (1 - share**2) / 2
        first = stiff @ z + slope * (seen @ pull)
        missing = seen.T @ ((share + 1) / 2) - goal
        if max(np.abs(first).max(), np.abs(missing).max()) < 1e-10:
            break
        top = stiff + np.diag(-2 * slope * share * (seen @ pull))
        link = slope[:, None] * seen
        system = np.block([[top, link], [link.T, np.zeros((3, 3))]])
        step = np.linalg.lstsq(system, -np.concatenate([first, missing]), rcond=None)[0]
        z = z + step[:size] * min(1.0, 2 / max(1e-9, float(np.abs(step[:size]).max())))
        pull = pull + step[size:]
    found = np.clip((np.tanh(z) + 1) / 2, DARKEST, LIGHTEST)
    return tuple(float(each) for each in found)


def read_spectrum(source: str, where: str) -> tuple[float, ...]:
    """Reflectances from a table of wavelength and reflectance, one pair a line, as shares or per cent, any step.

    BadInput with every line that is no pair, and when 400 to 700 nm are not covered at most 20 nm apart.
    """
    pairs: list[tuple[float, float]] = []
    problems: list[Problem] = []
    for number, row in enumerate(source.replace(";", ",").replace("\t", ",").splitlines(), start=1):
        cells = [each.strip() for each in row.split(",") if each.strip()]
        if not cells or (number == 1 and not cells[0][0].isdigit()):
            continue
        try:
            nm, share = (float(each) for each in cells)
            pairs.append((nm, share))
        except ValueError:
            problems.append(Problem(f"{where} line {number}", row, "is no pair of figures.", "Write 400, 0.052."))
    if problems:
        raise BadInput(problems)
    if not pairs:
        raise BadInput(Problem(where, "", "holds no figures.", "One line a wavelength: 400, 0.052."))
    nm, share = np.array(sorted(pairs)).T
    if nm[0] > 400 or nm[-1] < 700 or np.diff(nm).max() > 20:
        way_out = "It must run from 400 to 700 nm, a figure every 20 nm or closer."
        raise BadInput(Problem(where, f"{nm[0]:g} to {nm[-1]:g} nm", "does not cover what the eye sees.", way_out))
    share = share / 100 if share.max() > 1.5 else share
    if share.min() < 0 or share.max() > 1.2:
        raise BadInput(Problem(where, f"{share.min():g} to {share.max():g}", "is no reflectance.", "Write 0 to 1."))
    return tuple(float(each) for each in np.clip(np.interp(WAVELENGTHS, nm, share), DARKEST, LIGHTEST))


def lab_of_spectrum(reflectance: tuple[float, ...], light: Light = "D65") -> Lab:
    """The colour a reflectance has under a light."""
    return lab_of(lab_under(np.array(reflectance), light))
