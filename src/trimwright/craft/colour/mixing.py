"""A mix of the shop's bases for a colour: whole drops for a trial pot, and what to add after its swatch was read.

Drops are sought directly, whole from the start: moving one, two, four … of them from a bottle to another as long as
the forecast comes nearer. What is forecast is a dried, opaque coat; gloss, dry-down and a base that bleeds are not.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from trimwright.craft.colour.difference import delta_e00
from trimwright.craft.colour.kubelka_munk import Law, Pigments, pigments_of, ratio_of, reflectance_of, spectrum_of
from trimwright.craft.colour.lab import Array, Lab, Reading, lab_of
from trimwright.craft.colour.palette import Base, Tone
from trimwright.craft.colour.spectra import lab_under

Cost = Callable[[Array], Any]
"""What drops (… × n) cost, a figure for each row."""

USUAL_DROPS = 100
LAW_SPREAD: Mapping[Law, float] = MappingProxyType({
    "spectra and trials": 1.5, "spectra alone": 30.0, "readings and trials": 4.0, "readings alone": 30.0,
})  # fmt: skip
"""How far a first swatch lies from its forecast, 19 times in 20 [ΔE2000]: from synthetic two-constant colours."""
DROP_SCATTER = 0.05
"""One standard deviation of a drop's size: own guess."""
LAMP_WARNING = 1.0
"""A pair that parts by more than this under lamplight is warned of [ΔE2000]: own guess."""
WORTH_ADDING = 0.3
"""A step that brings less than this is not worth the risk of overshooting [ΔE2000]: own guess."""
_BOTTLE = 0.06
"""What a further bottle must bring to be opened [ΔE2000]."""
_STARTS, _SCATTERED = 6, 3000


@dataclass(frozen=True, slots=True)
class Mixed:
    """Drops of each base, what they are forecast to look like, and how far that lies from the colour wanted."""

    target: Reading
    bases: tuple[Base, ...]
    drops: tuple[int, ...]
    forecast: Lab
    delta_e: float
    spread: float
    """How far the first swatch may lie from the forecast, 19 times in 20, the target's own doubt in it [ΔE2000]."""
    lamplight: float
    """The difference under lamplight (A); a guess where the wanted colour has no spectrum [ΔE2000]."""
    law: Law

    @property
    def used(self) -> tuple[tuple[Base, int], ...]:
        """The bottles to open, most drops first."""
        held = [(base, count) for base, count in zip(self.bases, self.drops, strict=True) if count]
        return tuple(sorted(held, key=lambda each: -each[1]))

    @property
    def grams(self) -> float:
        """What the drops weigh together."""
        return sum(base.drop_g * count for base, count in self.used)

    def grams_for(self, batch_g: float) -> tuple[tuple[Base, float], ...]:
        """Grams of each base in a batch."""
        return tuple((base, batch_g * base.drop_g * count / self.grams) for base, count in self.used)


@dataclass(frozen=True, slots=True)
class Step:
    """What to add to a pot, what the swatch lies off now, and what it should lie off then [ΔE2000]."""

    add: tuple[tuple[Base, int], ...]
    now: float
    then: float


def mix(
    target: Reading, bases: Sequence[Base], *, tone: Tone | None = None, drops: int = USUAL_DROPS, glossy: bool = False
) -> Mixed:
    """The drops that come nearest to `target`; `tone` has its spectrum where one was read. At least one base."""
    pigments = pigments_of(bases, glossy=glossy)
    weigh = np.array([each.drop_g for each in bases])
    wanted_spectrum = spectrum_of(tone or Tone(target.lab))
    wanted, lamp = target.lab.array(), lab_under(wanted_spectrum, "A")
    lamp_weight = 0.3 if tone and tone.reflectance else 0.1

    def cost(counts: Array) -> Any:
        reflectance = pigments.reflectance(counts * weigh)
        there = delta_e00(lab_under(reflectance), wanted)
        under_lamp = delta_e00(lab_under(reflectance, "A"), lamp)
        return there + lamp_weight * under_lamp + _BOTTLE * (counts > 0).sum(axis=-1)

    best = min((_descend(start, cost) for start in _starts(len(bases), drops, cost)), key=lambda each: each[1])[0]
    reflectance = pigments.reflectance(best * weigh)
    forecast = lab_under(reflectance)
    return Mixed(
        target,
        tuple(bases),
        tuple(int(each) for each in best),
        lab_of(forecast),
        float(delta_e00(forecast, wanted)),
        float(np.hypot(np.hypot(LAW_SPREAD[pigments.law], target.spread), _by_drops(best, weigh, pigments))),
        float(delta_e00(lab_under(reflectance, "A"), lamp)),
        pigments.law,
    )


def _starts(count: int, drops: int, cost: Cost) -> list[Array]:
    """Whole drops scattered over all mixes, bright and muddy alike; the cheapest of them."""
    rng = np.random.default_rng(1)
    shares = rng.dirichlet(np.full(count, 0.5), _SCATTERED)
    scattered = np.floor(shares * drops)
    scattered[np.arange(_SCATTERED), shares.argmax(axis=1)] += drops - scattered.sum(axis=1)
    return list(scattered[np.argsort(cost(scattered), kind="stable")[:_STARTS]])


def _descend(start: Array, cost: Cost) -> tuple[Array, float]:
    """Move drops from one bottle to another as long as that is cheaper."""
    count = len(start)
    moves = np.array([
        step * (np.eye(count)[to] - np.eye(count)[of])
        for step in (1, 2, 4, 8, 16)
        for of in range(count)
        for to in range(count)
        if of != to
    ])  # fmt: skip
    best, least = start, float(cost(start))
    while len(moves):
        tried = best + moves
        tried = tried[(tried >= 0).all(axis=1)]
        if not len(tried):
            break
        costs = cost(tried)
        at = int(costs.argmin())
        if costs[at] >= least - 1e-9:
            break
        best, least = tried[at], float(costs[at])
    return best, least


def _by_drops(drops: Array, weigh: Array, pigments: Pigments) -> float:
    """What unequal drops do to the colour, 19 times in 20: each bottle's own 2 %, and every drop's scatter."""
    rng = np.random.default_rng(2)
    scatter = np.hypot(0.02, DROP_SCATTER / np.sqrt(np.maximum(drops, 1)))
    amounts = drops * weigh * (1 + scatter * rng.standard_normal((200, len(drops))))
    found = delta_e00(
        lab_under(pigments.reflectance(np.maximum(amounts, 0))), lab_under(pigments.reflectance(drops * weigh))
    )
    return float(np.quantile(found, 0.95))


def next_step(target: Lab, swatch: Lab, bases: Sequence[Base], drops: Sequence[int], *, glossy: bool = False) -> Step:
    """What to add to a pot of `drops` whose dried swatch read `swatch`; nothing where no step is worth it.

    The model is taken to miss by the same factor of K/S after the step as before it, so that only what it says of the
    change counts. Drops only ever go in.
    """
    pigments = pigments_of(bases, glossy=glossy)
    weigh = np.array([each.drop_g for each in bases])
    there = np.array(drops, dtype=float)
    off = ratio_of(spectrum_of(Tone(swatch))) / ratio_of(pigments.reflectance(there * weigh))
    wanted = target.array()

    def forecast(more: Array) -> Array:
        return lab_under(reflectance_of(ratio_of(pigments.reflectance((there + more) * weigh)) * off))

    def cost(more: Array) -> Any:
        return delta_e00(forecast(more), wanted) + 0.01 * more.sum(axis=-1) + _BOTTLE * (more > 0).sum(axis=-1)

    more = _add(len(bases), int(there.sum()), cost)
    now = float(delta_e00(swatch.array(), wanted))
    then = float(delta_e00(forecast(more), wanted))
    if now - then < WORTH_ADDING:
        return Step((), now, now)
    return Step(tuple((base, int(count)) for base, count in zip(bases, more, strict=True) if count), now, then)


def _add(count: int, held: int, cost: Cost) -> Array:
    """The cheapest drops to add, at most as many as are in the pot."""
    each = np.eye(count)
    swaps = [
        step * (each[to] - each[of]) for step in (1, 2, 4) for of in range(count) for to in range(count) if of != to
    ]
    moves = np.array([*(sign * step * row for step in (1, 2, 4, 8, 16) for sign in (1, -1) for row in each), *swaps])
    best: Array = np.zeros(count)
    least = float(cost(best))
    while True:
        tried = best + moves
        tried = tried[(tried >= 0).all(axis=1) & (tried.sum(axis=1) <= held)]
        costs = cost(tried)
        at = int(costs.argmin()) if len(tried) else 0
        if not len(tried) or costs[at] >= least - 1e-9:
            return best
        best, least = tried[at], float(costs[at])
