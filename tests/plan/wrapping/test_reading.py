"""What is typed of a wheel: read with every slip told, and told back so that it reads the same."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimwright.craft.asking import Ask
from trimwright.errors import BadInput
from trimwright.job.wheel import GripAt, SpokeAt, Wheel
from trimwright.plan.wrapping.reading import ASKS, entries, line_of, typed_of, wheel_of

MM = st.integers(10, 40).map(float)
PLACE = st.integers(0, 359).map(float)


@given(
    st.builds(
        Wheel,
        outside=st.integers(350, 420).map(float),
        grips=st.lists(st.builds(GripAt, at=PLACE, grip=MM), min_size=1, max_size=4).map(tuple),
        spokes=st.lists(st.builds(SpokeAt, at=PLACE, wide=MM, thick=MM), max_size=4).map(tuple),
        joins=st.lists(PLACE, max_size=3).map(tuple),
        leather=st.sampled_from([0.8, 1.2, 1.4]),
        strip_along=st.sampled_from([None, 104.5]),
        halves=st.booleans(),
        lacing=st.sampled_from(["v", "ladder", "herring-bone"]),
        fit=st.sampled_from(["even", "edges"]),
        tuck=st.sampled_from([0.0, 4.0]),
    )
)
def test_a_wheel_told_as_it_is_typed_reads_the_same(wheel: Wheel) -> None:
    one_away_from_12 = len(wheel.grips) == 1 and wheel.grips[0].at != 0
    read = wheel_of(entries(typed_of(wheel)))
    assert read == (
        wheel.model_copy(update={"grips": (GripAt(grip=wheel.grips[0].grip),)}) if one_away_from_12 else wheel
    )


def test_every_line_has_a_reader_and_what_is_usual_reads_as_the_wheel_has_it() -> None:
    plain = wheel_of({"outside": ["385"], "grips": ["94"]})
    for each in ASKS:
        if each.usual:
            assert wheel_of({"outside": ["385"], "grips": ["94"], each.name: [each.usual]}) == plain


def test_all_slips_are_told_each_at_its_line() -> None:
    with pytest.raises(BadInput) as refused:
        wheel_of({"spokes": ["90:32", "180=40x14"], "halves": ["perhaps"], "tuck": ["soft"]})
    assert {each.where for each in refused.value.problems} == {"spokes", "halves", "tuck", "outside", "grips"}


def test_lengths_may_be_inches() -> None:
    """1 in = 25.4 mm, by definition."""
    assert wheel_of({"outside": ["15 in"], "grips": ["94"]}).outside == pytest.approx(381.0)


@pytest.mark.parametrize("ask", ASKS, ids=lambda each: each.name)
def test_a_refusal_by_the_line_s_own_name_stands_at_it(ask: Ask) -> None:
    assert line_of(ask.name) == ask.name
