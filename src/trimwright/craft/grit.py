"""Grits from where a surface is to where it must be: FEPA P grades, no jump by more than a factor of two in grain.

A grain leaves scratches about its own size; a paper with half the grain still takes them out in a few passes.
The factor of two and P800 before a recoat are common practice, no source. Grain sizes: FEPA 43-1 / ISO 6344.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from trimwright.errors import BadInput, Problem
from trimwright.facts.workbench import Grit
from trimwright.worked import Factor, Term, Worked

MOST_JUMP = 2.0
BEFORE_A_RECOAT = "P800"
SOURCE = "FEPA 43-1 / ISO 6344 grain sizes; the factor of two is common practice, no source"


@dataclass(frozen=True, slots=True)
class Jump:
    """From one paper to the next, and how many times its grain is the next one's."""

    start: Grit
    to: Grit
    jump: Worked


def grits_between(start: str, end: str, grits: Mapping[str, Grit]) -> tuple[Jump, ...]:
    """The fewest papers from `start` (its scratches are there) to `end`, the jumps as even as they can be.

    Nothing when the surface is as fine already. BadInput with every grade that is none.

    >>> from trimwright.facts.workbench import load_workbench
    >>> [each.to.id for each in grits_between("P120", "P800", load_workbench().grits)]
    ['P220', 'P360', 'P800']
    """
    problems = [
        Problem(where, grade, "is no FEPA P grade known here.", f"Give one of {', '.join(grits)}.")
        for where, grade in (("from", start), ("to", end))
        if grade not in grits
    ]
    if problems:
        raise BadInput(problems)
    ladder = [each for each in grits.values() if grits[end].um <= each.um <= grits[start].um]
    path = _fewest(tuple(ladder)) if len(ladder) > 1 else ()
    return tuple(_jump(*pair) for pair in pairwise(path))


def grade_of(typed: str) -> str:
    """A grade as it is typed, as the table has it.

    >>> grade_of("p 800"), grade_of("800")
    ('P800', 'P800')
    """
    bare = re.sub(r"\s", "", typed).upper()
    return f"P{bare}" if bare.isdigit() else bare


def _fewest(ladder: Sequence[Grit]) -> Sequence[Grit]:
    """Papers from the first of `ladder` to its last: fewest, then with the smallest largest jump."""

    @cache
    def onward(at: int) -> tuple[int, float, tuple[int, ...]]:
        if at == len(ladder) - 1:
            return 0, 1.0, (at,)
        found = []
        for to in range(at + 1, len(ladder)):
            jump = ladder[at].um / ladder[to].um
            if jump <= MOST_JUMP or to == at + 1:
                papers, worst, way = onward(to)
                found.append((papers + 1, max(worst, jump), (at, *way)))
        return min(found)

    return [ladder[each] for each in onward(0)[2]]


def _jump(start: Grit, to: Grit) -> Jump:
    factors = (Factor(to.um, f"µm of {to.id}", divides=True),)
    return Jump(start, to, Worked("times", (Term(start.um, f"µm of {start.id}", factors),), SOURCE))
