"""Papers between two grades: no jump beyond the factor, and no paper too many."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest

from trimwright.craft.grit import MOST_JUMP, grits_between
from trimwright.errors import BadInput
from trimwright.facts.workbench import load_workbench

GRITS = load_workbench().grits


@pytest.mark.parametrize(("start", "end"), list(combinations(GRITS, 2)))
def test_no_jump_is_too_wide_and_no_paper_too_many(start: str, end: str) -> None:
    way = grits_between(start, end, GRITS)
    assert all(each.jump.value <= MOST_JUMP for each in way)
    assert (way[0].start.id, way[-1].to.id) == (start, end)
    assert all(one.to == next_one.start for one, next_one in pairwise(way))
    between = [each for each in GRITS.values() if GRITS[end].um < each.um < GRITS[start].um]
    if len(way) > 1:  # one paper fewer can't do it
        for papers in combinations(between, len(way) - 2):
            sizes = [GRITS[start].um, *(each.um for each in papers), GRITS[end].um]
            assert max(coarse / fine for coarse, fine in pairwise(sizes)) > MOST_JUMP


def test_a_surface_that_is_fine_enough_needs_none() -> None:
    assert grits_between("P800", "P800", GRITS) == ()
    assert grits_between("P1000", "P800", GRITS) == ()


def test_both_slips_are_named() -> None:
    with pytest.raises(BadInput) as refused:
        grits_between("P7", "800F", GRITS)
    assert [each.where for each in refused.value.problems] == ["from", "to"]
