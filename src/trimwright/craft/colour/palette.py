"""The shop's base colours and the mixes it has kept, as the engine takes them."""

from __future__ import annotations

from dataclasses import dataclass

from trimwright.craft.colour.lab import Lab

USUAL_DROP_G = 0.05
"""One drop of a water-thinned colour, twenty to the millilitre [g]: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Tone:
    """A dried coat as it was read: Lab under D65, and its reflectance (31 shares from 400 nm) where that was read."""

    lab: Lab
    reflectance: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class Tint:
    """A trial of a base in another one: its share of the mass, and how the dried coat read."""

    share: float
    beside: str
    tone: Tone


@dataclass(frozen=True, slots=True)
class Base:
    """A base colour: how it reads by itself, and the trials that say how strong it is."""

    id: str
    name: str
    tone: Tone
    tints: tuple[Tint, ...] = ()
    drop_g: float = USUAL_DROP_G


@dataclass(frozen=True, slots=True)
class KeptMix:
    """A mix of an earlier job: what it was to look like, what it was made of, how its swatch read if it was read."""

    id: str
    name: str
    target: Lab
    drops: tuple[tuple[str, int], ...]
    swatch: Lab | None = None


@dataclass(frozen=True, slots=True)
class Palette:
    """All that a shop mixes from."""

    bases: tuple[Base, ...] = ()
    mixes: tuple[KeptMix, ...] = ()
