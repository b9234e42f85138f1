"""Torque of a bolt by its size, property class and thread, where no book says it: T = K · d · F.

A general figure and no more: at a given torque the tension scatters by about a third either way. Never for what holds
people. Stress areas and proof stresses: ISO 898-1, for M4 to M16 in coarse and fine pitch. Torque coefficients K are
facts, each with its source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import pi

from trimwright import units
from trimwright.craft.answer import Against
from trimwright.errors import BadInput, Problem
from trimwright.facts.fixings import Grade
from trimwright.facts.workbench import ThreadState, load_workbench
from trimwright.units import MAX_TORQUE_NM
from trimwright.worked import Factor, Term, Worked, rounded_down

PROOF_MPA: dict[Grade, int] = {"5.8": 380, "8.8": 580, "10.9": 830, "12.9": 970}
"""Stress under proof load [MPa] up to M16. Source: ISO 898-1, read in a secondary source."""
COARSE_MM: dict[int, float] = {4: 0.7, 5: 0.8, 6: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2, 16: 2}
"""Coarse pitch [mm] by nominal diameter [mm], the diameters this module knows."""
SHARE_OF_PROOF = 0.75
"""Of the proof load, what a joint that is opened again is tightened to. Source: a bolted-joint engineer's
article of 2020, and its worked example."""
SOURCE = "T = K · d · F, proof load of ISO 898-1"
USUAL_STATE = "plated"
"""How the threads of cabin fixings usually are."""


@dataclass(frozen=True, slots=True)
class Thread:
    """A metric thread [mm].

    >>> Thread(8, 1.25).stress_area_mm2.__round__(1)
    36.6
    """

    diameter_mm: int
    pitch_mm: float

    @property
    def stress_area_mm2(self) -> float:
        """The nominal stress area, π/4 · (d − 0.9382 P)² (ISO 898-1)."""
        return pi / 4 * (self.diameter_mm - 0.9382 * self.pitch_mm) ** 2


def thread_of(named: str) -> Thread | None:
    """The thread of a name, coarse where no pitch is said; None for one outside M4 to M16.

    >>> thread_of("M8"), thread_of("M10x1.25"), thread_of("M3")
    (Thread(diameter_mm=8, pitch_mm=1.25), Thread(diameter_mm=10, pitch_mm=1.25), None)
    """
    found = re.fullmatch(r"M(\d{1,2})(?:x(\d(?:\.\d{1,2})?))?", named, re.ASCII)
    diameter = int(found[1]) if found else 0
    if found is None or diameter not in COARSE_MM:
        return None
    pitch = float(found[2]) if found[2] else COARSE_MM[diameter]
    return Thread(diameter, pitch) if 0 < pitch <= COARSE_MM[diameter] else None


def proof_load_n(thread: Thread, grade: Grade) -> float:
    """The proof load [N]: stress area times proof stress.

    >>> round(proof_load_n(Thread(8, 1.25), "8.8"), -2)
    21200.0
    """
    return thread.stress_area_mm2 * PROOF_MPA[grade]


def torque_nm(k: float, diameter_m: float, preload_n: float) -> float:
    """T = K · d · F [N·m].

    >>> round(torque_nm(0.2, 0.008, 16000), 1)
    25.6
    """
    return k * diameter_m * preload_n


def general_torque(thread: Thread, grade: Grade, state: ThreadState | None = None) -> Worked:
    """The general torque [N·m] of a bolt by the state of its thread, plated when nothing is said, with its working.

    >>> round(general_torque(Thread(8, 1.25), "8.8").value, 1)
    21.7
    """
    state = state or load_workbench().bolt_threads[USUAL_STATE]
    low, usual, _ = state.k
    share = min(SHARE_OF_PROOF, low / usual)  # so that the most slippery thread still stays inside the proof load
    preload = share * proof_load_n(thread, grade)
    factors = (Factor(thread.diameter_mm / 1000, "m"), Factor(rounded_down(preload), "N"))
    return Worked("N·m", (Term(state.k[1], "", factors),), SOURCE)


# ---- what a torque does ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Tightening:
    """A bolt tightened by a wrench: the torque, the tension it may bring, and the proof load it is held against."""

    torque: Worked
    """[N·m]."""
    is_general: bool
    """Whether the torque is the general figure, and not one that was given."""
    preload: tuple[Worked, Worked, Worked]
    """Lowest, typical and highest tension [N], by the range of K."""
    proof: Worked
    """Proof load [N]."""
    limits: tuple[Against, ...]
    same_tension: tuple[tuple[ThreadState, Worked], ...]
    """The torque [N·m] that brings the typical tension in every state of the thread."""


def tightening(thread: Thread, grade: Grade, state: ThreadState, newton_metres: float | None = None) -> Tightening:
    """What `newton_metres` on this bolt does; without them, the general figure for this state of the thread.

    >>> oiled = load_workbench().bolt_threads["oiled"]
    >>> found = tightening(Thread(8, 1.25), "8.8", oiled, 25)
    >>> [round(each.value, -2) for each in found.preload], [each.holds for each in found.limits]
    ([12000.0, 20800.0, 31200.0], [False])
    """
    if newton_metres is not None and not 0 < newton_metres <= MAX_TORQUE_NM:
        what = f"is not between 0 and {MAX_TORQUE_NM} N·m."
        raise BadInput(Problem("torque", f"{newton_metres:g} N·m", what, "Check the figure and the unit."))
    general = general_torque(thread, grade, state)
    torque = Worked("N·m", (Term(newton_metres, "N·m"),), "as given") if newton_metres is not None else general
    low, likely, high = (_preload(torque.value, k, thread) for k in reversed(state.k))
    proof = Worked("N", (Term(thread.stress_area_mm2, "mm²", (Factor(PROOF_MPA[grade], "MPa"),)),), "ISO 898-1")
    return Tightening(
        torque=torque,
        is_general=newton_metres is None,
        preload=(low, likely, high),
        proof=proof,
        limits=(Against("highest tension, against the proof load", high, proof.value, "N", "ISO 898-1"),),
        same_tension=tuple(
            (each, _torque(each.k[1], thread, likely.value)) for each in load_workbench().bolt_threads.values()
        ),
    )


def in_every_unit(newton_metres: float) -> tuple[Worked, ...]:
    """A torque in every unit a wrench may be marked in, by NIST SP 811.

    >>> [f"{each.value:.1f} {each.unit}" for each in in_every_unit(46)]
    ['46.0 N·m', '33.9 lbf·ft', '407.1 lbf·in', '4.7 kgf·m']
    """
    return tuple(
        Worked(
            unit,
            (Term(newton_metres, "N·m", (Factor(float(units.convert(1, unit, "N·m")), f"N·m per {unit}", True),)),)
            if unit != "N·m"
            else (Term(newton_metres, "N·m"),),
            "NIST SP 811 (2008), appendix B.8",
        )
        for unit in ("N·m", "lbf·ft", "lbf·in", "kgf·m")
    )


def _preload(newton_metres: float, k: float, thread: Thread) -> Worked:
    factors = (Factor(k, "K", divides=True), Factor(thread.diameter_mm / 1000, "m", divides=True))
    return Worked("N", (Term(newton_metres, "N·m", factors),), "F = T ÷ (K · d)")


def _torque(k: float, thread: Thread, preload_n: float) -> Worked:
    factors = (Factor(thread.diameter_mm / 1000, "m"), Factor(round(preload_n), "N"))
    return Worked("N·m", (Term(k, "", factors),), "T = K · d · F")
