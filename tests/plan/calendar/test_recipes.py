"""A course cut into pieces: nothing lost, nothing parted that may not be left, nothing longer than a day."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.plan.calendar.shops import TRADE
from trimwright.errors import BadInput
from trimwright.facts.trade import Treatment
from trimwright.plan.calendar.recipes import LONG_PIECE, Piece, blocks, pieces_of, shared_out, strokes

TREATMENTS = tuple(TRADE.treatments.values())


def cut(treatment: Treatment, minutes: int, day: int = 240) -> tuple[Piece, ...]:
    return pieces_of(treatment, minutes, "a part", day, day)


@given(st.sampled_from(TREATMENTS), st.integers(1, 600), st.integers(150, 480))
def test_every_minute_and_every_wait_is_in_a_piece(treatment: Treatment, minutes: int, day: int) -> None:
    try:
        pieces = cut(treatment, minutes, day)
    except BadInput:
        assume(False)
        raise
    assert sum(piece.minutes for piece in pieces) == minutes
    waits = [wait for piece in pieces for wait in piece.waits]
    assert waits == [step.wait for step in treatment.steps for _ in range(step.times) if step.wait is not None]
    assert len({piece.key for piece in pieces}) == len(pieces)
    assert all(piece.minutes <= day for piece in pieces)


@pytest.mark.parametrize("treatment", TREATMENTS, ids=lambda each: each.id)
def test_two_hours_of_anything_fit_into_days_of_four(treatment: Treatment) -> None:
    assert all(piece.minutes <= LONG_PIECE for piece in cut(treatment, 120))


def test_coats_stand_apart_and_flash_between() -> None:
    """Common practice: a coat flashes before the next goes on."""
    coats = [piece for piece in cut(TRADE.treatments["leather_recolour"], 150) if piece.step == 3]
    assert len(coats) == TRADE.treatments["leather_recolour"].coats
    assert [piece.waits[0].name for piece in coats] == ["flash"] * len(coats)


def test_a_seam_is_put_down_and_a_wet_face_is_not() -> None:
    long = cut(TRADE.treatments["leather_recover"], 1200, 480)
    sewing = [piece for piece in long if piece.step == 7]
    assert len(sewing) > 1
    assert max(piece.minutes for piece in sewing) <= LONG_PIECE
    glue = next(
        piece for piece in cut(TRADE.treatments["headliner_recover"], 300) if piece.waits and piece.air == "dew"
    )
    assert glue.waits[0].closes


def test_what_cannot_be_left_and_fits_into_no_day_is_told_with_the_way_out() -> None:
    with pytest.raises(BadInput) as refused:
        pieces_of(TRADE.treatments["headliner_recover"], 900, "Headliner", 60, 90)
    [problem, *_] = refused.value.problems
    assert problem.where == "Headliner"
    assert "glue both" in problem.value
    assert "time › week" in problem.way_out


@given(st.sampled_from(TREATMENTS), st.integers(10, 300), st.integers(150, 480))
def test_what_is_made_while_a_window_is_open_fits_into_the_day_that_opened_it(
    treatment: Treatment, minutes: int, day: int
) -> None:
    """As long as each step by itself leaves room for it; what no day has room for is refused."""
    try:
        pieces = cut(treatment, minutes, day)
    except BadInput:
        assert max(sum(each.minutes for each in block) for block in blocks(strokes(treatment, minutes))) > day
        return
    for before, after in pairwise(pieces):
        if before.closes:
            waited = before.waits[0].hours[1] * 60
            first = next(step for number, step in enumerate(treatment.steps, 1) if number == after.step)
            alone = minutes * first.share / first.times + 1
            assert before.minutes + waited + after.minutes <= max(day, before.minutes + waited + alone)


@given(st.integers(0, 5000), st.lists(st.floats(0, 100), min_size=1, max_size=30))
def test_shares_add_up(total: int, weights: list[float]) -> None:
    shares = shared_out(total, weights)
    assert sum(shares) == total
    assert min(shares) >= 0
