"""Vapour in a room: the balance closes, more air never fouls it more, and slips come at once."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from trimwright.craft.vapour import SHIFT_H, Poured, Room, fumes
from trimwright.errors import BadInput
from trimwright.facts.workbench import load_workbench

TOLUENE = load_workbench().solvents["toluene"]
rooms = st.builds(Room, st.floats(1, 500), st.floats(0, 50_000), st.floats(1, 10))


@settings(deadline=None)
@given(room=rooms, litres=st.floats(0.001, 5), dries=st.floats(0.02, 6))
def test_means_are_those_of_the_course(room: Room, litres: float, dries: float) -> None:
    """The closed form of the 8 h mean against scipy's integral; the worst 15 min lie under the peak."""
    found = fumes([Poured(TOLUENE, litres)], room, dries)
    (one,) = found.vapours
    settles = 8 * room.volume_m3 * room.mixing / max(room.flow_m3_h, 1e-9)
    cuts = sorted({min(each, SHIFT_H) for each in (0.0, settles, dries, dries + settles, SHIFT_H)})
    summed = sum(quad(found.ppm_at, *ends)[0] for ends in pairwise(cuts)) / SHIFT_H
    assert one.shift_mean.value == pytest.approx(summed, rel=0.001, abs=1e-6)
    assert one.short_mean.value <= one.peak.value * (1 + 1e-9)
    assert found.ppm_at(dries) == pytest.approx(one.peak.value, rel=1e-6, abs=1e-6)


@given(room=rooms, more=st.floats(1.01, 10))
def test_more_air_never_fouls_the_room_more(room: Room, more: float) -> None:
    less = fumes([Poured(TOLUENE, 0.3)], room, 0.5)
    aired = fumes([Poured(TOLUENE, 0.3)], Room(room.volume_m3, room.flow_m3_h * more, room.mixing), 0.5)
    assert aired.explosive.value <= less.explosive.value + 1e-9
    for before, after in zip(less.limits, aired.limits, strict=True):
        assert after.found.value <= before.found.value + 1e-6


def test_every_slip_is_named_at_once() -> None:
    with pytest.raises(BadInput) as refused:
        fumes([Poured(TOLUENE, 0)], Room(-50, -1, 0), 0)
    assert [each.where for each in refused.value.problems] == ["tin", "room", "air flow", "mixing", "drying"]
