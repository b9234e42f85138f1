"""A wheel's own measures in place of the rule of thumb: which was used is said, and the plan follows."""

from __future__ import annotations

from typing import Any

import pytest

from tests.plan.quantities.cabins import job_of, part
from trimwright.errors import BadInput
from trimwright.facts import load
from trimwright.job.wheel import Wheel
from trimwright.plan.quantities.cabin import Course
from trimwright.plan.quantities.measure import measure
from trimwright.plan.quantities.wheel import LEATHER, OFFCUT, SOURCE, THREAD, wrap_minutes, wrap_of

WHEEL = {"outside": 400.0, "grips": [{"at": 0.0, "grip": 94.24778}], "lacing": "ladder"}


def rewrapped(**more: Any) -> Course:
    job = job_of(part("wheel_rim_leather", "rim-leather", 3, "W_worn heavy", **more))
    options = measure(job, load()).parts[0].courses
    return next(each for each in options if "wheel_rewrap" in each.treatments)


def test_without_measures_the_rule_of_thumb_is_used() -> None:
    """6.5 m of thread a metre of seam, 1.05 m of it."""
    needs = {each.material: each for each in rewrapped().needs}
    assert needs[THREAD].milli == 6825
    assert SOURCE not in str(needs[THREAD].worked)


def test_measures_reckon_leather_thread_and_hours() -> None:
    """The pieces, twice; thread as it is cut; 2.8 h and 2.3 h a metre of the seam of 1064.4 mm."""
    found = rewrapped(wheel=WHEEL)
    made, laced = wrap_of(Wheel.model_validate(WHEEL))
    needs = {each.material.partition(":")[0]: each for each in found.needs}
    assert SOURCE in str(needs[LEATHER].worked)
    assert needs[LEATHER].milli == pytest.approx(made.area_mm2 * OFFCUT / 1000, abs=1)
    assert needs[THREAD].milli == pytest.approx(laced.cut_mm, abs=1)
    assert found.minutes == pytest.approx(60 * (2.8 + 2.3 * 1.064), abs=1)
    assert wrap_minutes(Wheel.model_validate(WHEEL), load()).value == pytest.approx(found.minutes, abs=1)


def test_a_length_somebody_typed_goes_before_the_seam_worked_out() -> None:
    assert rewrapped(wheel=WHEEL, length_mm=2000).minutes == pytest.approx(60 * (2.8 + 2.3 * 2), abs=1)


def test_old_leather_under_the_tape_is_taken_off_again() -> None:
    """The tape over 1.2 mm of leather reads 2π · 1.2 more round the grip and 2.4 mm more over all."""
    bare, _ = wrap_of(Wheel.model_validate(WHEEL))
    over = {**WHEEL, "outside": 402.4, "grips": [{"grip": 94.24778 + 7.539822}], "over_leather": 1.2}
    again, _ = wrap_of(Wheel.model_validate(over))
    assert (again.seam_mm, again.wide_mm[0]) == pytest.approx((bare.seam_mm, bare.wide_mm[0]), abs=1e-4)


def test_impossible_measures_say_what_is_wrong() -> None:
    with pytest.raises(BadInput, match="not between 40 and 220"):
        rewrapped(wheel={**WHEEL, "grips": [{"grip": 500.0}]})
